"""Lines and arcs in no order, chained into closed loops."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from math import hypot

from mounts.geometry.outline import SMALL, Arc, Line, Outline, Point, Span

FINE = 8  # cells of the grid in a gap
ROUNDING = 1e-6  # mm
MEET = 100  # ends in one cell, at most


def chain_spans(spans: list[Span], gap: float) -> list[list[Span]]:
    """Return the spans in chains, each span starting within `gap` mm of where the one before it ends.

    Raises:
        ValueError: if more spans meet in one place than any outline has there; the text says where.
    """
    ends = _Ends(spans, gap)
    found: list[list[Span]] = []
    for first in ends.rest():
        chain = deque([first])
        while after := ends.next(chain[-1].end, back_to=chain[0].start):
            chain.append(after)
        while _distance(chain[-1].end, chain[0].start) > gap and (
            before := ends.next(chain[0].start, back_to=chain[-1].end)
        ):
            chain.appendleft(_reverse(before))
        found.append(list(chain))
    return found


def gap_of(chain: list[Span]) -> float:
    """Return the gap between a chain's end and its start, mm."""
    return _distance(chain[-1].end, chain[0].start)


class _Ends:
    """The spans that are not yet in a chain, found by where they begin or end, in cells of a grid."""

    def __init__(self, spans: list[Span], gap: float) -> None:
        self.gap, self.size = gap, gap / FINE
        self.left = dict(enumerate(spans))
        self.cells: dict[tuple[int, int], dict[tuple[int, bool], Point]] = {}
        for k, span in self.left.items():
            for turned, end in enumerate((span.start, span.end)):
                held = self.cells.setdefault(self._cell(end), {})
                held[k, bool(turned)] = end
                if len(held) > MEET:
                    raise ValueError(f"more than {MEET} ends of lines meet at ({end[0]:.2f}, {end[1]:.2f})")

    def _cell(self, point: Point) -> tuple[int, int]:
        return (round(point[0] / self.size), round(point[1] / self.size))

    def rest(self) -> Iterator[Span]:
        """Take the first span that is left, each time."""
        for k in list(self.left):
            if k in self.left:
                yield self._take(k)

    def next(self, point: Point, back_to: Point) -> Span | None:
        """Take the span that goes on nearest to `point`; none once the chain is back where it began."""
        best = (_distance(point, back_to), -1, False)
        x, y = self._cell(point)
        edge = self.size / 2 - max(abs(point[0] - x * self.size), abs(point[1] - y * self.size))  # of the point's cell
        for ring in range(FINE + 2):
            if ring and (ring - 1) * self.size + edge - ROUNDING > min(best[0], self.gap):
                break  # whatever lies in this ring is further away
            for cell in _ring(x, y, ring):
                for (k, turned), end in self.cells.get(cell, {}).items():
                    best = min(best, (_distance(point, end), k, turned))
        gap, k, turned = best
        if gap > self.gap or k < 0:
            return None
        span = self._take(k)
        return _reverse(span) if turned else span

    def _take(self, k: int) -> Span:
        span = self.left.pop(k)
        for turned, end in enumerate((span.start, span.end)):
            del self.cells[self._cell(end)][k, bool(turned)]
        return span


def _ring(x: int, y: int, ring: int) -> Iterator[tuple[int, int]]:
    """Yield the cells at Chebyshev distance `ring` from one."""
    for dx in range(-ring, ring + 1):
        for dy in range(-ring, ring + 1) if abs(dx) == ring else {-ring, ring}:
            yield (x + dx, y + dy)


def close_gaps(chain: list[Span]) -> list[Span]:
    """Return the chain with its small gaps closed: a line's end moves to its neighbour's, arcs get a line between."""
    closed: list[Span] = []
    for k, span in enumerate(chain):
        before, after = chain[k - 1], chain[(k + 1) % len(chain)]
        if isinstance(span, Line):
            start = before.end if len(chain) > 1 else span.start
            end = after.start if isinstance(after, Arc) else span.end
            closed.append(Line(start if isinstance(before, Arc) else before.end, end))
        else:
            closed.append(span)
            if isinstance(after, Arc) and len(chain) > 1 and _distance(span.end, after.start) > SMALL:
                closed.append(Line(span.end, after.start))
    return closed


def counter_clockwise(loop: list[Span]) -> Outline:
    """Return a closed loop as an outline that runs counter-clockwise."""
    outline = Outline(tuple(loop))
    return outline if outline.area > 0 else Outline(tuple(_reverse(span) for span in reversed(loop)))


def _reverse(span: Span) -> Span:
    if isinstance(span, Arc):
        return Arc(span.centre, span.diameter, span.begin + span.sweep, -span.sweep)
    return Line(span.end, span.start)


def _distance(p: Point, q: Point) -> float:
    return hypot(p[0] - q[0], p[1] - q[1])
