"""What a library holds, by its files' own words: quick, because no file is checked for what it means."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from mounts.errors import InputError, Problem
from mounts.load.folders import FOLDERS, files_in, led_away, near
from mounts.load.marks import marks_of, measured_of
from mounts.load.read import Document, read

DEEPEST = 8  # jobs that are based on one another, of which texts are looked for


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that a library holds.

    Attributes:
        kind: panel, speaker, material, printer, hardware or job.
        name: by which a job refers to it; of a hardware file that cannot be read, the file's.
        about: what it is, in a few words.
        file: the file that holds it.
        problems: why it does not load, as far as was looked; none when it does.
        vehicle, date: of a job or a kit, as its file says.
        measured: of a panel, who measured it, when and how well.
        marks: by what it can be asked for: place, holes, pins, size (mm), each with its value where the file says so.
    """

    kind: str
    name: str
    about: str
    file: Path
    problems: tuple[Problem, ...] = ()
    vehicle: str = ""
    date: str = ""
    measured: str = ""
    marks: tuple[tuple[str, str | float], ...] = ()


def skimmed(root: Path, kinds: Iterable[str] = FOLDERS) -> tuple[Entry, ...]:
    """Everything under a library's folder, or only some kinds of it, by kind and then by name; hardware item by item.

    Problems are only those of reading the files; `listing.entries` looks for all of them.
    """
    return tuple(entry for kind in kinds for path in files_in(root, kind) for entry in _of(root, kind, near(path)))


def about(document: Document | None) -> str:
    """What a file says that it is."""
    return said(document, "about")


def said(document: Document | None, key: str) -> str:
    """A text at the top of a file; nothing where there is none. A number counts as its digits, as when it is loaded."""
    told = document.data.get(key) if document else None
    return told if isinstance(told, str) else str(told) if isinstance(told, int) and not isinstance(told, bool) else ""


def _inherited(root: Path, document: Document | None, key: str) -> str:
    """A text of a job's file, or of the job that it is based on."""
    for _ in range(DEEPEST):
        if document is None or said(document, key):
            break
        base = said(document, "based_on")
        file = root / FOLDERS["job"] / f"{base}.yaml"
        document = _document(file) if base and safe(base) and led_away(root, file) is None else None
    return said(document, key)


def safe(name: str) -> bool:
    """Whether a name is that of a file in its own folder."""
    return not any(letter in name for letter in "/\\") and name not in (".", "..")


def _document(file: Path) -> Document | None:
    try:
        return read(file) if file.is_file() else None
    except (InputError, OSError, ValueError):
        return None


def entry_of(kind: str, file: Path, document: Document | None, problems: tuple[Problem, ...]) -> Entry:
    """One file's entry, from what it says."""
    told = document.data if document else {}
    words = measured_of(told) if kind == "panel" and document else ""
    return Entry(kind, file.stem, about(document), file, problems, measured=words, marks=marks_of(kind, told))


def _of(root: Path, kind: str, file: Path) -> Iterator[Entry]:
    away = led_away(root, file)
    try:
        document = read(file) if away is None else None
        problems = document.problems if document else (away,) if away else ()
    except InputError as error:
        document, problems = None, error.problems
    items = document.data.get("items") if document and kind == "hardware" else None
    if not isinstance(items, dict):
        entry = entry_of(kind, file, document, problems)
        vehicle, date = (
            _inherited(root, document, key) if kind in ("job", "kit") else "" for key in ("vehicle", "date")
        )
        yield replace(entry, vehicle=vehicle, date=date)
        return
    for name, item in items.items():
        own = item.get("about") if isinstance(item, dict) else None
        yield Entry(kind, str(name), own if isinstance(own, str) else about(document), file, problems)
