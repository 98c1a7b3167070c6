"""`mounts help TOPIC`: short pages on one matter each, from `mounts/data/help`."""

from __future__ import annotations

from importlib.resources import files

import click

TOPICS = ("measuring", "ring", "aim", "cup", "spacer", "board", "kit", "checks", "files")


def read_topic(name: str) -> str:
    """Return the page on a topic: plain text of at most 79 columns."""
    return files("mounts").joinpath("data", "help", f"{name}.txt").read_text("utf-8")


@click.command("help")
@click.argument("topic", required=False, type=click.Choice(TOPICS))
def show_help(topic: str | None) -> None:
    """Read a short page on one topic.

    \b
    Examples:
      mounts help measuring
      mounts help checks
    """
    if topic is not None:
        click.echo(read_topic(topic), nl=False)
        return
    for name in TOPICS:
        title = read_topic(name).partition("\n")[0].partition(": ")[2]
        click.echo(f"  mounts help {name:<10} {title}")
