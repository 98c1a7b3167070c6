"""`mounts list`, `mounts schema`, `mounts new`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

import click

from mounts.cli.options import AS_JSON, IN_LIBRARY

if TYPE_CHECKING:
    from mounts.load.skim import Entry


@click.command("list")
@click.argument("kind", required=False)
@click.option("--check", "thorough", is_flag=True, help="Also load every file, and say what is wrong with any.")
@IN_LIBRARY
@AS_JSON
def list_library(kind: str | None, thorough: bool, library: Path | None, as_json: bool) -> int:
    """List what the library holds; with a KIND (panel, speaker, job …) only that."""
    from mounts.load.folders import FOLDERS, library_folder  # noqa: PLC0415

    root = library_folder(given=library)
    kinds = [word for word in FOLDERS if kind in (None, word, f"{word}s")]
    held = _checked(root, kinds) if thorough else _skimmed(root, kinds)
    wrong = any(entry.problems for entry in held)
    if as_json:
        click.echo(_as_json(root, held))
        return 2 if wrong else 0
    if not held:
        raise click.UsageError(f"the library {root} holds no {kind or 'profiles'}")
    click.echo("\n".join(_lines(held)))
    return 2 if wrong else 0


def _skimmed(root: Path, kinds: Sequence[str]) -> tuple[Entry, ...]:
    from mounts.load.skim import skimmed  # noqa: PLC0415

    return skimmed(root, kinds)


def _checked(root: Path, kinds: Sequence[str]) -> tuple[Entry, ...]:
    from mounts.load.library import Library  # noqa: PLC0415
    from mounts.load.listing import entries  # noqa: PLC0415

    return entries(Library(root), kinds)


def _as_json(root: Path, held: Sequence[Entry]) -> str:
    import json  # noqa: PLC0415
    from dataclasses import asdict  # noqa: PLC0415

    rows = [{**asdict(e), "file": str(e.file), "problems": [str(problem) for problem in e.problems]} for e in held]
    return json.dumps({"schema": 1, "library": str(root), "entries": rows}, indent=2, ensure_ascii=False)


def _lines(held: Sequence[Entry]) -> Iterator[str]:
    """Under each kind its entries; those that one file describes alike share a line of words and a row of names."""
    width = max(len(entry.name) for entry in held)
    for number, (kind, of_kind) in enumerate(groupby(held, lambda entry: entry.kind)):
        yield f"\n{kind}" if number else kind
        for (_, about, problems), alike in groupby(of_kind, lambda entry: (entry.file, entry.about, entry.problems)):
            names = [entry.name for entry in alike]
            if len(names) == 1:
                yield f"  {names[0]:{width}}  {about}".rstrip()
            else:
                yield f"  {about}:"
                yield from wrap("  ".join(names), 110, initial_indent=" " * 6, subsequent_indent=" " * 6)
            for problem in problems:
                yield f"  {'':{width}}  does not load: {problem}"


@click.command()
def schema() -> None:
    """Print the JSON Schema of all files, for an editor that completes keys."""
    from mounts.load.shipped import shipped_schema  # noqa: PLC0415

    click.echo(shipped_schema(), nl=False)


@click.command()
@click.argument("kind", type=click.Choice(["panel", "speaker", "device", "job"]))
@click.argument("name")
@IN_LIBRARY
def new(kind: str, name: str, library: Path | None) -> None:
    """Write a commented file to fill in: a KIND (panel, speaker, device, job) called NAME, in the library.

    Where there is no library yet, one is begun in profiles/ here, with the materials, printers, hardware and ports that
    come with the program.
    """
    from mounts.errors import InputError, Problem  # noqa: PLC0415
    from mounts.load.blank import blank  # noqa: PLC0415
    from mounts.load.folders import FOLDERS, library_folder, near, nearest  # noqa: PLC0415
    from mounts.load.shipped import starter  # noqa: PLC0415
    from mounts.write.files import publish, safe_name  # noqa: PLC0415

    if safe_name(name) != name:
        raise InputError(Problem(f'"{name}" is no name for a file; take "{safe_name(name)}"'))
    own = library_folder(given=library) if library else nearest(Path())
    if own is None:
        own = Path("profiles")
        for folder, files in starter().items():
            publish(own / folder, files)
        held = "the materials, printers, hardware and ports that come with the program"
        click.echo(f"{own}/: a library of your own, with {held}")
    file = near(own / FOLDERS[kind] / f"{name}.yaml")
    if file.exists():
        raise InputError(Problem("is there already; take another name, or change that file", file=file))
    publish(file.parent, {file.name: blank(kind, name).encode()})  # type: ignore[arg-type]
    click.echo(f"{file}: fill it in from top to bottom; what was not measured can be left out")
