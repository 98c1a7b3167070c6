"""Traced outlines made truly convex and smooth, where they are so but for rounding and for sharp corners.

What follows expects of an outline that it bulges outward everywhere and that every corner is an arc.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import atan2, hypot, pi, tan

import numpy as np

from mounts.geometry.outline import Arc, Line, Outline, Point, Span, convex_outline, polygon, span_heading
from mounts.load.formats.arcs import fit_biarcs, round_corner

SLIGHT = 0.2  # degrees: a turn inward by less is rounding
TRIM = 0.1  # mm taken off an arc to turn its end
MOST_SPANS = 40  # an outline of more is taken for the chords of a curve
MOST_CHORDS = 500  # of a curve that is followed chord by chord; more are thinned first


def make_convex(outline: Outline, within: float) -> Outline | None:
    """Return the outline as smooth convex arcs and lines; None when it bends inward.

    Arcs are kept where their ends need but a slight turn; else the outline becomes the hull of its chords, and those
    become arcs again. Corners between lines become arcs.

    Args:
        outline: closed, counter-clockwise.
        within: mm by which the result may depart from it, sharp corners apart.
    """
    points = outline.points(within / 20)
    candidate = outline
    for _ in range(4):
        if _is_smooth(candidate):
            if len(candidate.spans) > MOST_SPANS:
                break
            if all(abs(candidate.depth(p)) <= within for p in points):
                return _round_corners(candidate.spans, within / 2)
        candidate = Outline(tuple(_smooth(candidate.spans)))
    chords = _hull(points)
    if len(chords) < 3 or _bends_inward(chords, points, within):
        return None
    if len(chords) > MOST_CHORDS:
        chords = _thin(chords, within / 20)
    return fit_biarcs(chords, within / 2) or _round_corners(polygon(chords).spans, within / 2)


def _is_smooth(outline: Outline) -> bool:
    """Return whether an outline is convex, with corners between lines only."""
    spans = outline.spans
    joints = pairwise([*spans, spans[0]])
    lines = all(_turn(a, b) < SLIGHT or (isinstance(a, Line) and isinstance(b, Line)) for a, b in joints)
    return outline.is_convex and (lines or outline.is_circle)


def _smooth(spans: tuple[Span, ...]) -> list[Span]:
    """Return the spans without slight inward turns: two lines become one, an arc is shortened and joined again."""
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
            found[k], found[(k + 1) % len(found)] = joined = _join(span, after)
            if isinstance(span, Arc) and isinstance(after, Arc):
                found.insert(k + 1, Line(joined[0].end, joined[1].start))
            k += 1
    return found


def _join(span: Span, after: Span) -> tuple[Span, Span]:
    """Return two spans joined: arcs shortened to where they meet, a line moved to the arc's new end."""
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


def _round_corners(spans: tuple[Span, ...], departure: float) -> Outline:
    """Return the outline with an arc for every corner between two lines."""
    arcs: list[Arc] = []
    for span, after in pairwise([*spans, spans[0]]):
        if isinstance(span, Arc):
            arcs.append(span)
        elif isinstance(after, Line) and _turn(span, after) > 1e-6:
            arcs.append(round_corner(span, after, departure))
    return convex_outline(arcs)


def _turn(span: Span, after: Span) -> float:
    """Return the change of direction from one span to the next, degrees, positive to the left."""
    return (span_heading(after, 0.0) - span_heading(span, 1.0) + 180) % 360 - 180


def _hull(points: list[Point]) -> list[Point]:
    """Return the convex hull of points, counter-clockwise (Andrew's monotone chain)."""
    ordered = sorted(set(points))

    def chain(run: list[Point]) -> list[Point]:
        kept: list[Point] = []
        for p in run:
            while len(kept) > 1 and _area(kept[-2], kept[-1], p) <= 1e-9:
                kept.pop()
            kept.append(p)
        return kept[:-1]

    return chain(ordered) + chain(ordered[::-1])


def _bends_inward(hull: list[Point], points: list[Point], within: float) -> bool:
    """Return whether a point lies more than `within` mm inside the hull, from its nearest edge."""
    corners, inner = np.array(hull), np.array(points)
    along = np.roll(corners, -1, axis=0) - corners
    normals = np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(*along.T)[:, None]
    middle = corners.mean(axis=0)
    turns = np.arctan2(*(corners - middle).T[::-1])
    order = np.argsort(turns)
    sector = np.searchsorted(turns[order], np.arctan2(*(inner - middle).T[::-1]), side="right") - 1
    edge = order[sector]  # by which a ray from the middle through the point leaves; others may be nearer
    deep = np.einsum("ij,ij->i", inner - corners[edge], normals[edge]) > within
    return any(((point - corners) * normals).sum(axis=1).min() > within for point in inner[deep])


def _thin(hull: list[Point], sag: float) -> list[Point]:
    """Return corners of a convex polygon, leaving out those within `sag` mm of the chord over them.

    A convex curve that turns by an angle leaves its chord by half its length times the tangent of half that angle, at
    most.
    """
    kept = [hull[0]]
    headings = [atan2(b[1] - a[1], b[0] - a[0]) for a, b in pairwise([*hull, hull[0]])]
    first = 0
    for k in range(1, len(hull)):
        turn = (headings[k] - headings[first]) % (2 * pi)
        after = hull[(k + 1) % len(hull)]
        if turn > pi / 4 or hypot(after[0] - kept[-1][0], after[1] - kept[-1][1]) / 2 * tan(turn / 2) > sag:
            kept.append(hull[k])
            first = k
    return kept


def _area(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
