"""Figures of one series of which some carry a unit and some do not: those were forgotten, and would count as mm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from mounts.load.parse.units import LENGTHS, quote_value, unit_of

NAMED = ("at", "at_clock", "readings", "to_opening", "heights", "this_seat", "other_seat", "pins", "points", "loops")

Trail = tuple[str | int, ...]


def find_missing_units(data: Any) -> Iterator[tuple[Trail, str]]:
    """Yield each figure that lacks the unit of the others in its series: its trail, and what to write.

    A series is a list, with the lists and mappings in it, or what is named by holes, clock directions or axes: of these
    only figures under the same keys are alike. A flange of "6.5 in", 4 thick, is none.
    """
    for trail, series in _series(data, ()):
        for alike in _alike(series).values():
            like = next(((value, unit) for _, value in alike if (unit := _unit(value)) and unit != "mm"), None)
            for inner, value in alike:
                if like and _unit(value) == "" and str(value).strip("+-0., "):
                    yield (*trail, *inner), _message(str(value), *like)


def _message(bare: str, like: str, unit: str) -> str:
    beside = f"{bare} has no unit and {quote_value(like)[1:-1]} beside it has"
    return f"{beside}; write {bare} {'in' if LENGTHS[unit] == LENGTHS['in'] else unit}, or {bare} mm"


def _series(data: Any, trail: Trail) -> Iterator[tuple[Trail, Any]]:
    """Yield the outermost series in a file."""
    if isinstance(data, list) or (isinstance(data, Mapping) and trail and trail[-1] in NAMED):
        yield trail, data
    elif isinstance(data, Mapping):
        for key, value in data.items():
            yield from _series(value, (*trail, key))


def _alike(series: Any) -> dict[Trail, list[tuple[Trail, Any]]]:
    """Return a series' figures by the keys that they stand under."""
    found: dict[Trail, list[tuple[Trail, Any]]] = {}
    outer = set(series) if isinstance(series, Mapping) else set()
    for trail, value in _leaves(series, ()):
        if _unit(value) is not None:
            names = trail[1:] if outer else trail
            found.setdefault(tuple(part for part in names if isinstance(part, str)), []).append((trail, value))
    return found


def _leaves(data: Any, trail: Trail) -> Iterator[tuple[Trail, Any]]:
    if isinstance(data, Mapping):
        for key, value in data.items():
            yield from _leaves(value, (*trail, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from _leaves(value, (*trail, index))
    else:
        yield trail, data


def _unit(value: Any) -> str | None:
    """Return the unit of length that a figure carries, "" for none; None for what is no length."""
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return None
    unit = unit_of(value) if isinstance(value, str) else ""
    return unit if unit == "" or unit in LENGTHS else None
