"""Drawings as values, for the writers of PNG, PDF and DXF: x to the right, y up, mm.

A drawing is a title and items in the order in which they are drawn. There are three sorts:

- flat, at 1:1, for a tool: outlines on layers (`Stroke`), centre marks (`Cross`) and notes, in the panel frame;
- a view in mm of the real thing with sizes, callouts and tags, which `write/layout.py` brings to a usual scale;
- on paper: lines, areas and texts in mm of paper, inside a box whose lower left corner is the origin.

Inks differ in lightness and lines in dash and weight, so that a grey print shows the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum, StrEnum
from math import cos, hypot, radians, sin
from typing import Literal

from mounts.geometry.outline import Box, Outline, Point, Polyline, closed, crossings

EM_OVER_CAP = 1 / 0.729  # DejaVu Sans
NEAR = 0.5  # mm outside a view's box at which a place still belongs to it
LETTER = 0.62  # width of a letter of running text in em, on the generous side


class Ink(Enum):
    """Colours as (red, green, blue), 0 to 1, from dark to light."""

    SOLID = (0.0, 0.0, 0.0)
    BLACK = (0.08, 0.09, 0.11)
    BLUE = (0.05, 0.25, 0.50)
    DARK = (0.25, 0.25, 0.25)
    RED = (0.70, 0.20, 0.10)
    GREY = (0.42, 0.45, 0.49)
    SILVER = (0.68, 0.71, 0.74)
    MIST = (0.86, 0.88, 0.90)
    ICE = (0.80, 0.90, 0.96)
    HAZE = (0.945, 0.95, 0.955)
    PAPER = (1.0, 1.0, 1.0)


class Layer(StrEnum):
    """Layer of a flat drawing: what its lines are for."""

    CUT = "CUT"  # the tool goes through here
    ENGRAVE = "ENGRAVE"  # the tool marks the surface
    REF = "REF"  # for the eye only: centre, clock, the opening behind


@dataclass(frozen=True, slots=True)
class Pen:
    """Width of a line in mm of paper, its ink, and the lengths of its strokes and gaps in turn."""

    weight: float = 0.18
    ink: Ink = Ink.BLACK
    dash: tuple[float, ...] = ()


EDGE, THIN = Pen(0.35), Pen()  # the wide and the narrow line of ISO 128: seen edges, and those that turn gently
AXIS = Pen(dash=(5.0, 1.0, 1.0, 1.0))
PHANTOM = Pen(0.22, dash=(2.0, 1.0))  # another place of a moving thing
LAYERS = {
    Layer.CUT: Pen(0.35, Ink.SOLID),
    Layer.ENGRAVE: Pen(0.18, Ink.SOLID),
    Layer.REF: Pen(0.18, Ink.DARK, (2.0, 1.0)),
}


@dataclass(frozen=True, slots=True)
class Fill:
    """Fill of an area.

    Attributes:
        ink: ink of the whole area.
        edge: pen of its outline, if any.
        pitch: mm of paper between the lines of a hatching at 45°; 0 for none.
        hatch: width of these lines, mm.
    """

    ink: Ink
    edge: Pen | None = None
    pitch: float = 0.0
    hatch: float = 0.1


@dataclass(frozen=True, slots=True)
class PenLine:
    """A polyline."""

    points: Polyline
    pen: Pen = THIN


@dataclass(frozen=True, slots=True)
class Area:
    """Closed loops, filled where an odd number of them goes round; `name` says what it shows."""

    loops: tuple[Polyline, ...]
    fill: Fill
    name: str = ""


@dataclass(frozen=True, slots=True)
class DrawnText:
    """Text of cap height `height`, its middle at the height of `at`.

    Attributes:
        anchor: which part of it is at `at`.
        turn: counter-clockwise, degrees.
        on_paper: whether a patch of paper is laid under it.
    """

    text: str
    at: Point
    height: float = 2.2
    anchor: Literal["start", "middle", "end"] = "start"
    ink: Ink = Ink.BLACK
    turn: float = 0.0
    on_paper: bool = False

    @property
    def em(self) -> float:
        """Size of its letters."""
        return self.height * EM_OVER_CAP


@dataclass(frozen=True, slots=True)
class Stroke:
    """A closed outline on a layer; `name` says what it is, such as "opening" or "hole A"."""

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
    """Text of cap height `height` mm centred at `at`, turned counter-clockwise by `turn` degrees.

    Where it is `on_paper`, no line that was drawn before runs through it.
    """

    text: str
    at: Point
    height: float = 3.0
    turn: float = 0.0
    layer: Layer = Layer.REF
    on_paper: bool = False


@dataclass(frozen=True, slots=True)
class Dimension:
    """A dimension between two points of a view.

    Attributes:
        one, other: its ends.
        along: measured along x ("u") or along y ("v").
        row: in which row out from the view it stands, from 1; positive above or right of it, negative below or left.
        text: what it says, such as "⌀ 116" or "② 14.2".
    """

    one: Point
    other: Point
    along: Literal["u", "v"]
    row: int
    text: str


@dataclass(frozen=True, slots=True)
class Callout:
    """Text in the margin of a view with a line to the place that it describes; `side` is -1 left, 1 right."""

    at: Point
    text: str
    side: Literal[-1, 1] = 1


@dataclass(frozen=True, slots=True)
class Tag:
    """A short word, such as a fixing's letter, in a view; `away` in mm of paper from `at`, to the right and up."""

    at: Point
    text: str
    away: Point = (0.0, 0.0)


