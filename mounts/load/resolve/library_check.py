"""Check of a whole library, every file loaded and checked; one that does not load is reported and hides no other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from mounts.errors import InputError, Problem
from mounts.load.catalogue.folders import FOLDERS, files_in, label_of, read_kind, same_name, short_path, yaml_files
from mounts.load.catalogue.index import LibraryEntry, merge_layers
from mounts.load.catalogue.skim import row_of, text_at
from mounts.load.models.hardware import Hardware
from mounts.load.parse.document import Document, read
from mounts.load.resolve.job import load_from
from mounts.load.resolve.kit import kit_from
from mounts.load.resolve.library import Library, Loaded


def check_library(
    library: Library, kinds: Iterable[str] = FOLDERS, here: Path | None = None
) -> tuple[LibraryEntry, ...]:
    """Return what `index.list_entries` does, with all that is wrong with any file.

    DXF files need only be there: reading them is left to the job that uses them.
    """
    quick = Library(library.root, library.below, unread=True)
    return tuple(entry for kind in kinds for entry in _of_kind(quick, kind, here))


def _of_kind(library: Library, kind: str, here: Path | None) -> list[LibraryEntry]:
    places = [(label_of(root), [short_path(file) for file in files_in(root, kind)]) for root in library.layers.roots]
    if here and not any(library.layers.holds(one, here / "any") for one in FOLDERS):
        loose = [here / name for name in yaml_files(here)]
        places.insert(0, ("here", [file for file in loose if read_kind(file) == kind]))
    found = [entry for label, files in places for entry in _of_layer(library, kind, label, files)]
    return merge_layers(found, by_file=kind == "hardware")


def _of_layer(library: Library, kind: str, label: str, files: list[Path]) -> Iterator[LibraryEntry]:
    if kind == "hardware":
        yield from _hardware(library, label, files)
        return
    twins: dict[str, list[Path]] = {}
    for file in files:
        twins.setdefault(same_name(file.stem).casefold(), []).append(file)
    for file in files:
        others = [other for other in twins[same_name(file.stem).casefold()] if other != file]
        yield _entry(library, kind, label, file, tuple(_twin(file, other) for other in others))


def _twin(file: Path, other: Path) -> Problem:
    """Return the problem of two files in one layer whose names clash."""
    if same_name(file.stem) == same_name(other.stem):
        return Problem(f"{other.name} has the same name; keep one of them", file=file)
    what = f"{other.name} differs in small and capital letters alone, which some systems take for one; rename one"
    return Problem(what, file=file)


def _entry(library: Library, kind: str, label: str, file: Path, twins: tuple[Problem, ...]) -> LibraryEntry:
    """Return the entry of one file; a job is loaded with everything that it refers to."""
    if kind not in ("job", "kit"):
        loaded = library.load(kind, file)
        row = row_of(kind, file.stem, loaded.document) if loaded.document else None
        told = (row.about, file, (*twins, *loaded.problems)) if row else ("", file, (*twins, *loaded.problems))
        marks = tuple((mark[0], mark[1]) for mark in row.marks) if row else ()
        return LibraryEntry(kind, file.stem, *told, measured=row.measured if row else "", marks=marks, layer=label)
    try:
        made = load_from(library, file)[0] if kind == "job" else kit_from(library, file)
        return LibraryEntry(kind, file.stem, made.about, file, twins, made.vehicle, made.date, layer=label)
    except InputError as error:
        document = _document(file)
        about, vehicle, date = (text_at(document, key) for key in ("about", "vehicle", "date"))
        return LibraryEntry(kind, file.stem, about, file, (*twins, *error.problems), vehicle, date, layer=label)


def _hardware(library: Library, label: str, files: list[Path]) -> Iterator[LibraryEntry]:
    first: dict[str, Path] = {}
    for file in files:
        loaded: Loaded = library.load("hardware", file)
        if not isinstance(loaded.value, Hardware) or loaded.document is None:
            about = text_at(loaded.document, "about")
            yield LibraryEntry("hardware", file.stem, about, file, loaded.problems, layer=label)
            continue
        for name, item in loaded.value.items.items():
            other = first.setdefault(name, file)
            what = f"{name} is given in {other} too, which is the one that counts; rename one"
            again = () if other == file else (loaded.document.problem(("items", name), what, key=True),)
            yield LibraryEntry("hardware", name, item.about or loaded.value.about, file, again, layer=label)


def _document(file: Path) -> Document | None:
    try:
        return read(file)
    except InputError:
        return None
