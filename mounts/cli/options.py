"""Options and arguments that several commands share."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem


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