Primitive = PenLine | Area | DrawnText | Stroke
Item = Primitive | Cross | Note | Dimension | Callout | Tag


@dataclass(frozen=True, slots=True)
class Drawing:
    """Everything on one drawing.

    Attributes:
        title: what it shows, as a person reads it.
        items: in the order in which they are drawn.
        captions: lines of plain text that belong under the title of a flat drawing.
        box: of a view, what is drawn to scale; of a drawing on paper, (0, 0, width, height).
        up: where its upper edge points as the part is fitted.
    """

    title: str
    items: tuple[Item, ...] = ()
    captions: tuple[str, ...] = ()
    box: Box = (0.0, 0.0, 0.0, 0.0)
    up: str = "UP"

    def inside(self) -> Drawing:
        """Return the view without sizes, callouts and tags whose places lie outside its box, as of a half's other."""
        u0, v0, u1, v1 = self.box

        def holds(item: Item) -> bool:
            places = [item.one, item.other] if isinstance(item, Dimension) else []
            places += [item.at] if isinstance(item, Callout | Tag) else []
            return all(u0 - NEAR <= u <= u1 + NEAR and v0 - NEAR <= v <= v1 + NEAR for u, v in places)

        return replace(self, items=tuple(filter(holds, self.items)))

    @property
    def strokes(self) -> tuple[Stroke, ...]:
        """The outlines of a flat drawing."""
        return tuple(item for item in self.items if isinstance(item, Stroke))


@dataclass(frozen=True, slots=True)
class ViewPlacement:
    """Placement of a view on the paper: mm of paper = corner + scale · (mm of the thing - its lower left corner)."""

    scale: float
    corner: Point
    low: Point

    def at(self, point: Point) -> Point:
        """Return a place of the thing on the paper."""
        u, v = (c + (p - o) * self.scale for c, p, o in zip(self.corner, point, self.low, strict=True))
        return (u, v)

    def along(self, path: Polyline) -> Polyline:
        """Return places of the thing on the paper."""
        return tuple(self.at(point) for point in path)


