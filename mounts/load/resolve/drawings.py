"""Outlines that a profile refers to as DXF files, read and put in place of the file's name."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from mounts.errors import InputError, Problem
from mounts.geometry.outline import Outline, circle
from mounts.load.parse.document import Document, Trail
from mounts.load.parse.units import quote_value

KEY = "outline"
STAND_IN = circle(100.0)


def read_outlines(document: Document, *, unread: bool = False) -> tuple[Any, list[Problem]]:
    """Return the data with an `Outline` in place of every DXF file's name, and the problems of those files.

    Args:
        document: what the file says.
        unread: whether a DXF file need only be there; a circle then stands for its outline.
    """
    problems: list[Problem] = []
    data = document.data
    for trail in drawing_trails(document):
        holder = _at(data, trail)
        try:
            path = find_beside(holder[KEY], document, (*trail, KEY))
            unit = holder.get("unit")
            outline = STAND_IN if unread else _read(path, unit if isinstance(unit, str) else None)
        except InputError as error:
            problems += [document.problem((*trail, KEY), problem.what) for problem in error.problems]
        else:
            data = replace_at(data, trail, {**holder, KEY: outline})
    return data, problems


def drawing_trails(document: Document) -> list[Trail]:
    """Return the trails of the mappings that name DXF files."""
    return list(_naming_trails(document.data, ()))


def find_beside(name: str, document: Document, trail: Trail) -> Path:
    """Return the path of `name` beside the file that holds `trail`; raise InputError if there is none."""
    folder = document.spot(trail)[0].parent
    try:
        inside = (folder / name).resolve().is_relative_to(folder.resolve())
        there = inside and (folder / name).is_file()
    except (OSError, ValueError, RuntimeError) as error:
        raise InputError(Problem(f"{quote_value(name)} is not a file name")) from error
    if not inside:
        raise InputError(Problem(f"{quote_value(name)} leaves the folder of this file; keep it inside"))
    if not there:
        raise InputError(Problem(f"there is no file {quote_value(name)} beside this one"))
    return folder / name


def _read(path: Path, unit: str | None) -> Outline:
    from mounts.load.formats.dxf import read_outline  # (few jobs need a DXF reader, and it loads slowly)

    return read_outline(path, unit)


def _naming_trails(data: object, trail: Trail) -> Iterator[Trail]:
    if isinstance(data, dict):
        if isinstance(data.get(KEY), str):
            yield trail
        for key, value in data.items():
            yield from _naming_trails(value, (*trail, key))
    elif isinstance(data, list):
        for i, value in enumerate(data):
            yield from _naming_trails(value, (*trail, i))


def _at(data: Any, trail: Trail) -> Any:
    for part in trail:
        data = data[part]
    return data


def replace_at(data: Any, trail: Trail, value: object) -> Any:
    """Return a copy of the data with another value at `trail`."""
    if not trail:
        return value
    copy = data.copy()
    copy[trail[0]] = replace_at(data[trail[0]], trail[1:], value)
    return copy
