"""Corners into arcs, and fine chords back into the few arcs that they once were.

A traced curve often comes as hundreds of chords. Pairs of arcs that meet smoothly (biarcs) follow it as closely with a
tenth of the spans. Headings are directions of travel in radians, counter-clockwise from +x.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, dist, hypot, pi, sin, tan

from mounts.geometry.outline import Arc, Line, Outline, Point, convex_outline

CORNER = 0.5  # mm: a sharp corner gets this radius, as every rectangle's has at least
SAGITTA = 0.06  # mm: an edge whose arc would stand off further than this is a true line
SHARES = (0.5, 0.35, 0.65, 0.2, 0.8)  # of the turn, tried in this order, at which a pair of arcs may meet
WIDEST = pi / 2  # turn of one pair of arcs, at most


def round_corner(before: Line, after: Line, departure: float) -> Arc:
    """Return the largest arc that rounds a corner between two lines, within their lengths and the departure.

    Args:
        before, after: the lines, which turn left where they meet.
        departure: mm between the corner and its arc, unless the least corner radius needs more.
    """
    along = _along(before.start, before.end)
    turn = (_along(after.start, after.end) - along) % (2 * pi)
    most = min(before.length, after.length) / 2 / tan(turn / 2)
    radius = min(most, max(CORNER, departure / (1 / cos(turn / 2) - 1)))
    back = radius * tan(turn / 2)
    return _arc((before.end[0] - back * cos(along), before.end[1] - back * sin(along)), radius, along, turn)


def fit_biarcs(corners: Sequence[Point], departure: float) -> Outline | None:
    """Fit a smooth convex outline of arcs and lines to a convex polygon; None where biarcs do not fit.

    Args:
        corners: the polygon's, counter-clockwise.
        departure: mm by which the outline may leave them, sharp corners apart.
    """
    polygon = _Polygon(tuple(corners))
    arcs: list[Arc] = []
    for first, last in polygon.runs():
        if first == last:
            arcs.append(round_corner(polygon.edge(first - 1), polygon.edge(first), departure))
            continue
        at = first
        while at < last:
            step = polygon.furthest(at, last, departure)
            if step is None:
                return None
            at, pair = step
            arcs += pair
    outline = convex_outline(arcs)
    return outline if outline.is_convex else None


@dataclass(frozen=True)
class _Polygon:
    """A convex polygon, counter-clockwise; indices go round, edge k leads from corner k to corner k + 1."""

    corners: tuple[Point, ...]

    def at(self, k: int) -> Point:
        return self.corners[k % len(self.corners)]

    def edge(self, k: int) -> Line:
        return Line(self.at(k), self.at(k + 1))

    def turn(self, k: int) -> float:
        """Return the change of heading at a corner, radians."""
        return (_along(self.at(k), self.at(k + 1)) - _along(self.at(k - 1), self.at(k))) % (2 * pi)

    def is_line(self, k: int) -> bool:
        """Return whether an edge is a line of the outline itself, not a chord of a curve."""
        return self.edge(k).length * max(self.turn(k), self.turn(k + 1)) / 8 > SAGITTA

    def runs(self) -> Iterator[tuple[int, int]]:
        """Yield first and last corner of each stretch between two true lines; a sharp corner is a stretch of one."""
        count = len(self.corners)
        lines = [k for k in range(count) if self.is_line(k)]
        if not lines:
            yield (0, count)
        for k, after in zip(lines, [*lines[1:], *(k + count for k in lines[:1])], strict=True):
            yield (k + 1, after)

    def heading(self, k: int) -> float:
        """Return the curve's heading at a corner: of a true line beside it, else of the circle through three points."""
        before, after = self.edge(k - 1), self.edge(k)
        if self.is_line(k - 1):
            return _along(before.start, before.end)
        if self.is_line(k):
            return _along(after.start, after.end)
        return _along(before.start, before.end) + self.turn(k) * before.length / (before.length + after.length)

    def furthest(self, first: int, last: int, departure: float) -> tuple[int, list[Arc]] | None:
        """Return the biarc that follows the most corners from `first` on, and the corner where it ends."""
        best: tuple[int, list[Arc]] | None = None
        for end in range(first + 1, last + 1):
            pair = self._pair(first, end)
            if not pair or not all(_off(pair, self.at(k)) <= departure for k in range(first + 1, end)):
                break
            best = (end, pair)
        return best

    def _pair(self, first: int, end: int) -> list[Arc]:
        """Return the biarc that joins two corners with the curve's headings there; empty if there is none."""
        begin = self.heading(first)
        turn = (self.heading(end) - begin) % (2 * pi)
        if not 1e-9 < turn <= WIDEST:
            return []
        x, y = self.at(end)[0] - self.at(first)[0], self.at(end)[1] - self.at(first)[1]
        for share in SHARES:
            (ax, ay), (bx, by) = _chord(begin, turn * share), _chord(begin + turn * share, turn * (1 - share))
            area = ax * by - ay * bx
            one, other = (x * by - y * bx) / area, (ax * y - ay * x) / area
            if min(one, other) > 1e-3:
                middle = (self.at(first)[0] + one * ax, self.at(first)[1] + one * ay)
                return [
                    _arc(self.at(first), one, begin, turn * share),
                    _arc(middle, other, begin + turn * share, turn * (1 - share)),
                ]
        return []


def _along(start: Point, end: Point) -> float:
    return atan2(end[1] - start[1], end[0] - start[0])


def _chord(heading: float, turn: float) -> Point:
    """Return the vector from start to end of an arc of radius 1."""
    return (sin(heading + turn) - sin(heading), cos(heading) - cos(heading + turn))


def _arc(start: Point, radius: float, heading: float, turn: float) -> Arc:
    """Return the arc that turns left from a point with a heading."""
    centre = (start[0] - radius * sin(heading), start[1] + radius * cos(heading))
    return Arc(centre, 2 * radius, degrees(heading) - 90, degrees(turn))


def _off(pair: list[Arc], point: Point) -> float:
    """Return the distance of a point from the nearest arc whose sweep faces it, mm."""
    faced = [arc for arc in pair if arc.faces(degrees(_along(arc.centre, point)))]
    return min((abs(dist(arc.centre, point) - arc.diameter / 2) for arc in faced), default=hypot(*point))
