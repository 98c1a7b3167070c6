"""What a library holds, every file of it loaded and checked; one that does not load is told and hides no other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from mounts.errors import InputError
from mounts.load.folders import FOLDERS, near
from mounts.load.job import load_from
from mounts.load.kit import kit_from
from mounts.load.library import Library, Loaded
from mounts.load.models.hardware import Hardware
from mounts.load.read import Document, read
from mounts.load.skim import Entry, about, entry_of, said


def entries(library: Library, kinds: Iterable[str] = FOLDERS) -> tuple[Entry, ...]:
    """Everything in a library, or only some kinds of it, by kind and then by name; hardware item by item.

    DXF files need only be there: reading them is left to the job that uses them.
    """
    quick = Library(library.root, unread=True)
    return tuple(entry for kind in kinds for entry in _of_kind(quick, kind))


def _of_kind(library: Library, kind: str) -> Iterator[Entry]:
    if kind == "hardware":
        yield from _hardware(library)
        return
    for path in library.files(kind):
        file = near(path)
        if kind == "job":
            yield _job(library, file)
        elif kind == "kit":
            yield _kit(library, file)
        else:
            loaded = library.load(kind, file)
            yield entry_of(kind, file, loaded.document, loaded.problems)


def _job(library: Library, file: Path) -> Entry:
    """A job with what it refers to; one that names a missing panel does not load."""
    try:
        job = load_from(library, file)[0]
        return Entry("job", file.stem, job.about, file, (), job.vehicle, job.date)
    except InputError as error:
        document = _document(file)
        vehicle, date = (said(document, key) for key in ("vehicle", "date"))
        return Entry("job", file.stem, about(document), file, error.problems, vehicle, date)


def _kit(library: Library, file: Path) -> Entry:
    """A kit with its jobs."""
    try:
        kit = kit_from(library, file)
        return Entry("kit", file.stem, kit.about, file, (), kit.vehicle, kit.date)
    except InputError as error:
        document = _document(file)
        vehicle, date = (said(document, key) for key in ("vehicle", "date"))
        return Entry("kit", file.stem, about(document), file, error.problems, vehicle, date)


def _hardware(library: Library) -> Iterator[Entry]:
    first: dict[str, Path] = {}
    for path in library.files("hardware"):
        file = near(path)
        loaded: Loaded = library.load("hardware", file)
        if not isinstance(loaded.value, Hardware) or loaded.document is None:
            yield Entry("hardware", file.stem, about(loaded.document), file, loaded.problems)
            continue
        for name, item in loaded.value.items.items():
            other = first.setdefault(name, file)
            what = f"{name} is given in {other} too, which is the one that counts; rename one"
            again = () if other == file else (loaded.document.problem(("items", name), what, key=True),)
            yield Entry("hardware", name, item.about or loaded.value.about, file, again)


def _document(file: Path) -> Document | None:
    try:
        return read(file)
    except InputError:
        return None
