"""`mounts list`, `mounts schema`, `mounts new`.

`mounts help TOPIC`: short pages on one matter each, from `mounts/data/help`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from importlib.resources import files
from itertools import groupby
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING

import click

from mounts.cli.options import AS_JSON, IN_LIBRARY, Named, examples
from mounts.kinds.registry import KIND_MODULES, USUAL, declaration_of

if TYPE_CHECKING:
    from mounts.load.catalogue.index import LibraryEntry
    from mounts.load.catalogue.layers import Layers
    from mounts.load.catalogue.marks import LibraryFilter

DATA = files("mounts").joinpath("data")
MOUNTS = tuple(kind for kind in KIND_MODULES if DATA.joinpath("blank", f"{kind}.yaml").is_file())
TOPICS = ("measuring", USUAL, "aim", *(kind for kind in MOUNTS if kind != USUAL), "kit", "checks", "files")
KINDS = ("panel", "speaker", "device", "job", "kit", "material", "printer", "hardware", "port")
BLANKS = KINDS[:5]  # of which there is a commented file to fill in


def read_topic(name: str) -> str:
    """Return the page on a topic: plain text of at most 79 columns."""
    return DATA.joinpath("help", f"{name}.txt").read_text("utf-8")


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


def _length(_: click.Context, __: click.Parameter, value: str | None) -> float | None:
    """Return a length in mm; a bare number below 20 is inches, as speakers are sold."""
    if value is None:
        return None
    from mounts.load.parse import units

    try:
        found = units.size(value)
    except ValueError as error:
        raise click.BadParameter(str(error)) from error
    return found * 25.4 if found < 20 and value.replace(".", "", 1).isdigit() else found


@click.command(
    "list",
    short_help="List what the library holds.",
    epilog=examples("mounts list speaker --size 6.5in", "mounts list --where linnet-front-door"),
)
@click.argument("kind", required=False)
@click.option("--where", type=Named(*KINDS), metavar="NAME", help="Print only the path of the file called NAME.")
@click.option("--check", "thorough", is_flag=True, help="Load every file too, and say what is wrong with it.")
@click.option("--vehicle", metavar="NAME", help="Only jobs and kits of this vehicle (part of its name will do).")
@click.option("--place", metavar="PLACE", help="Only panels there: door, dash, pillar, shelf, floor, boot.")
@click.option("--holes", type=click.IntRange(1), metavar="N", help="Only panels with so many fixings.")
@click.option("--pins", type=click.IntRange(1), metavar="N", help="Only panels with so many pins.")
@click.option("--size", callback=_length, metavar="SIZE", help="Only speakers of about this size, as 165 or 6.5in.")
@IN_LIBRARY
@AS_JSON
def list_library(
    *,
    kind: str | None,
    where: str | None,
    thorough: bool,
    vehicle: str | None,
    place: str | None,
    holes: int | None,
    pins: int | None,
    size: float | None,
    library: tuple[Path, ...],
    as_json: bool,
) -> int:
    """List what the library holds; with a KIND (panel, speaker, job …) only that.

    The library is what lies here, the nearest profiles/, every --library, your own folder, and what ships with the
    program; of one name the first counts. Each line says where it comes from, and what it hides. For a panel it
    says who measured it, when and how well.
    """
    from mounts.load.catalogue.folders import FOLDERS, library_layers
    from mounts.load.catalogue.layers import Layers
    from mounts.load.catalogue.marks import LibraryFilter

    layers, wanted = Layers(library_layers(Path(), library)), LibraryFilter(place, holes, pins, size, vehicle)
    if vehicle is not None and kind not in (None, "job", "jobs", "kit", "kits"):
        raise click.UsageError(f"only a job or a kit has a vehicle; leave {kind} out")
    kinds = [word for word in FOLDERS if kind in (None, word, f"{word}s")]
    if kind and not kinds:
        raise click.UsageError(f"the library holds no {kind}; {_nearest_kind(kind, tuple(FOLDERS))}")
    if where is not None:
        click.echo("\n".join(map(str, _where(layers, kinds, where))))
        return 0
    asked = wanted.kinds
    if asked is not None:
        kinds = [word for word in kinds if word in asked]
    every = _checked(layers, kinds) if thorough else _listed(layers, kinds)
    held = tuple(entry for entry in every if wanted.takes((*entry.marks, ("vehicle", entry.vehicle))))
    wrong = any(entry.problems for entry in held)
    if as_json:
        click.echo(_as_json(layers, held))
        return 2 if wrong else 0
    if not held and vehicle is not None:
        raise click.UsageError(f"no job or kit in the library is of a vehicle {vehicle!r}; give vehicle: in its file")
    if not held:
        raise click.UsageError(_nothing(kind, every, wanted))
    click.echo("\n".join(_lines(held)))
    return 2 if wrong else 0


def _where(layers: Layers, kinds: Sequence[str], name: str) -> list[Path]:
    """Return the file that a name means, or of several kinds the files; raise InputError where it means none."""
    from mounts.load.catalogue.folders import same_name
    from mounts.load.catalogue.layers import HERE

    plain = [kind for kind in kinds if kind != "hardware"]
    found = [file for kind in plain if (file := layers.named((kind,), name, HERE)) is not None]
    if not found and "hardware" in kinds:
        items = [entry for entry in _listed(layers, ["hardware"]) if same_name(entry.name) == same_name(name)]
        found = [entry.file for entry in items[:1]]
    return found or [layers.find(plain or kinds, name, HERE)]


def _nearest_kind(kind: str, kinds: Sequence[str]) -> str:
    from difflib import get_close_matches

    close = get_close_matches(kind, kinds, 1, 0.6)
    return f'did you mean "{close[0]}"?' if close else f"kinds: {', '.join(kinds)}"


def _nothing(kind: str | None, every: Sequence[LibraryEntry], wanted: LibraryFilter) -> str:
    """Return the sentence that says why a list is empty, with what there is."""
    if not every or wanted.kinds is None:
        return f"the library holds no {kind or 'profiles'}" + (" of that sort" if wanted.kinds is not None else "")
    keys = [key for key in ("place", "holes", "pins", "size") if getattr(wanted, key) is not None]
    there = []
    for key in keys:
        found = {dict(entry.marks)[key] for entry in every if key in dict(entry.marks)}
        told = [value if isinstance(value, str) else f"{value:g}" for value in sorted(found, key=_by_size)]
        there.append(f"{key}: {', '.join(told) or 'none'}")
    return f"the library holds nothing of that sort; there is {'; '.join(there)}"


def _by_size(value: str | float) -> tuple[float, str]:
    return (0.0, value) if isinstance(value, str) else (value, "")


def _listed(layers: Layers, kinds: Sequence[str]) -> tuple[LibraryEntry, ...]:
    from mounts.load.catalogue.index import list_entries

    return list_entries(layers, kinds, Path())


def _checked(layers: Layers, kinds: Sequence[str]) -> tuple[LibraryEntry, ...]:
    from mounts.load.resolve.library import Library
    from mounts.load.resolve.library_check import check_library

    return check_library(Library(layers.roots[0], layers.roots[1:]), kinds, Path())


def _as_json(layers: Layers, held: Sequence[LibraryEntry]) -> str:
    import json
    from dataclasses import asdict

    rows = [
        {
            **asdict(entry),
            "file": str(entry.file),
            "problems": [str(problem) for problem in entry.problems],
            "marks": dict(entry.marks),
            "hides": [str(file) for file in entry.hides],
        }
        for entry in held
    ]
    roots = [str(root) for root in layers.roots]
    return json.dumps({"schema": 2, "layers": roots, "entries": rows}, indent=2, ensure_ascii=False)


def _lines(held: Sequence[LibraryEntry]) -> Iterator[str]:
    """Under each kind its entries; those that one file describes alike share a line of words and a row of names."""
    width = max(len(entry.name) for entry in held)
    wide = max(len(_short(entry.layer)) for entry in held)
    for number, (kind, of_kind) in enumerate(groupby(held, lambda entry: entry.kind)):
        yield f"\n{kind}" if number else kind
        for (_, about, problems), group in groupby(of_kind, lambda entry: (entry.file, _about(entry), entry.problems)):
            alike = list(group)
            first = alike[0]
            if len(alike) == 1:
                yield f"  {first.name:{width}}  {_short(first.layer):{wide}}  {about}".rstrip()
                if first.measured:
                    yield f"  {'':{width}}  {'':{wide}}  {first.measured}"
            else:
                yield f"  {about} ({_short(first.layer)}):"
                names = "  ".join(entry.name for entry in alike)
                yield from wrap(names, 110, initial_indent=" " * 6, subsequent_indent=" " * 6)
            for entry in alike:
                for file in entry.hides:
                    yield f"  {'':{width}}  {'':{wide}}  {f'{entry.name} ' * (len(alike) > 1)}hides {file}"
            for problem in problems:
                yield f"  {'':{width}}  {'':{wide}}  does not load: {problem}"


def _short(layer: str) -> str:
    """Return what a layer is called where there is little room."""
    return layer if len(layer) <= 20 else f"…/{Path(layer).name}"


def _about(entry: LibraryEntry) -> str:
    """Return what it is and, of a job or a kit, the vehicle and the date."""
    return " · ".join(filter(None, (entry.about, entry.vehicle, entry.date)))


@click.command(
    short_help="Print the JSON Schema of all files, for your editor.",
    epilog=examples("mounts schema", "mounts schema > profiles/schema.json"),
)
def schema() -> None:
    """Print the JSON Schema of all files, for an editor that completes keys."""
    from mounts.load.catalogue.folders import shipped_schema

    click.echo(shipped_schema(), nl=False)


@click.command(
    short_help="Write a file of your own to fill in.",
    epilog=examples("mounts new panel my-door", "mounts new job my-job --panel my-door --speaker demo-woofer-130"),
)
@click.argument("kind", type=click.Choice(KINDS), metavar="KIND")
@click.argument("name")
@click.option("--from", "origin", type=Named(*KINDS), metavar="NAME", help="Copy that file of the library.")
@click.option("--pins", is_flag=True, help="For a panel: one with moulded pins.")
@click.option("--of", type=click.Choice(MOUNTS), show_default=USUAL, help="For a job: what it makes.")
@click.option("--panel", type=Named("panel"), metavar="NAME", help="For a job: the panel that it is for.")
@click.option("--speaker", type=Named("speaker"), metavar="NAME", help="For a job: the speaker that it holds.")
@click.option("--mine", is_flag=True, help="Put it into your own folder, for all your work.")
@IN_LIBRARY
def new(
    *,
    kind: str,
    name: str,
    origin: str | None,
    pins: bool,
    of: str | None,
    panel: str | None,
    speaker: str | None,
    mine: bool,
    library: tuple[Path, ...],
) -> None:
    """Write a file of your own: a KIND (panel, speaker, device, job, kit) called NAME, commented, to fill in.

    With --from it is a copy of what the library has under another name or the same: so a material, a printer, hardware
    or a port becomes your own to change. It goes into the first --library, else into the nearest profiles/, which is
    begun here where there is none. Nothing that ships with the program is copied besides.
    """
    from mounts.errors import InputError, Problem
    from mounts.load.catalogue.folders import (
        FOLDERS,
        library_layers,
        nearest_profiles,
        own_folder,
        short_path,
        yaml_files,
    )
    from mounts.load.catalogue.layers import HERE, Layers
    from mounts.load.editing.template import blank_file, fill_key, set_schema_line
    from mounts.write.files import publish, safe_name

    if pins and (kind != "panel" or origin):
        raise click.UsageError(f"--pins goes with a new panel, not with a {'copy' if origin else kind}")
    if of and (kind != "job" or origin):
        raise click.UsageError(f"--of goes with a new job, not with a {'copy' if origin else kind}")
    if (panel or speaker) and (kind != "job" or origin or "speaker" not in declaration_of(of or USUAL).parts):
        holding = " or ".join(f"a {word}" for word in MOUNTS if "speaker" in declaration_of(word).parts)
        raise click.UsageError(f"--panel and --speaker go with a new job of {holding}")
    if safe_name(name) != name:
        raise InputError(Problem(f'"{name}" is no name for a file; take "{safe_name(name)}"'))
    layers = Layers(library_layers(Path(), library))
    if origin is None and kind not in BLANKS:
        names = ", ".join(layers.names(kind)) if kind != "hardware" else "mounts list hardware shows them"
        raise click.UsageError(f"a {kind} begins as a copy: give --from, as --from {_first(kind)}; there: {names}")
    own = own_folder() if mine else library[0] if library else nearest_profiles(Path()) or Path("profiles")
    folder = short_path(own / FOLDERS[kind])
    file = folder / f"{name}.yaml"
    taken = [held for held in yaml_files(folder) if held.rpartition(".")[0].casefold() == name.casefold()]
    if taken:
        raise InputError(Problem("is there already; take another name, or change that file", file=folder / taken[0]))
    beside: dict[str, bytes] = {}
    if origin is None:
        text = blank_file("pins" if pins else of or USUAL if kind == "job" else kind, name)
        for key, given in (("panel", panel), ("speaker", speaker)):
            text = fill_key(text, key, layers.find((key,), given, HERE).stem) if given else text
    else:
        from mounts.load.editing.edit import copy_file

        text, beside = copy_file(layers, kind, origin, name)
    publish(folder, {file.name: set_schema_line(text, own).encode(), **beside})
    told = (
        "change what is different" if origin else "fill it in from top to bottom; what was not measured can be left out"
    )
    click.echo(f"{file}: {told}")


def _first(kind: str) -> str:
    return {"material": "asa", "printer": "bed-250", "hardware": "rivet-nut-m5", "port": "usb-c-receptacle"}[kind]
