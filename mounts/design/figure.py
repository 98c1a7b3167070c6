"""A figure on paper as a value: areas, lines and words in mm, drawn alike on a screen and on a page.

Unlike a `Drawing`, which is 1:1 for the tool, a figure is for the eye. x goes right and y up from its lower left.
Inks differ in lightness and lines in dash and weight, so that a figure printed in grey says the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise
from math import cos, radians, sin

from mounts.geometry.outline import Point

Polyline = tuple[Point, ...]
EM_OVER_CAP = 1 / 0.729  # DejaVu Sans
LETTER = 0.62  # of an em: width of a letter of running text, on the generous side


class Ink(Enum):
    """Colours as (red, green, blue), 0 to 1, from dark to light."""

    BLACK = (0.08, 0.09, 0.11)
    BLUE = (0.05, 0.25, 0.50)
    RED = (0.70, 0.20, 0.10)
    GREY = (0.42, 0.45, 0.49)
    SILVER = (0.68, 0.71, 0.74)
    MIST = (0.86, 0.88, 0.90)
    ICE = (0.80, 0.90, 0.96)
    HAZE = (0.945, 0.95, 0.955)
    PAPER = (1.0, 1.0, 1.0)


@dataclass(frozen=True, slots=True)
class Line:
    """A polyline; `dash` gives lengths of strokes and gaps in turn."""

    points: Polyline
    ink: Ink = Ink.BLACK
    weight: float = 0.18
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Area:
    """Closed loops filled where an odd number of them goes round."""

    loops: tuple[Polyline, ...]
    ink: Ink


@dataclass(frozen=True, slots=True)
class Words:
    """Text of cap height `height`, its middle at the height of `at`.

    Attributes:
        anchor: which part of it is at `at`: "start", "middle" or "end".
        turn: counter-clockwise, degrees.
        on_paper: whether a patch of paper is laid under it.
    """

    text: str
    at: Point
    height: float = 2.2
    anchor: str = "start"
    ink: Ink = Ink.BLACK
    turn: float = 0.0
    on_paper: bool = False

    @property
    def em(self) -> float:
        """Size of its letters."""
        return self.height * EM_OVER_CAP


Item = Line | Area | Words


@dataclass(frozen=True, slots=True)
class Figure:
    """Everything on one figure, in the order in which it is drawn; `size` is its width and height."""

    title: str
    size: tuple[float, float]
    items: tuple[Item, ...]


def wide(text: str, height: float) -> float:
    """Width that text takes at most, near enough to keep labels apart."""
    return len(text) * LETTER * height * EM_OVER_CAP


def closed(loop: Iterable[Point]) -> Polyline:
    """A loop as a polyline that ends where it begins."""
    points = tuple(loop)
    return (*points, points[0])


def box(x0: float, y0: float, x1: float, y1: float) -> Polyline:
    """A rectangle as a loop."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def arrow(tip: Point, angle: float, length: float = 1.8) -> Area:
    """A filled arrow head that points counter-clockwise by `angle` degrees from +x."""
    wings = [radians(angle + turn) for turn in (166.0, 194.0)]
    back = tuple((tip[0] + length * cos(w), tip[1] + length * sin(w)) for w in wings)
    return Area(((tip, *back),), Ink.BLACK)


def arc(centre: Point, radius: float, begin: float, end: float) -> Line:
    """An arc of a circle between two angles counter-clockwise from +x, degrees; drawn, so by its radius."""
    steps = max(2, int(abs(end - begin) / 3))
    turns = [radians(begin + (end - begin) * k / steps) for k in range(steps + 1)]
    return Line(tuple((centre[0] + radius * cos(t), centre[1] + radius * sin(t)) for t in turns), weight=0.13)


def hatching(loops: Sequence[Polyline], angle: float, pitch: float, weight: float = 0.1) -> Iterator[Line]:
    """Parallel lines `pitch` apart over what the loops enclose, at an angle counter-clockwise from +x."""
    c, s = cos(radians(angle)), sin(radians(angle))
    turned = [[(x * c + y * s, y * c - x * s) for x, y in loop] for loop in loops]
    heights = [y for loop in turned for _, y in loop]
    if not heights:
        return
    for k in range(int(min(heights) // pitch) + 1, int(max(heights) // pitch) + 1):
        level = k * pitch + 1e-7  # never through a corner
        hits = sorted(x for loop in turned for x in _crossings(loop, level))
        for start, end in zip(hits[::2], hits[1::2], strict=False):
            ends = tuple((x * c - level * s, x * s + level * c) for x in (start, end))
            yield Line(ends, Ink.BLACK, weight)


def _crossings(loop: Sequence[Point], level: float) -> Iterator[float]:
    for (x0, y0), (x1, y1) in pairwise([*loop, loop[0]]):
        if (y0 > level) != (y1 > level):
            yield x0 + (x1 - x0) * (level - y0) / (y1 - y0)


def spread(wanted: Sequence[float], apart: float, low: float, high: float) -> list[float]:
    """Places as near to those wanted as lets each keep `apart` from the next, in their order, between two bounds."""
    order = sorted(range(len(wanted)), key=lambda k: wanted[k])
    placed = [min(max(wanted[k], low), high) for k in order]
    for _ in range(60):
        for k in range(1, len(placed)):
            short = apart - (placed[k] - placed[k - 1])
            if short > 0:
                placed[k - 1], placed[k] = placed[k - 1] - short / 2, placed[k] + short / 2
        if placed:
            down, up = max(0.0, low - placed[0]), max(0.0, placed[-1] - high)
            placed[0], placed[-1] = placed[0] + down, placed[-1] - up
    found = [0.0] * len(wanted)
    for k, place in zip(order, placed, strict=True):
        found[k] = place
    return found
