"""Closed outlines in a plane, made of straight lines and circular arcs, exact.

Datum: x to the right, y up; an outline runs counter-clockwise and closes on itself. Lengths are in mm, angles in
degrees counter-clockwise from +x. A circle is one arc that sweeps 360. In a convex outline an arc's radius direction is
its outward normal, so such an outline is given by its arcs alone: lines join them. Corners are arcs of diameter 0.

Polylines and loops in a plane, mm; a loop is a polyline that closes from its last point to its first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import atan2, ceil, cos, degrees, hypot, inf, radians, sin

Point = tuple[float, float]
SMALL = 1e-9  # mm: two points closer than this are one
Polyline = tuple[Point, ...]
Box = tuple[float, float, float, float]  # x0, y0, x1, y1


@dataclass(frozen=True, slots=True)
class Line:
    """Straight span from `start` to `end`; its length may be 0 where two outlines are matched span to span."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
        """Length in mm."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    def at(self, fraction: float) -> Point:
        """Return the point at a fraction (0 to 1) of the way along the span."""
        (x0, y0), (x1, y1) = self.start, self.end
        return (x0 + (x1 - x0) * fraction, y0 + (y1 - y0) * fraction)


@dataclass(frozen=True, slots=True)
class Arc:
    """Circular span about `centre`, from angle `begin` through `sweep` degrees, positive counter-clockwise."""

    centre: Point
    diameter: float
    begin: float
    sweep: float

    @property
    def start(self) -> Point:
        """First point."""
        return self.at(0.0)

    @property
    def end(self) -> Point:
        """Last point."""
        return self.at(1.0)

    @property
    def length(self) -> float:
        """Length in mm."""
        return self.diameter / 2 * radians(abs(self.sweep))

    def at(self, fraction: float) -> Point:
        """Return the point at a fraction (0 to 1) of the way along the span."""
        return polar_point(self.centre, self.diameter, self.begin + self.sweep * fraction)

    def faces(self, angle: float) -> bool:
        """Return whether a radius of this arc points to `angle`."""
        turned = (angle - self.begin) % 360 if self.sweep >= 0 else (self.begin - angle) % 360
        return turned <= abs(self.sweep) + 1e-9 or turned >= 360 - 1e-9


Span = Line | Arc


def polar_point(centre: Point, diameter: float, angle: float) -> Point:
    """Return the point on the circle of `diameter` about `centre` at `angle` degrees counter-clockwise from +x.

    >>> polar_point((1.0, 2.0), 10.0, 0.0)
    (6.0, 2.0)
    """
    turn = radians(angle)
    return (centre[0] + diameter / 2 * cos(turn), centre[1] + diameter / 2 * sin(turn))


@dataclass(frozen=True, slots=True)
class Outline:
    """Closed counter-clockwise path of spans, each starting where the one before it ends."""

    spans: tuple[Span, ...]

    @property
    def arcs(self) -> tuple[Arc, ...]:
        """The arcs, in order."""
        return tuple(span for span in self.spans if isinstance(span, Arc))

    @property
    def length(self) -> float:
        """Length of the path in mm."""
        return sum(span.length for span in self.spans)

    @property
    def area(self) -> float:
        """Enclosed area in mm², by Green's theorem; negative when the path runs clockwise."""
        return sum(_signed_area(span) for span in self.spans)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least and greatest x and y: (x0, y0, x1, y1)."""
        points = [p for span in self.spans for p in _extremes(span)]
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return (min(xs), min(ys), max(xs), max(ys))

    @property
    def middle(self) -> Point:
        """Centre of its bounding box."""
        x0, y0, x1, y1 = self.box
        return ((x0 + x1) / 2, (y0 + y1) / 2)

    @property
    def is_circle(self) -> bool:
        """True if the outline is one whole circle."""
        return len(self.spans) == 1

    @property
    def is_convex(self) -> bool:
        """True if the outline bulges outward everywhere, so that the radii of arcs are its normals in rising order."""
        turns, spans = 0.0, [span for span in self.spans if isinstance(span, Arc) or span.length > SMALL]
        for before, after in zip(spans, spans[1:] + spans[:1], strict=True):
            if isinstance(after, Arc) and after.sweep < 0:
                return False
            turn = (span_heading(after, 0.0) - span_heading(before, 1.0) + 180) % 360 - 180
            if turn < -1e-6:
                return False
            turns += turn + (after.sweep if isinstance(after, Arc) else 0.0)
        return abs(turns - 360) < 1e-3

    def moved(self, dx: float, dy: float) -> Outline:
        """Return the outline shifted by (dx, dy) mm."""
        return Outline(tuple(_move_span(span, dx, dy) for span in self.spans))

    def turned(self, angle: float) -> Outline:
        """Return the outline turned counter-clockwise about the origin by `angle` degrees."""
        return Outline(tuple(_turn_span(span, angle) for span in self.spans))

    def mirrored(self) -> Outline:
        """Return the mirror image, x → −x, still running counter-clockwise."""
        return Outline(tuple(_mirror_span(span) for span in reversed(self.spans)))

    def points(self, sag: float = 0.02, *, least: int = 1) -> list[Point]:
        """Return points along the path, none repeated, such that no chord lies further than `sag` mm from its arc.

        Args:
            sag: greatest distance of a chord from its arc, mm.
            least: points on each span at least.
        """
        spans = [span for span in self.spans if span.length > SMALL] or self.spans[:1]
        return [point for span in spans for point in _spread(span, _chord_count(span, sag, least))]

    def depth(self, point: Point) -> float:
        """Return the signed distance of a point to the path in mm: positive inside, negative outside."""
        distance = min(_distance(span, point) for span in self.spans)
        return distance if self.holds(point) else -distance

    def holds(self, point: Point) -> bool:
        """Return whether the path goes round the point; a point on the path may count either way."""
        ends = [span.start[1] for span in self.spans[1:] + self.spans[:1]]
        return sum(_crossings(span, end, point) for span, end in zip(self.spans, ends, strict=True)) % 2 == 1

    def support(self, angle: float) -> float:
        """Return the support function of a convex outline: its greatest reach from the origin towards `angle`, mm."""
        ux, uy = cos(radians(angle)), sin(radians(angle))
        best = -inf
        for span in self.spans:
            if isinstance(span, Arc) and span.faces(angle):
                best = max(best, span.centre[0] * ux + span.centre[1] * uy + span.diameter / 2)
            else:
                best = max(best, span.start[0] * ux + span.start[1] * uy)
        return best

    def reach(self, angle: float) -> float:
        """Return how far the ray from the origin at `angle` goes to where it last leaves the path, mm; 0 if never.

        >>> round(circle(10.0, (2.0, 0.0)).reach(180.0), 9)
        3.0
        """
        ray = (cos(radians(angle)), sin(radians(angle)))
        return max((far for span in self.spans for far in _met_by_ray(span, ray)), default=0.0)


def circle(diameter: float, at: Point = (0.0, 0.0)) -> Outline:
    """Return the circle of `diameter` about `at`.

    >>> round(circle(2.0).area, 5)
    3.14159
    """
    return Outline((Arc(at, diameter, 0.0, 360.0),))


def oblong(width: float, height: float) -> Outline:
    """Return a slot with round ends about the origin, `width` along x and `height` along y.

    >>> oblong(20.0, 6.0).box
    (-10.0, -3.0, 10.0, 3.0)
    """
    end = min(width, height)
    dx, dy = (width - end) / 2, (height - end) / 2
    if dx < SMALL and dy < SMALL:
        return circle(end)
    return convex_outline([Arc((dx, dy), end, 0 if dy else -90, 180), Arc((-dx, -dy), end, 180 if dy else 90, 180)])


def rectangle(width: float, height: float, corner: float) -> Outline:
    """Return a rectangle about the origin: `width` along x, `height` along y, corners rounded to the radius `corner`.

    The corner is a radius because every drawing gives it as one.

    >>> rectangle(20.0, 10.0, 0.0).area
    200.0
    """
    dx, dy = width / 2 - corner, height / 2 - corner
    if dx < SMALL and dy < SMALL:
        return circle(2 * corner)
    corners = [((dx, -dy), -90), ((dx, dy), 0), ((-dx, dy), 90), ((-dx, -dy), 180)]
    return convex_outline([Arc(at, 2 * corner, begin, 90) for at, begin in corners])


def polygon(points: Sequence[Point]) -> Outline:
    """Return the straight-sided outline through `points`, counter-clockwise.

    It has no arcs at its corners, so it can be neither offset nor used where a convex outline with arcs is needed.

    >>> polygon([(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)]).length
    12.0
    """
    return Outline(tuple(Line(a, b) for a, b in zip(points, [*points[1:], points[0]], strict=True)))


def convex_outline(arcs: Iterable[Arc]) -> Outline:
    """Return the convex outline of arcs in counter-clockwise order, with the lines that join them.

    >>> convex_outline([Arc((0.0, 0.0), 2.0, 90.0, 180.0), Arc((5.0, 0.0), 2.0, -90.0, 180.0)]).box
    (-1.0, -1.0, 6.0, 1.0)
    """
    arcs = list(arcs)
    if len(arcs) == 1:
        return Outline(tuple(arcs))
    spans: list[Span] = []
    for arc, after in zip(arcs, arcs[1:] + arcs[:1], strict=True):
        spans.append(arc)
        join = Line(arc.end, after.start)
        if join.length > SMALL:
            spans.append(join)
    return Outline(tuple(spans))


def offset_outline(outline: Outline, by: float) -> Outline:
    """Return a convex outline moved outward by `by` mm everywhere (inward when negative), spans kept one to one.

    Raises:
        ValueError: if it would have to move in by more than its smallest arc's radius, or has no arcs at its corners.

    >>> offset_outline(circle(10.0), 2.0) == circle(14.0)
    True
    """
    arcs = outline.arcs
    if not arcs:
        raise ValueError("an outline is moved by its arcs; give its corners arcs of diameter 0")
    if any(arc.diameter + 2 * by < -SMALL for arc in arcs):
        raise ValueError(f"an arc of diameter {min(a.diameter for a in arcs):.3f} cannot move in by {-by:.3f}")
    return convex_outline(replace(arc, diameter=max(0.0, arc.diameter + 2 * by)) for arc in arcs)


def _signed_area(span: Span) -> float:
    """Return the area between a span and the origin by Green's theorem, mm²; positive counter-clockwise."""
    (x0, y0), (x1, y1) = span.start, span.end
    chord = (x0 * y1 - x1 * y0) / 2
    if isinstance(span, Line):
        return chord
    sweep = radians(span.sweep)
    return chord + span.diameter**2 / 8 * (sweep - sin(sweep))


