"""Traced outlines made truly convex and smooth, where they are so but for rounding and for sharp corners.

What follows expects of an outline that it bulges outward everywhere and that every corner is an arc.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import atan2, degrees

from mounts.geometry.outline import Arc, Line, Outline, Point, Span, convex, polygon
from mounts.load.arcs import corner, fitted

SLIGHT = 0.2  # degrees: a turn inward by less is rounding
TRIM = 0.1  # mm taken off an arc to turn its end
MOST_SPANS = 40  # an outline of more is taken for the chords of a curve


def mended(outline: Outline, within: float) -> Outline | None:
    """The outline as smooth arcs and lines that bulge outward everywhere; None when it bends inward.

    Arcs are kept where their ends need but a slight turn; else the outline becomes the hull of its chords, and those
    become arcs again. Corners between lines become arcs.

    Args:
        outline: closed, counter-clockwise.
        within: mm by which the result may depart from it, sharp corners apart.
    """
    points = outline.points(within / 20)
    candidate = outline
    for _ in range(4):
        if _is_smooth(candidate) and all(abs(candidate.depth(p)) <= within for p in points):
            if len(candidate.spans) <= MOST_SPANS:
                return _rounded(candidate.spans, within / 2)
            break
        candidate = Outline(tuple(_smoothed(candidate.spans)))
    chords = _hull(points)
    if len(chords) < 3 or any(polygon(chords).depth(p) > within for p in points):
        return None
    return fitted(chords, within / 2) or _rounded(polygon(chords).spans, within / 2)


def _is_smooth(outline: Outline) -> bool:
    """Whether it is convex, with corners between lines only."""
    spans = outline.spans
    joints = pairwise([*spans, spans[0]])
    lines = all(_turn(a, b) < SLIGHT or (isinstance(a, Line) and isinstance(b, Line)) for a, b in joints)
    return outline.is_convex and (lines or outline.is_circle)


def _smoothed(spans: tuple[Span, ...]) -> list[Span]:
    """The spans with each slight inward turn taken out: two lines become one, an arc is cut short and joined anew."""
    found = list(spans)
    k = 0
    while k < len(found) and len(found) > 2:
        span, after = found[k], found[(k + 1) % len(found)]
        if not -SLIGHT < _turn(span, after) < -1e-7:
            k += 1
        elif isinstance(span, Line) and isinstance(after, Line):
            found[k] = Line(span.start, after.end)
            del found[(k + 1) % len(found)]
            k = max(0, k - 1)
        else:
            found[k], found[(k + 1) % len(found)] = joined = _joined(span, after)
            if isinstance(span, Arc) and isinstance(after, Arc):
                found.insert(k + 1, Line(joined[0].end, joined[1].start))
            k += 1
    return found


def _joined(span: Span, after: Span) -> tuple[Span, Span]:
    """Two spans with the arcs among them cut short where they meet, and a line moved to the arc's new end."""
    if isinstance(span, Arc):
        share = min(1 / 3, TRIM / span.length)
        span = replace(span, sweep=span.sweep * (1 - share))
    if isinstance(after, Arc):
        share = min(1 / 3, TRIM / after.length)
        after = replace(after, begin=after.begin + after.sweep * share, sweep=after.sweep * (1 - share))
    if isinstance(span, Line):
        span = Line(span.start, after.start)
    elif isinstance(after, Line):
        after = Line(span.end, after.end)
    return span, after


def _rounded(spans: tuple[Span, ...], departure: float) -> Outline:
    """The outline with an arc for every corner between two lines."""
    arcs: list[Arc] = []
    for span, after in pairwise([*spans, spans[0]]):
        if isinstance(span, Arc):
            arcs.append(span)
        elif isinstance(after, Line) and _turn(span, after) > 1e-6:
            arcs.append(corner(span, after, departure))
    return convex(arcs)


def _turn(span: Span, after: Span) -> float:
    """Change of direction from one span to the next, degrees, positive to the left."""
    return (_heading(after, 0.0) - _heading(span, 1.0) + 180) % 360 - 180


def _heading(span: Span, fraction: float) -> float:
    """Direction of travel in degrees at the start (0) or the end (1) of a span."""
    if isinstance(span, Arc):
        return span.begin + span.sweep * fraction + (90 if span.sweep >= 0 else -90)
    return degrees(atan2(span.end[1] - span.start[1], span.end[0] - span.start[0]))


def _hull(points: list[Point]) -> list[Point]:
    """Convex hull of points, counter-clockwise (Andrew's monotone chain)."""
    ordered = sorted(set(points))

    def chain(run: list[Point]) -> list[Point]:
        kept: list[Point] = []
        for p in run:
            while len(kept) > 1 and _area(kept[-2], kept[-1], p) <= 1e-9:
                kept.pop()
            kept.append(p)
        return kept[:-1]

    return chain(ordered) + chain(ordered[::-1])


def _area(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
