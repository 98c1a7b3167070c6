"""`mounts help TOPIC`: short pages on one matter each, from `mounts/data/help`."""

from __future__ import annotations

from importlib.resources import files

import click

from mounts.cli.options import examples

TOPICS = ("measuring", "ring", "aim", "cup", "spacer", "board", "kit", "checks", "files")


def read_topic(name: str) -> str:
    """Return the page on a topic: plain text of at most 79 columns."""
    return files("mounts").joinpath("data", "help", f"{name}.txt").read_text("utf-8")


@click.command("help", epilog=examples("mounts help measuring", "mounts help checks"))
@click.argument("topic", required=False, type=click.Choice(TOPICS))
def show_help(topic: str | None) -> None:
    """Read a short page on one topic."""
    if topic is not None:
        click.echo(read_topic(topic), nl=False)
        return
    for name in TOPICS:
        title = read_topic(name).partition("\n")[0].partition(": ")[2]
        click.echo(f"  mounts help {name:<10} {title}")
