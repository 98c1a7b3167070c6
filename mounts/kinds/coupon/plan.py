"""Plan of a coupon: every dimension, from the printer's nozzle and the insert that the workshop sets.

Plan of a coupon as values. Datum: it lies on the bed at z = 0, its X bar along x, its middle at the origin.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import cos, hypot, radians, sin

from mounts.design.lettering import Label, Letter, Lettering, on_plane, slug
from mounts.findings.wall import Wall
from mounts.geometry.frames import Frame
from mounts.geometry.outline import Outline, Point, polygon
from mounts.identity import Ident, Role, called
from mounts.load.models.hardware import Insert
from mounts.load.models.job import Glyph
from mounts.load.models.workshop import Material, Printer

STAR, PODIUM = called(Role.PIECE, "bars"), called(Role.PIECE, "block")
LENGTH = 120.0  # mm over a bar's ends: as long as goes into a caliper of 150
THICK, CHAMFER = 3.0, 0.4  # of the bars; of edges on the bed, where the first layer spreads
WIDE, SLIM = 16.0, 10.0  # width of the bars
PEG, RIB = 8.0, 5.0  # heights over the bars
HOLES = (
    (3.0, 0.0, 24.0),
    (4.0, 0.0, 34.0),
    (5.0, 0.0, 44.0),
    (6.0, 0.0, 54.0),
    (8.0, 180.0, 25.0),
    (10.0, 180.0, 44.0),
)
HUB = 20.0  # hole in the star's middle
FITS = tuple(6.0 + k / 10 for k in range(8))
PLUG = 6.0  # diameter of the loose plug that they are tried with
PEGS = ((8.0, 135.0, 24.0), (6.0, 135.0, 43.0), (5.0, 315.0, 25.0), (4.0, 315.0, 43.0))
LINES = (3, 4, 5, 6)  # of the nozzle, in the ribs
OVER = (0.0, 0.1, 0.2, 0.3)  # of the insert pockets over the insert's own hole
PLACES = (23.5, 33.5, 43.5, 53.5)  # of four steps along half a bar, from the middle
ASIDE, FIGURE = -2.2, 5.8  # of steps and of their figures, across the bar
FLOOR = 1.2  # under an insert pocket
BLOCK = (17.5, 59.5, -7.9, 4.0)  # of the insert pockets: along their half bar, and across it
CAP, STROKES, RAISED = 3.0, 6.2, 0.6  # least height of the figures, that of one whose stroke is a line, relief
WALL_LINES = 3  # lines of the nozzle beside a hole
GUIDES = "print guides: two lines of the nozzle at least, three as a rule"


@dataclass(frozen=True, slots=True)
class StarBar:
    """One bar of the star: its key in the readings, its direction in degrees from x, its width."""

    key: str
    angle: float
    width: float


BARS = (
    StarBar("x", 0.0, WIDE),
    StarBar("rising", 45.0, WIDE),
    StarBar("y", 90.0, WIDE),
    StarBar("falling", 135.0, SLIM),
)


@dataclass(frozen=True, slots=True)
class CouponStep:
    """One hole, peg, rib or pocket.

    Attributes:
        name: of the feature, such as "fit 6.1".
        group: of readings: "holes", "fits", "pegs", "ribs" or "inserts".
        size: as it is drawn, mm: a diameter, or a rib's thickness.
        at: its middle.
        angle: of its bar, degrees from x.
    """

    name: str
    group: str
    size: float
    at: Point
    angle: float

    @property
    def ident(self) -> Ident:
        """Identity of its feature."""
        return called(Role.PIECE, self.name)

    @property
    def key(self) -> str:
        """Key of the step in the readings."""
        return f"{self.size:.1f}".removesuffix(".0") if self.group != "fits" else f"{self.size:.1f}"


@dataclass(frozen=True, slots=True)
class CouponPlan:
    """The star, or with `plug` its loose plug.

    Attributes:
        name: ASCII, for files and the STEP.
        bars: the four of them, each `length` over its ends.
        thick: of the bars.
        chamfer: of edges on the bed.
        outline: of the star, and as it stands on the bed, within the chamfer.
        steps: holes, pegs, ribs and pockets.
        block: that the insert pockets are in, and the height of its top.
        pocket: depth of the insert pockets from there.
        tall: height of pegs and ribs over the bars.
        labels: the figures beside them.
        plug: diameter of the loose plug.
        walls: with their limits.
        genus: through holes.
    """

    name: str
    bars: tuple[StarBar, ...]
    length: float
    thick: float
    chamfer: float
    outline: Outline
    foot: Outline
    steps: tuple[CouponStep, ...]
    block: tuple[Outline, float]
    pocket: float
    tall: tuple[float, float]
    labels: tuple[Label, ...]
    plug: float
    walls: tuple[Wall, ...]
    genus: int

    def group(self, name: str) -> tuple[CouponStep, ...]:
        """Return the steps of one group of readings."""
        return tuple(step for step in self.steps if step.group == name)


@dataclass(frozen=True, slots=True)
class Figures:
    """Font and cap height of the figures, mm."""

    font: Lettering
    cap: float


def plan_coupon(printer: Printer, material: Material, insert: Insert, glyphs: Mapping[str, Glyph]) -> CouponPlan:
    """Plan the coupon of a printer and a material, with pockets for one insert."""
    steps = (*_holes(), *_fits(), *_pegs(), *_ribs(printer.nozzle), *_pockets(insert))
    pocket = insert.length + insert.over
    return CouponPlan(
        name=slug(f"coupon-{printer.name}-{material.name}"),
        bars=BARS,
        length=LENGTH,
        thick=THICK,
        chamfer=CHAMFER,
        outline=star_outline(LENGTH, 0.0),
        foot=star_outline(LENGTH, CHAMFER),
        steps=steps,
        block=(polygon([_on(45.0, u, v) for u, v in _corners(*BLOCK)]), max(pocket + FLOOR, THICK + 1.0)),
        pocket=pocket,
        tall=(PEG, RIB),
        labels=tuple(_labels(steps, material, Figures(Lettering(glyphs, True, RAISED), _cap(printer)))),
        plug=PLUG,
        walls=tuple(_walls(steps, printer.nozzle, insert)),
        genus=sum(step.group in ("holes", "fits") for step in steps),
    )


def fits_insert(insert: Insert) -> bool:
    """Return whether pockets of an insert leave enough wall on the bar."""
    widest, apart = insert.hole + max(OVER), PLACES[1] - PLACES[0]
    across, along = BLOCK[3] - BLOCK[2] - widest - 2 * insert.wall, apart - widest - insert.wall
    return min(across, along) >= -1e-9


def coupon_characters(material: Material) -> str:
    """Return every character that a coupon's figures need."""
    return f"0123456789.XY-{material.name.upper()}"


