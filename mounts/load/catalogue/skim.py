"""One file of the library by its own words: it is read, and not checked for what it means."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from mounts.errors import InputError, Problem
from mounts.load.catalogue.folders import outside_problem
from mounts.load.catalogue.index import LibraryRow
from mounts.load.catalogue.marks import marks_of, measured_of
from mounts.load.parse.document import Document, read


def skim_file(root: Path, kind: str, file: Path) -> tuple[Sequence[LibraryRow], tuple[Problem, ...]]:
    """Return what a file holds, hardware item by item, and what is wrong with reading it.

    Args:
        root: the layer that the file is of.
        kind: of the file.
        file: the file.
    """
    if away := outside_problem(root, file):
        return [LibraryRow(file.stem, "")], (away,)
    try:
        document = read(file)
    except InputError as error:
        return [LibraryRow(file.stem, "")], error.problems
    items = document.data.get("items") if kind == "hardware" else None
    if not isinstance(items, dict):
        return [row_of(kind, file.stem, document)], document.problems
    rows = []
    for name, item in items.items():
        own = item.get("about") if isinstance(item, dict) else None
        rows.append(LibraryRow(str(name), own if isinstance(own, str) else text_at(document, "about")))
    return rows, document.problems


def row_of(kind: str, name: str, document: Document) -> LibraryRow:
    """Return what a document says of the one thing in it."""
    measured = measured_of(document.data) if kind == "panel" else ""
    vehicle, date = (text_at(document, key) if kind in ("job", "kit") else "" for key in ("vehicle", "date"))
    base = text_at(document, "based_on") if kind == "job" else ""
    return LibraryRow(name, text_at(document, "about"), vehicle, date, measured, marks_of(kind, document.data), base)


def text_at(document: Document | None, key: str) -> str:
    """Return a text at the top of a file; nothing where there is none. A number counts as its digits."""
    told = document.data.get(key) if document else None
    return told if isinstance(told, str) else str(told) if isinstance(told, int) and not isinstance(told, bool) else ""
