"""`mounts list`, `mounts schema`, `mounts new`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Any

import click

from mounts.cli.options import AS_JSON, IN_LIBRARY

if TYPE_CHECKING:
    from mounts.load.marks import Wanted
    from mounts.load.skim import Entry


def _length(_: click.Context, __: click.Parameter, value: str | None) -> float | None:
    """A length in mm; a bare number below 20 is inches, as speakers are sold."""
    if value is None:
        return None
    from mounts.load import units  # noqa: PLC0415

    try:
        found = units.size(value)
    except ValueError as error:
        raise click.BadParameter(str(error)) from error
    return found * 25.4 if found < 20 and value.replace(".", "", 1).isdigit() else found


@click.command("list")
@click.argument("kind", required=False)
@click.option("--check", "thorough", is_flag=True, help="Also load every file, and say what is wrong with any.")
@click.option("--vehicle", metavar="NAME", help="Only the jobs and kits of this vehicle; a part of its name is enough.")
@click.option("--place", metavar="PLACE", help="Only panels there: door, dash, pillar, shelf, floor, boot.")
@click.option("--holes", type=click.IntRange(1), metavar="N", help="Only panels with so many fixings.")
@click.option("--pins", type=click.IntRange(1), metavar="N", help="Only panels with so many pins.")
@click.option("--size", callback=_length, metavar="SIZE", help="Only speakers of about this size, as 165 or 6.5in.")
@IN_LIBRARY
@AS_JSON
def list_library(
    *,
    kind: str | None,
    thorough: bool,
    vehicle: str | None,
    place: str | None,
    holes: int | None,
    pins: int | None,
    size: float | None,
    library: Path | None,
    as_json: bool,
) -> int:
    """List what the library holds; with a KIND (panel, speaker, job …) only that.

    A panel is told with who measured it, when and how well.
    """
    from mounts.load.folders import FOLDERS, library_folder  # noqa: PLC0415
    from mounts.load.marks import Wanted  # noqa: PLC0415

    root, wanted = library_folder(given=library), Wanted(place, holes, pins, size, vehicle)
    if vehicle is not None and kind not in (None, "job", "jobs", "kit", "kits"):
        raise click.UsageError(f"only a job or a kit has a vehicle; leave {kind} out")
    kinds = [word for word in FOLDERS if kind in (None, word, f"{word}s")]
    if kind and not kinds:
        raise click.UsageError(f"the library {root} holds no {kind}; {_nearest_kind(kind, tuple(FOLDERS))}")
    asked = wanted.kinds
    if asked is not None:
        kinds = [word for word in kinds if word in asked]
    every = _checked(root, kinds) if thorough else _skimmed(root, kinds)
    held = tuple(entry for entry in every if wanted.takes((*entry.marks, ("vehicle", entry.vehicle))))
    wrong = any(entry.problems for entry in held)
    if as_json:
        click.echo(_as_json(root, held))
        return 2 if wrong else 0
    if not held and vehicle is not None:
        raise click.UsageError(f"no job or kit in {root} is of a vehicle {vehicle!r}; give vehicle: in its file")
    if not held:
        raise click.UsageError(_nothing(root, kind, every, wanted))
    click.echo("\n".join(_lines(held)))
    return 2 if wrong else 0


def _nearest_kind(kind: str, kinds: Sequence[str]) -> str:
    from difflib import get_close_matches  # noqa: PLC0415

    close = get_close_matches(kind, kinds, 1, 0.6)
    return f'did you mean "{close[0]}"?' if close else f"kinds: {', '.join(kinds)}"


def _nothing(root: Path, kind: str | None, every: Sequence[Entry], wanted: Wanted) -> str:
    """Why a list is empty, with what there is."""
    if not every or wanted.kinds is None:
        return f"the library {root} holds no {kind or 'profiles'}" + (
            " of that sort" if wanted.kinds is not None else ""
        )
    keys = [key for key in ("place", "holes", "pins", "size") if getattr(wanted, key) is not None]
    there = []
    for key in keys:
        found = {dict(entry.marks)[key] for entry in every if key in dict(entry.marks)}
        told = [value if isinstance(value, str) else f"{value:g}" for value in sorted(found, key=_by_size)]
        there.append(f"{key}: {', '.join(told) or 'none'}")
    return f"the library {root} holds nothing of that sort; there is {'; '.join(there)}"


def _by_size(value: str | float) -> tuple[float, str]:
    return (0.0, value) if isinstance(value, str) else (value, "")


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

    rows = [
        {**asdict(e), "file": str(e.file), "problems": [str(problem) for problem in e.problems], "marks": dict(e.marks)}
        for e in held
    ]
    return json.dumps({"schema": 1, "library": str(root), "entries": rows}, indent=2, ensure_ascii=False)


def _lines(held: Sequence[Entry]) -> Iterator[str]:
    """Under each kind its entries; those that one file describes alike share a line of words and a row of names."""
    width = max(len(entry.name) for entry in held)
    for number, (kind, of_kind) in enumerate(groupby(held, lambda entry: entry.kind)):
        yield f"\n{kind}" if number else kind
        for (_, about, problems), group in groupby(of_kind, lambda entry: (entry.file, _about(entry), entry.problems)):
            alike = list(group)
            names = [entry.name for entry in alike]
            if len(names) == 1:
                yield f"  {names[0]:{width}}  {about}".rstrip()
                if alike[0].measured:
                    yield f"  {'':{width}}  {alike[0].measured}"
            else:
                yield f"  {about}:"
                yield from wrap("  ".join(names), 110, initial_indent=" " * 6, subsequent_indent=" " * 6)
            for problem in problems:
                yield f"  {'':{width}}  does not load: {problem}"


def _about(entry: Entry) -> str:
    """What it is and, of a job or a kit, the vehicle and the date."""
    return " · ".join(filter(None, (entry.about, entry.vehicle, entry.date)))


@click.command()
def schema() -> None:
    """Print the JSON Schema of all files, for an editor that completes keys."""
    from mounts.load.shipped import shipped_schema  # noqa: PLC0415

    click.echo(shipped_schema(), nl=False)


@click.command()
@click.argument("kind", type=click.Choice(["panel", "speaker", "device", "job", "kit"]))
@click.argument("name")
@click.option("--pins", is_flag=True, help="Of a panel: one that holds its mount on moulded pins.")
@click.option("--of", type=click.Choice(["ring", "cup", "spacer", "board"]), help="Of a job: what it makes; a ring.")
@IN_LIBRARY
def new(kind: str, name: str, pins: bool, of: str | None, library: Path | None) -> None:
    """Write a commented file to fill in: a KIND (panel, speaker, device, job, kit) called NAME, in the library.

    Where there is no library yet, one is begun in profiles/ here, with the materials, printers, hardware and ports that
    come with the program.
    """
    from mounts.errors import InputError, Problem  # noqa: PLC0415
    from mounts.load.blank import blank  # noqa: PLC0415
    from mounts.load.folders import FOLDERS, library_folder, near, nearest  # noqa: PLC0415
    from mounts.load.shipped import starter  # noqa: PLC0415
    from mounts.write.files import publish, safe_name  # noqa: PLC0415

    if pins and kind != "panel":
        raise click.UsageError(f"--pins goes with a panel, not with a {kind}")
    if of and kind != "job":
        raise click.UsageError(f"--of goes with a job, not with a {kind}")
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
    sort: Any = "pins" if pins else of if of not in (None, "ring") else kind
    publish(file.parent, {file.name: blank(sort, name).encode()})
    click.echo(f"{file}: fill it in from top to bottom; what was not measured can be left out")