def _extremes(span: Span) -> Iterator[Point]:
    """Yield the points of a span among which its least and greatest x and y are."""
    yield span.start
    yield span.end
    if isinstance(span, Arc):
        yield from (polar_point(span.centre, span.diameter, a) for a in (0, 90, 180, 270) if span.faces(a))


def span_heading(span: Span, fraction: float) -> float:
    """Return the direction of travel in degrees at the start (0) or end (1) of a span."""
    if isinstance(span, Arc):
        return span.begin + span.sweep * fraction + (90 if span.sweep >= 0 else -90)
    return degrees(atan2(span.end[1] - span.start[1], span.end[0] - span.start[0]))


def _move_span(span: Span, dx: float, dy: float) -> Span:
    if isinstance(span, Arc):
        return replace(span, centre=(span.centre[0] + dx, span.centre[1] + dy))
    return Line((span.start[0] + dx, span.start[1] + dy), (span.end[0] + dx, span.end[1] + dy))


def _turn_span(span: Span, angle: float) -> Span:
    c, s = cos(radians(angle)), sin(radians(angle))

    def turn(p: Point) -> Point:
        return (p[0] * c - p[1] * s, p[0] * s + p[1] * c)

    if isinstance(span, Arc):
        return replace(span, centre=turn(span.centre), begin=span.begin + angle)
    return Line(turn(span.start), turn(span.end))