def _cap(printer: Printer) -> float:
    """Return the cap height of the figures, mm: as large as one line of the nozzle needs for their strokes."""
    return max(CAP, STROKES * printer.nozzle)


def star_outline(length: float, by: float) -> Outline:
    """Return the outline of the star of bars `length` mm over their ends, offset inward by `by` mm."""
    ways = [StarBar(bar.key, bar.angle + turn, bar.width) for turn in (0.0, 180.0) for bar in BARS]
    points: list[Point] = []
    for bar, after in zip(ways, [*ways[1:], ways[0]], strict=True):
        half = bar.width / 2 - by
        points += [_on(bar.angle, length / 2 - by, v) for v in (-half, half)]
        points.append(_notch(bar, after, by))
    return polygon(points)


def _notch(bar: StarBar, after: StarBar, by: float) -> Point:
    """Return where the left edge of a bar meets the right edge of the next one round."""
    turn, a, b = radians(after.angle - bar.angle), bar.width / 2 - by, after.width / 2 - by
    along = (b + a * cos(turn)) / sin(turn)
    return _on(bar.angle, along, a)


def _on(angle: float, u: float, v: float) -> Point:
    """Return the point `u` along a direction, degrees, and `v` to its left."""
    c, s = cos(radians(angle)), sin(radians(angle))
    return (u * c - v * s, u * s + v * c)


def _corners(u0: float, u1: float, v0: float, v1: float) -> list[Point]:
    return [(u0, v0), (u1, v0), (u1, v1), (u0, v1)]


def _holes() -> Iterator[CouponStep]:
    for size, angle, u in HOLES:
        yield CouponStep(f"hole {size:g}", "holes", size, _on(angle, u, _aside(size)), angle)
    yield CouponStep(f"hole {HUB:g}", "holes", HUB, (0.0, 0.0), 0.0)


def _aside(size: float) -> float:
    """Return the offset across the bar, mm: small holes leave room for their figure, large ones have it behind them."""
    return ASIDE if size <= 7 else 0.0


def _fits() -> Iterator[CouponStep]:
    for k, size in enumerate(FITS):
        angle = 90.0 if k < len(PLACES) else 270.0
        yield CouponStep(f"fit {size:.1f}", "fits", size, _on(angle, PLACES[k % len(PLACES)], ASIDE), angle)


