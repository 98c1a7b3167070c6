"""Options and arguments that several commands share.

Reports on the screen, and the exit codes that they mean.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem
    from rich.console import Console

    from mounts.findings.report import Report
    from mounts.write.screen import Done

WIDEST = 120  # columns that a person reads at once


def screen() -> tuple[Console, int]:
    """Return the terminal and how many columns of it to use; it has colour only where the terminal has."""
    from rich.console import Console

    console = Console(highlight=False)
    return console, min(console.width, WIDEST)


def show(report: Report, done: Done, *, as_json: bool, every: bool = False, pictures: bool = False) -> None:
    """Print a report: in about twenty lines, with every check, or as one JSON document and nothing else.

    Args:
        report: of one job.
        done: what was written, and what comes next.
        as_json: as one JSON document.
        every: with every check.
        pictures: whether there are pictures, with marks that can be named.
    """
    if as_json:
        from mounts.write.report import report_json

        click.echo(report_json(report), nl=False)
        return
    from mounts.write.screen import summary

    console, width = screen()
    if every:
        from mounts.write.screen_all import report_table

        console.print(report_table(report, width, pictures=pictures))
        console.print()
    console.print(summary(report, width, done, brief=not every))


def exit_code(report: Report) -> int:
    """Return 1 when something breaks a limit, else 0."""
    return 1 if report.verdict == "fail" else 0


class Named(click.types.StringParamType):
    """The name of a file in the library, or a path; a shell completes either."""

    name = "name"

    def __init__(self, *kinds: str) -> None:
        self.kinds = kinds

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """Return the names that begin so, else the shell's own completion of files."""
        from click.shell_completion import CompletionItem

        from mounts.errors import MountsError

        names: Sequence[str] = ()
        if os.sep not in incomplete:
            try:
                names = _names(self.kinds, tuple(ctx.params.get("library") or ()))
            except MountsError:
                names = ()
        found = [CompletionItem(name) for name in names if name.startswith(incomplete)]
        return found or [CompletionItem(incomplete, type="file")]


def _names(kinds: Sequence[str], given: tuple[Path, ...]) -> list[str]:
    from mounts.load.catalogue.folders import library_layers
    from mounts.load.catalogue.layers import HERE, Layers

    layers = Layers(library_layers(Path(), given))
    names = set(layers.names_from(HERE, kinds))
    if "hardware" in kinds:
        from mounts.load.catalogue.index import list_entries

        names = {entry.name for entry in list_entries(layers, ("hardware",))}
    return sorted(names)


def _paper() -> str:
    """Return the paper that the person's settings name."""
    from mounts.load.catalogue.folders import own_folder
    from mounts.load.catalogue.settings import load_settings

    return load_settings(own_folder()).paper


def examples(*lines: str) -> str:
    """Return the examples below a command's help, each on its own line, never wrapped."""
    return "\b\n" + "\n".join(("Examples:", *(f"  {line}" for line in lines)))


IN_LIBRARY = click.option(
    "--library",
    type=click.Path(path_type=Path),
    multiple=True,
    metavar="FOLDER",
    help="One more folder of profiles, searched before your own; may be given again.",
)
AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead.")
ALL = click.option("--all", "every", is_flag=True, help="Print everything: every check, also those that pass.")
OUT = click.option(
    "--out", type=click.Path(path_type=Path), default=Path("out"), metavar="FOLDER", help="Where the files go."
)
PAPER = click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default=_paper,
    show_default="a4, or what settings.yaml says",
    help="Paper to print on.",
)