def primitives(items: Iterable[Item]) -> Iterator[Primitive]:
    """Yield what a writer must draw: lines, filled areas, texts and strokes.

    Raises:
        TypeError: if a size, callout or tag is among the items, which has no place before it is laid out.
    """
    for item in items:
        match item:
            case Cross():
                (x, y), half, pen = item.at, item.size / 2, LAYERS[item.layer]
                for ends in (((x - half, y), (x + half, y)), ((x, y - half), (x, y + half))):
                    yield PenLine(ends, Pen(pen.weight, pen.ink))
            case Note():
                ink = LAYERS[item.layer].ink
                yield DrawnText(item.text, item.at, item.height, "middle", ink, item.turn, on_paper=item.on_paper)
            case Area():
                yield item
                if item.fill.pitch:
                    yield from hatching(item.loops, 45.0, item.fill.pitch, item.fill.hatch)
                if item.fill.edge:
                    yield from (PenLine(closed(loop), item.fill.edge) for loop in item.loops)
            case PenLine() | DrawnText() | Stroke():
                yield item
            case _:
                raise TypeError(f"{type(item).__name__} must be laid out before it is drawn")


def inward(at: Point, by: float) -> Point:
    """Return a place moved towards the origin; where it lies nearer than that, to the right instead."""
    far = hypot(*at)
    return (at[0] * (1 - by / far), at[1] * (1 - by / far)) if far > 2 * by else (at[0] + by, at[1])


def centre_lines(box: Box, at: Point = (0.0, 0.0)) -> Cross:
    """Return a cross at a place, as large as a box about it allows; a small one at a place outside it."""
    x0, y0, x1, y1 = box
    reach = min(at[0] - x0, x1 - at[0], at[1] - y0, y1 - at[1])
    return Cross(at, max(12.0, 2 * reach))


def bound_width(text: str, height: float) -> float:
    """Return the width that text takes at most, mm, near enough to keep labels apart."""
    return len(text) * LETTER * height * EM_OVER_CAP


def arrow(tip: Point, angle: float, length: float = 1.8, ink: Ink = Ink.BLACK) -> Area:
    """Return a filled arrow head that points counter-clockwise by `angle` degrees from +x."""
    wings = [radians(angle + turn) for turn in (166.0, 194.0)]
    back = tuple((tip[0] + length * cos(w), tip[1] + length * sin(w)) for w in wings)
    return Area(((tip, *back),), Fill(ink))


def dot(at: Point, radius: float = 0.5, corners: int = 8) -> Area:
    """Return a small filled disc."""
    turns = [radians(360.0 * k / corners) for k in range(corners)]
    return Area((tuple((at[0] + radius * cos(t), at[1] + radius * sin(t)) for t in turns),), Fill(Ink.BLACK))


def arc(centre: Point, radius: float, begin: float, end: float) -> PenLine:
    """Return an arc of a circle between two angles counter-clockwise from +x, degrees."""
    steps = max(2, int(abs(end - begin) / 3))
    turns = [radians(begin + (end - begin) * k / steps) for k in range(steps + 1)]
    return PenLine(tuple((centre[0] + radius * cos(t), centre[1] + radius * sin(t)) for t in turns), Pen(0.13))


def hatching(loops: Sequence[Polyline], angle: float, pitch: float, weight: float = 0.1) -> Iterator[PenLine]:
    """Yield parallel lines `pitch` apart over what the loops enclose, at an angle counter-clockwise from +x."""
    c, s = cos(radians(angle)), sin(radians(angle))
    turned = [[(x * c + y * s, y * c - x * s) for x, y in loop] for loop in loops]
    heights = [y for loop in turned for _, y in loop]
    if not heights:
        return
    for k in range(int(min(heights) // pitch) + 1, int(max(heights) // pitch) + 1):
        level = k * pitch + 1e-7  # never through a corner
        hits = sorted(x for loop in turned for x in crossings(loop, level))
        for start, end in zip(hits[::2], hits[1::2], strict=False):
            yield PenLine(tuple((x * c - level * s, x * s + level * c) for x in (start, end)), Pen(weight))


def spread(wanted: Sequence[float], apart: float, low: float, high: float) -> list[float]:
    """Return places as near to those wanted as lets each keep `apart` from the next, in their order, within bounds."""
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