def _pegs() -> Iterator[CouponStep]:
    for size, angle, u in PEGS:
        yield CouponStep(f"peg {size:g}", "pegs", size, _on(angle, u, 0.0), angle)


def _ribs(nozzle: float) -> Iterator[CouponStep]:
    for count, u in zip(LINES, PLACES, strict=True):
        yield CouponStep(f"rib {count * nozzle:g}", "ribs", count * nozzle, _on(225.0, u, ASIDE), 225.0)


def _pockets(insert: Insert) -> Iterator[CouponStep]:
    for over, u in zip(OVER, PLACES, strict=True):
        size = insert.hole + over
        yield CouponStep(f"pocket {size:.1f}", "inserts", size, _on(45.0, u, (BLOCK[2] + BLOCK[3]) / 2), 45.0)


def _labels(steps: Sequence[CouponStep], material: Material, how: Figures) -> Iterator[Label]:
    for step in steps:
        if step.size == HUB:
            yield _along(how, step.key, 315.0, 15.0, 0.0)
            continue
        u = step.at[0] * cos(radians(step.angle)) + step.at[1] * sin(radians(step.angle))
        slim = step.group == "pegs" or (step.group == "holes" and step.size > 7)
        yield _along(how, step.key, step.angle, u + (step.size / 2 + 5.0 if slim else 0.0), 0.0 if slim else FIGURE)
    yield _along(how, "X", 0.0, 15.0, 0.0)
    yield _along(how, "Y", 90.0, 15.0, 0.0)
    called = material.name.upper()
    if how.font.width(called, how.cap) <= WIDE - 1:
        yield _along(how, called, 270.0, 15.0, 0.0, across=True)


def _along(how: Figures, text: str, angle: float, u: float, v: float, *, across: bool = False) -> Label:
    """Set a text on the bars, along its bar or across it, never upside down."""
    flat = on_plane(how.font, text, how.cap, (0.0, 0.0), THICK)
    read = (angle + 90.0 * across + 90.0) % 360.0
    turn = angle + 90.0 * across + (180.0 if 180.0 < read < 360.0 else 0.0)
    x, y = _on(angle, u, v)
    return replace(flat, letters=tuple(_turned(letter, turn, (x, y)) for letter in flat.letters))


def _turned(letter: Letter, turn: float, at: Point) -> Letter:
    """Return a letter of a text about the origin, turned by `turn` degrees and moved to `at`."""
    x, y = _on(turn, *letter.frame.origin[:2])
    along = (cos(radians(turn)), sin(radians(turn)), 0.0)
    return replace(letter, frame=Frame((x + at[0], y + at[1], letter.frame.origin[2]), along))


def _walls(steps: Sequence[CouponStep], nozzle: float, insert: Insert) -> Iterator[Wall]:
    """Yield the walls beside every hole, through every rib, and round and under every pocket."""
    limit = WALL_LINES * nozzle
    widths = {turn: bar.width for bar in BARS for turn in (bar.angle, bar.angle + 180)}
    for step in steps:
        c, s = cos(radians(step.angle)), sin(radians(step.angle))
        aside = -step.at[0] * s + step.at[1] * c
        at = (*step.at, THICK / 2)
        if step.group in ("holes", "fits") and step.size != HUB:
            edge = widths[step.angle] / 2 - abs(aside) - step.size / 2
            yield Wall("wall.step", (step.ident, STAR), edge, limit, GUIDES, at)
        elif step.group == "inserts":
            beside = (BLOCK[3] - BLOCK[2] - step.size) / 2  # its ends lie further off
            yield Wall("wall.step", (step.ident, PODIUM), beside, insert.wall, "the insert's own least wall", at)
            yield Wall("wall.step", (step.ident, STAR), FLOOR, 2 * nozzle, GUIDES, at)
        elif step.group == "ribs":
            yield Wall("wall.step", (step.ident, step.ident), step.size, 2 * nozzle, GUIDES, at)
    for one, other in pairwise(steps):
        if one.angle == other.angle and one.group == other.group and one.group in ("holes", "fits", "inserts"):
            apart = hypot(one.at[0] - other.at[0], one.at[1] - other.at[1]) - (one.size + other.size) / 2
            if HUB not in (one.size, other.size):
                least = insert.wall if one.group == "inserts" else limit
                yield Wall("wall.step", (one.ident, other.ident), apart, least, GUIDES, (*one.at, THICK / 2))
