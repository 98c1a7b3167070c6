"""A flat drawing at 1:1, for a paper template and a cutting file: decided by the plan, drawn by the writers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import hypot

from mounts.geometry.outline import Outline, Point


class Layer(StrEnum):
    """What a line is for."""

    CUT = "CUT"  # the tool goes through here
    ENGRAVE = "ENGRAVE"  # the tool marks the surface
    REF = "REF"  # for the eye only: centre, clock, the opening behind


@dataclass(frozen=True, slots=True)
class Stroke:
    """An outline to be drawn on a layer; `name` says what it is, such as "opening" or "hole A"."""

    outline: Outline
    layer: Layer
    name: str = ""


@dataclass(frozen=True, slots=True)
class Cross:
    """A centre mark: two lines of `size` mm that cross at `at`."""

    at: Point
    size: float = 6.0
    layer: Layer = Layer.REF


@dataclass(frozen=True, slots=True)
class Note:
    """Text of cap height `height` mm centred at `at`, turned counter-clockwise by `turn` degrees."""

    text: str
    at: Point
    height: float = 3.0
    turn: float = 0.0
    layer: Layer = Layer.REF


def inward(at: Point, by: float) -> Point:
    """A place moved towards the origin; where it lies nearer than that, to the right instead."""
    far = hypot(*at)
    return (at[0] * (1 - by / far), at[1] * (1 - by / far)) if far > 2 * by else (at[0] + by, at[1])


def centre_lines(box: tuple[float, float, float, float], at: Point = (0.0, 0.0)) -> Cross:
    """A cross at a place, as large as a box about it allows; a small one at a place outside it."""
    x0, y0, x1, y1 = box
    reach = min(at[0] - x0, x1 - at[0], at[1] - y0, y1 - at[1])
    return Cross(at, max(12.0, 2 * reach))


@dataclass(frozen=True, slots=True)
class Drawing:
    """Everything on one flat drawing, mm, panel frame seen from the cabin.

    Attributes:
        title: job and side, as a person reads it.
        captions: lines of plain text that belong under the title.
        strokes, crosses, notes: what is drawn.
    """

    title: str
    captions: tuple[str, ...] = ()
    strokes: tuple[Stroke, ...] = ()
    crosses: tuple[Cross, ...] = ()
    notes: tuple[Note, ...] = ()
