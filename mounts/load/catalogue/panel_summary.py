"""A panel in short: what another panel is compared with, so that a library is looked through without loading it.

Needs neither models nor numpy: `known_of`, which does, lives in `load.knowing`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

Point = tuple[float, float]
Opening = tuple[Point, float, float, str]


@dataclass(frozen=True, slots=True)
class PanelSummary:
    """Summary of a panel, seen from the front, mm.

    Attributes:
        name, about: name and description of the panel.
        side, other_side: whose side was measured, and how the other follows; "" where nothing is said.
        place: place in the vehicle; "" where not said.
        pins: whether it has pins; else fixings round an opening.
        points: centre of each fixing or pin, by name.
        sizes: diameter of the panel's holes, or of each pin, by name; empty where not measured.
        heights: how much higher the face is at a fixing; of pins, how long they are.
        sd: one standard deviation of a point's place, in x and in y, the pattern free to shift and turn.
        spread: covariance of the points as surveyed, (2n, 2n) mm², x and y of each in turn; None where each was read by
            itself.
        opening: centre, least width and greatest width of opening or grille, and in words; None where there is none.
        depths: least depth behind the face to the glass, or to the room's end.
        things: behind the face: label, centre, greatest width and least depth of each.
        fronts: least height above the face of "trim" and "grille".
        told: other things of the face that a mount must know: thickness, lining, bead.
        by, on, read_with: who measured, when, and how the holes were read, as "to 0.25 by caliper"; "" if unstated.
    """

    name: str
    about: str
    side: str
    other_side: str
    place: str
    pins: bool
    points: Mapping[str, Point]
    sizes: Mapping[str, float]
    heights: Mapping[str, float]
    sd: float
    spread: tuple[tuple[float, ...], ...] | None
    opening: Opening | None
    depths: Mapping[str, float]
    things: tuple[tuple[str, Point, float, float], ...]
    fronts: Mapping[str, float]
    told: Mapping[str, float]
    by: str
    on: str
    read_with: str

    @property
    def pattern(self) -> tuple[Point, ...]:
        """The centres in the order of the names."""
        return tuple(self.points.values())

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the fixings or pins."""
        return tuple(self.points)

    @property
    def measured(self) -> str:
        """Words on who measured, when and how well."""
        return measured_words(self.by, self.on, self.read_with)


def measured_words(by: str, on: str, read_with: str) -> str:
    """Return in words who measured, when and how well, saying what is not stated."""
    who = ", ".join(word for word in (f"measured by {by}" if by else "", on) if word) or "unstated who measured"
    return f"{who}; holes read {read_with}" if read_with else f"{who}; unstated how well"


def as_tree(known: PanelSummary) -> dict[str, Any]:
    """Return a JSON-serialisable dict of this panel."""
    return {field.name: _plain(getattr(known, field.name)) for field in fields(PanelSummary)}


def from_tree(tree: Mapping[str, Any]) -> PanelSummary:
    """Return the panel from such a dict; raise KeyError or TypeError where it is none."""
    spread = tree["spread"] and tuple(tuple(row) for row in tree["spread"])
    points = {name: (at[0], at[1]) for name, at in tree["points"].items()}
    opening = tree["opening"]
    if opening is not None:
        centre, least, across, words = opening
        opening = ((centre[0], centre[1]), least, across, words)
    things = tuple((label, (at[0], at[1]), across, depth) for label, at, across, depth in tree["things"])
    told = {field.name: tree[field.name] for field in fields(PanelSummary)}
    return PanelSummary(**{**told, "points": points, "opening": opening, "spread": spread, "things": things})


def _plain(value: object) -> object:
    if isinstance(value, Mapping):
        return {key: _plain(inner) for key, inner in value.items()}
    return [_plain(inner) for inner in value] if isinstance(value, Sequence) and not isinstance(value, str) else value
