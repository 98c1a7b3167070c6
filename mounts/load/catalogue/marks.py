"""Marks by which a profile is listed, read off its file's own words: quick, and silent about what is wrong there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from mounts.load.catalogue.panel_summary import measured_words
from mounts.load.parse import units

ABOUT = 4.0  # mm by which a speaker's size may differ from the one that is asked for: sizes are sold in steps of more

Mark = tuple[str, str | float]


@dataclass(frozen=True, slots=True)
class LibraryFilter:
    """Filter of a list; None for anything.

    Attributes:
        place: of a panel, as door.
        holes, pins: how many fixings or pins a panel has.
        size: of a speaker, mm: what it is sold as, else its flange's width.
        vehicle: of a job or a kit; a part of its name, capitals and blanks aside.
    """

    place: str | None = None
    holes: int | None = None
    pins: int | None = None
    size: float | None = None
    vehicle: str | None = None

    @property
    def kinds(self) -> tuple[str, ...] | None:
        """The kinds that can have all that is asked for; None when nothing is."""
        panels = self.place is not None or self.holes is not None or self.pins is not None
        asked = {("panel",): panels, ("speaker",): self.size is not None, ("job", "kit"): self.vehicle is not None}
        kinds = [kinds for kinds, is_asked in asked.items() if is_asked]
        return kinds[0] if len(kinds) == 1 else () if kinds else None

    def takes(self, marks: Iterable[Mark]) -> bool:
        """Return whether an entry with these marks passes the filter."""
        held = dict(marks)
        exact = {"place": self.place, "holes": self.holes, "pins": self.pins}
        if any(value is not None and held.get(key) != value for key, value in exact.items()):
            return False
        if self.vehicle is not None and not is_in(self.vehicle, str(held.get("vehicle", ""))):
            return False
        size = held.get("size")
        return self.size is None or (isinstance(size, float) and abs(size - self.size) <= ABOUT)


def is_in(wanted: str, text: str) -> bool:
    """Return whether a text contains another, ignoring case and blanks; an empty text contains nothing."""
    one, other = (" ".join(words.casefold().split()) for words in (wanted, text))
    return bool(other) and one in other


def marks_of(kind: str, told: Mapping[str, Any]) -> tuple[Mark, ...]:
    """Return the marks of a profile from its file's data; a value that cannot be read gives no mark."""
    if kind == "panel":
        return tuple(_panel(told))
    size = _size(told) if kind == "speaker" else None
    return () if size is None else (("size", size),)


def measured_of(told: Mapping[str, Any]) -> str:
    """Return in words who measured a panel, when and how well."""
    measured, read_with = _mapping(told, "measured"), _mapping(told, "read_with")
    holes = read_with.get("holes")
    how = f"to {holes:g}" if isinstance(holes, int | float) else f"by {holes}" if isinstance(holes, str) else ""
    return measured_words(str(measured.get("by") or ""), str(measured.get("on") or ""), how)


def _panel(told: Mapping[str, Any]) -> Iterator[Mark]:
    if isinstance(told.get("place"), str):
        yield ("place", told["place"])
    if "pins" in told:
        yield ("pins", len(_mapping(told, "pins")))
    elif (count := _holes(_mapping(told, "fixings"))) is not None:
        yield ("holes", count)


def _holes(fixings: Mapping[str, Any]) -> int | None:
    """Return the number of fixings, whichever way they were measured; None where the file does not give it directly."""
    for way in ("at", "points"):
        if isinstance(fixings.get(way), dict):
            return len(fixings[way])
    count = _mapping(fixings, "bolt_circle").get("count")
    if isinstance(count, int):
        return count
    readings = _mapping(_mapping(fixings, "distances"), "readings")
    return len({name for pair in readings for name in str(pair).split("-")}) or None


def _size(told: Mapping[str, Any]) -> float | None:
    flange = told.get("flange")
    given = told.get("nominal")
    if given is None and isinstance(flange, dict):
        given = next(
            (flange[key] for key in ("diameter", "round", "square", "rectangle", "oblong") if key in flange), None
        )
    widest = max(given, key=_length, default=None) if isinstance(given, list) else given
    return _length(widest) or None


def _length(value: object) -> float:
    try:
        return units.length(value)
    except ValueError:
        return 0.0


def _mapping(told: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    found = told.get(key)
    return found if isinstance(found, dict) else {}
