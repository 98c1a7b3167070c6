"""Lines and arcs in no order, chained into closed loops."""

from __future__ import annotations

from math import hypot

from mounts.geometry.outline import SMALL, Arc, Line, Outline, Point, Span


def chains(spans: list[Span], gap: float) -> list[list[Span]]:
    """The spans in chains, each span starting within `gap` mm of where the one before it ends."""
    ends = _Ends(spans, gap)
    found: list[list[Span]] = []
    while (first := ends.any()) is not None:
        chain = [first]
        while after := ends.next(chain[-1].end, back_to=chain[0].start):
            chain.append(after)
        while gap_of(chain) > gap and (before := ends.next(chain[0].start, back_to=chain[-1].end)):
            chain.insert(0, _back(before))
        found.append(chain)
    return found


def gap_of(chain: list[Span]) -> float:
    """What a chain lacks to be closed, mm."""
    return _apart(chain[-1].end, chain[0].start)


class _Ends:
    """The spans that are not yet in a chain, found by where they begin or end."""

    def __init__(self, spans: list[Span], gap: float) -> None:
        self.gap = gap
        self.left = dict(enumerate(spans))
        self.cells: dict[tuple[int, int], set[int]] = {}
        for k, span in self.left.items():
            for end in (span.start, span.end):
                self.cells.setdefault(self._cell(end), set()).add(k)

    def _cell(self, point: Point) -> tuple[int, int]:
        return (round(point[0] / self.gap), round(point[1] / self.gap))

    def any(self) -> Span | None:
        """Takes the first span that is left."""
        return self.left.pop(next(iter(self.left))) if self.left else None

    def next(self, point: Point, back_to: Point) -> Span | None:
        """Takes the span that goes on nearest to `point`; none once the chain is back where it began."""
        best = (_apart(point, back_to), -1, False)
        x, y = self._cell(point)
        near = {k for dx in (-1, 0, 1) for dy in (-1, 0, 1) for k in self.cells.get((x + dx, y + dy), ())}
        for k in sorted(near & self.left.keys()):
            span = self.left[k]
            best = min(best, (_apart(point, span.start), k, False), (_apart(point, span.end), k, True))
        gap, k, turned = best
        if gap > self.gap or k < 0:
            return None
        span = self.left.pop(k)
        return _back(span) if turned else span


def closed(chain: list[Span]) -> list[Span]:
    """The chain with its small gaps closed: a line's end moves to its neighbour's, two arcs get a line between."""
    closed: list[Span] = []
    for k, span in enumerate(chain):
        before, after = chain[k - 1], chain[(k + 1) % len(chain)]
        if isinstance(span, Line):
            start = before.end if len(chain) > 1 else span.start
            end = after.start if isinstance(after, Arc) else span.end
            closed.append(Line(start if isinstance(before, Arc) else before.end, end))
        else:
            closed.append(span)
            if isinstance(after, Arc) and len(chain) > 1 and _apart(span.end, after.start) > SMALL:
                closed.append(Line(span.end, after.start))
    return closed


def forward(loop: list[Span]) -> Outline:
    """A closed loop as an outline that runs counter-clockwise."""
    outline = Outline(tuple(loop))
    return outline if outline.area > 0 else Outline(tuple(_back(span) for span in reversed(loop)))


def _back(span: Span) -> Span:
    if isinstance(span, Arc):
        return Arc(span.centre, span.diameter, span.begin + span.sweep, -span.sweep)
    return Line(span.end, span.start)


def _apart(p: Point, q: Point) -> float:
    return hypot(p[0] - q[0], p[1] - q[1])