def _mirror_span(span: Span) -> Span:
    if isinstance(span, Arc):
        (x, y), end = span.centre, span.begin + span.sweep
        return replace(span, centre=(-x, y), begin=180 - end)
    return Line((-span.end[0], span.end[1]), (-span.start[0], span.start[1]))


def _chord_count(span: Span, sag: float, least: int) -> int:
    """Return the number of chords of a span, at least `least`, none of which lies further than `sag` from it."""
    if isinstance(span, Line) or span.diameter <= 2 * sag:
        return least
    step = 2 * degrees(atan2((span.diameter / 2 * sag * 2 - sag**2) ** 0.5, span.diameter / 2 - sag))
    return max(least, ceil(abs(span.sweep) / step))


def _spread(span: Span, count: int) -> list[Point]:
    """Return the points that lie 0, 1, … `count` - 1 of `count` equal parts along a span."""
    if isinstance(span, Line):
        return [span.at(i / count) for i in range(count)]
    (x, y), half, begin, sweep = span.centre, span.diameter / 2, span.begin, span.sweep
    turns = [radians(begin + sweep * (i / count)) for i in range(count)]
    return [(x + half * cos(turn), y + half * sin(turn)) for turn in turns]


def _distance(span: Span, point: Point) -> float:
    """Return the distance of a point from a span, mm."""
    if isinstance(span, Arc):
        dx, dy = point[0] - span.centre[0], point[1] - span.centre[1]
        if span.faces(degrees(atan2(dy, dx))):
            return abs(hypot(dx, dy) - span.diameter / 2)
        return min(hypot(point[0] - p[0], point[1] - p[1]) for p in (span.start, span.end))
    if span.length < SMALL:
        return hypot(point[0] - span.start[0], point[1] - span.start[1])
    (x0, y0), (x1, y1) = span.start, span.end
    along = ((point[0] - x0) * (x1 - x0) + (point[1] - y0) * (y1 - y0)) / span.length**2
    near = span.at(min(1.0, max(0.0, along)))
    return hypot(point[0] - near[0], point[1] - near[1])


