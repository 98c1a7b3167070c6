"""A dimensioned view as values: what is seen, what is cut, and what is written beside it.

Datum: u to the right and v up on the paper, in mm of the real thing; text and arrows keep their size on paper whatever
the scale, so their places are told by what they belong to and by how far out they stand, in rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from mounts.geometry.outline import Point

Path = tuple[Point, ...]
Box = tuple[float, float, float, float]


class Pen(StrEnum):
    """How a line is drawn: the wide and narrow lines of ISO 128, and what they stand for."""

    EDGE = "edge"  # seen edges, 0.35 mm
    THIN = "thin"  # edges that turn gently, 0.18 mm
    AXIS = "axis"  # centre lines: long and short dashes
    PHANTOM = "phantom"  # another place of a moving thing: dashes
    BOLD = "bold"  # what matters most in a view, such as glass


class Tone(StrEnum):
    """How what is cut is filled, told apart in grey."""

    HATCH = "hatch"  # the mount
    BLACK = "black"  # sheet metal
    DARK = "dark"  # trim and grille
    PALE = "pale"  # speaker
    OPEN = "open"  # screws and other things: outline alone


@dataclass(frozen=True, slots=True)
class Line:
    """An open line through points."""

    path: Path
    pen: Pen = Pen.EDGE


@dataclass(frozen=True, slots=True)
class Area:
    """What is cut: closed loops, of which the inner ones are holes."""

    loops: tuple[Path, ...]
    tone: Tone
    name: str = ""


@dataclass(frozen=True, slots=True)
class Size:
    """A dimension between two points.

    Attributes:
        one, other: its ends.
        along: measured along u, along v, or straight from end to end.
        row: which row out from the view it stands in, from 1; positive above or right of it, negative below or left.
        text: what it says, such as "⌀ 116" or "② 14.2".
    """

    one: Point
    other: Point
    along: Literal["u", "v"]
    row: int
    text: str


@dataclass(frozen=True, slots=True)
class Callout:
    """Words in the margin with a line to the place that they tell of; `side` is the margin, -1 left, 1 right."""

    at: Point
    text: str
    side: Literal[-1, 1] = 1


@dataclass(frozen=True, slots=True)
class Tag:
    """A short word, such as a fixing's letter, at a place; `away` in mm on paper from it, to the right and up."""

    at: Point
    text: str
    away: Point = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class View:
    """One view of a part.

    Attributes:
        title: what is seen, and from where.
        box: of what is drawn to scale, (u0, v0, u1, v1).
        keyed: whether callouts stand below the view, each with a letter at its place; a wide view is larger for it.
    """

    title: str
    box: Box
    areas: tuple[Area, ...] = ()
    lines: tuple[Line, ...] = ()
    sizes: tuple[Size, ...] = ()
    callouts: tuple[Callout, ...] = ()
    tags: tuple[Tag, ...] = ()
    keyed: bool = False


def around(points: Path, *boxes: Box) -> Box:
    """The box about points and other boxes."""
    us = [p[0] for p in points] + [u for b in boxes for u in (b[0], b[2])]
    vs = [p[1] for p in points] + [v for b in boxes for v in (b[1], b[3])]
    return (min(us), min(vs), max(us), max(vs))