def _met_by_ray(span: Span, ray: Point) -> Iterator[float]:
    """Yield how far along a ray from the origin, a unit vector, the line through it meets a span, mm."""
    x, y = ray
    if isinstance(span, Arc):
        (cx, cy), half = span.centre, span.diameter / 2
        along, aside = cx * x + cy * y, cy * x - cx * y
        if abs(aside) <= half:
            for far in (along - (half**2 - aside**2) ** 0.5, along + (half**2 - aside**2) ** 0.5):
                if span.faces(degrees(atan2(far * y - cy, far * x - cx))):
                    yield far
        return
    (x0, y0), (x1, y1) = span.start, span.end
    begin, end = y0 * x - x0 * y, y1 * x - x1 * y
    if begin != end and min(begin, end) <= SMALL and max(begin, end) >= -SMALL:
        px, py = span.at(min(1.0, max(0.0, begin / (begin - end))))
        yield px * x + py * y


def _crossings(span: Span, end: float, point: Point) -> int:
    """Return how often the ray from `point` towards +x crosses a span; ends count by the half-open rule in y.

    `end` is the y at which the span ends, taken from the start of the next one, so that no ray slips between two spans
    that meet but for rounding.
    """
    if isinstance(span, Line):
        (x0, y0), (x1, y1) = span.start, (span.end[0], end)
        if (y0 <= point[1]) == (y1 <= point[1]):
            return 0
        return int(x0 + (point[1] - y0) * (x1 - x0) / (y1 - y0) > point[0])
    turns = _monotone_angles(span)
    levels = [*(polar_point(span.centre, span.diameter, turn)[1] for turn in turns[:-1]), end]
    count = 0
    for (a, y0), (b, y1) in pairwise(zip(turns, levels, strict=True)):
        if (y0 <= point[1]) != (y1 <= point[1]):
            half = max(0.0, span.diameter**2 / 4 - (point[1] - span.centre[1]) ** 2) ** 0.5
            side = half if cos(radians((a + b) / 2)) > 0 else -half
            count += int(span.centre[0] + side > point[0])
    return count


def _monotone_angles(arc: Arc) -> list[float]:
    """Return the angles of an arc's ends and of its highest and lowest points between them, in its own direction."""
    first, last = sorted((arc.begin, arc.begin + arc.sweep))
    upright = [90.0 + 180 * k for k in range(ceil(first / 180) - 1, ceil(last / 180) + 1)]
    turns = [first, *(angle for angle in upright if first < angle < last), last]
    return turns if arc.sweep >= 0 else turns[::-1]


def bound_points(points: Iterable[Point], *boxes: Box) -> Box:
    """Return the box about points and other boxes."""
    corners = [*points, *(corner for box in boxes for corner in (box[:2], box[2:]))]
    us, vs = zip(*corners, strict=True)
    return (min(us), min(vs), max(us), max(vs))


def closed(loop: Iterable[Point]) -> Polyline:
    """Return a loop as a polyline that ends where it begins."""
    points = tuple(loop)
    return (*points, points[0])


def rectangle_loop(x0: float, y0: float, x1: float, y1: float) -> Polyline:
    """Return a rectangle as a loop."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def loop_area(loop: Polyline) -> float:
    """Return the area inside a loop, mm², by the shoelace formula; positive whichever way it runs."""
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(loop, (*loop[1:], loop[0]), strict=True))) / 2


def ray_end(start: Point, way: Point, box: Box) -> Point:
    """Return where a ray from inside a box leaves it at the top or at a side; its start where it does neither."""
    left, _, right, top = box
    long = hypot(*way)
    u, v = way[0] / long, way[1] / long
    up = (top - start[1]) / v if v > 1e-6 else inf
    aside = ((right if u > 0 else left) - start[0]) / u if abs(u) > 1e-6 else inf
    reach = min(up, aside)
    return (start[0] + u * reach, start[1] + v * reach) if reach < inf else start


def crossings(loop: Sequence[Point], level: float) -> Iterator[float]:
    """Yield the x at which a closed loop crosses the horizontal line at y = `level`."""
    for (x0, y0), (x1, y1) in pairwise([*loop, loop[0]]):
        if (y0 > level) != (y1 > level):
            yield x0 + (x1 - x0) * (level - y0) / (y1 - y0)
