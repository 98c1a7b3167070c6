"""Convex outlines made of others: hull, spans matched one to one, and rounded intersection. All exact, none polygonal.

A convex outline is known by its support function: its reach in each direction. The support function of a hull is the
maximum of those of its members, so the hull is found by comparing, direction by direction, which arc reaches furthest.

Intersections of two spans: where they cross, touch, or begin and end to run along each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np

from mounts.geometry.outline import SMALL, Arc, Line, Outline, Point, Span, circle, convex_outline, offset_outline

TOUCH = 1e-7  # mm: spans that come this near touch
SNAP = 1e-7  # degrees: two normals closer than this are one
ROUNDING = 1e-7  # mm: what is shorter than this, or sticks out by less, is nothing


def span_intersections(span: Span, rival: Span) -> list[float]:
    """Return the fractions along `span`, ends excluded, at which it meets the line or circle of `rival`, or its start.

    The start counts because two spans on one line or circle part company at their ends only.

    >>> span_intersections(Line((0.0, 0.0), (4.0, 0.0)), Line((1.0, -1.0), (1.0, 1.0)))
    [0.25]
    """
    if isinstance(span, Line):
        if span.length < SMALL:
            return []
        found = [_line_fraction(span, point) for point in _points_on_line(span, rival)]
    else:
        found = [_arc_fraction(span, point) for point in _points_on_arc(span, rival)]
    return [fraction for fraction in found if 0 < fraction < 1]


def _points_on_line(line: Line, rival: Span) -> list[Point]:
    """Return the points of a line at which a span's line or circle meets it, and the span's start if it lies there."""
    ux, uy = _direction(line)
    dx, dy = rival.start[0] - line.start[0], rival.start[1] - line.start[1]
    found = [rival.start] if abs(dx * uy - dy * ux) < TOUCH else []
    if isinstance(rival, Arc):
        return found + _line_circle(line, rival.centre, rival.diameter)
    if rival.length < SMALL:
        return found
    bx, by = _direction(rival)
    cross = ux * by - uy * bx
    if abs(cross) < 1e-12:
        return found
    t = (dx * by - dy * bx) / cross
    return [*found, (line.start[0] + t * ux, line.start[1] + t * uy)]


def _points_on_arc(arc: Arc, rival: Span) -> list[Point]:
    """Return the points of an arc's circle at which a span's line or circle meets it, and its start if there."""
    x, y = rival.start
    found = [(x, y)] if abs(hypot(x - arc.centre[0], y - arc.centre[1]) - arc.diameter / 2) < TOUCH else []
    if isinstance(rival, Arc):
        return found + _circle_circle(arc.centre, arc.diameter, rival.centre, rival.diameter)
    return found + (_line_circle(rival, arc.centre, arc.diameter) if rival.length >= SMALL else [])


def _direction(line: Line) -> Point:
    """Return the unit vector along a line."""
    return ((line.end[0] - line.start[0]) / line.length, (line.end[1] - line.start[1]) / line.length)


def _line_fraction(line: Line, point: Point) -> float:
    """Return the fraction along a line at which a point lies."""
    ux, uy = _direction(line)
    return ((point[0] - line.start[0]) * ux + (point[1] - line.start[1]) * uy) / line.length


def _arc_fraction(arc: Arc, point: Point) -> float:
    """Return the fraction along an arc at which a point lies."""
    turn = degrees(atan2(point[1] - arc.centre[1], point[0] - arc.centre[0]))
    return (turn - arc.begin) % 360 / arc.sweep if arc.sweep else 0.0


def _line_circle(line: Line, centre: Point, diameter: float) -> list[Point]:
    """Return the two points in which a line meets a circle, none where it passes by."""
    ux, uy = _direction(line)
    dx, dy = centre[0] - line.start[0], centre[1] - line.start[1]
    along, off = dx * ux + dy * uy, abs(dx * uy - dy * ux)
    if off > diameter / 2 + TOUCH:
        return []
    half = max(0.0, diameter**2 / 4 - off**2) ** 0.5
    return [(line.start[0] + t * ux, line.start[1] + t * uy) for t in (along - half, along + half)]


def _circle_circle(c1: Point, d1: float, c2: Point, d2: float) -> list[Point]:
    """Return the two points in which two circles meet, none where they do not or share their centre."""
    apart = hypot(c2[0] - c1[0], c2[1] - c1[1])
    if apart < SMALL or not abs(d1 - d2) / 2 - TOUCH < apart < (d1 + d2) / 2 + TOUCH:
        return []
    along = (apart**2 + d1**2 / 4 - d2**2 / 4) / (2 * apart)
    off = max(0.0, d1**2 / 4 - along**2) ** 0.5
    ux, uy = (c2[0] - c1[0]) / apart, (c2[1] - c1[1]) / apart
    return [(c1[0] + along * ux - s * uy, c1[1] + along * uy + s * ux) for s in (off, -off)]


def hull(members: Iterable[Outline]) -> Outline:
    """Return the convex hull of convex outlines, as arcs and tangent lines.

    Args:
        members: convex outlines (a disc is a circle outline).

    Raises:
        ValueError: without members, or if one has corners that are not arcs.

    >>> hull([circle(10.0), circle(10.0, (20.0, 0.0))]).box
    (-5.0, -5.0, 25.0, 5.0)
    """
    members = list(members)
    if not members or not all(member.arcs for member in members):
        raise ValueError("a hull is of one convex outline or more, each with arcs for its corners")
    arcs = [arc for member in members for arc in member.arcs]
    turns = _distinct_angles([*_tangent_directions(arcs), *(arc.begin for arc in arcs)])
    winners = _furthest_arcs(arcs, turns)
    kept: list[Arc] = []
    starts = [i for i in range(len(turns)) if winners[i] != winners[i - 1]]
    if not starts:
        return circle(arcs[winners[0]].diameter, arcs[winners[0]].centre)
    for i, after in zip(starts, starts[1:] + starts[:1], strict=True):
        sweep = float((turns[after] - turns[i]) % 360) or 360.0
        kept.append(Arc(arcs[winners[i]].centre, arcs[winners[i]].diameter, float(turns[i]), sweep))
    return convex_outline(kept)


def match_spans(*outlines: Outline) -> tuple[Outline, ...]:
    """Return convex outlines cut into equal numbers of spans with equal normals, span k of each matching.

    Where one has a line and another has none at that normal, the other gets a line of no length. Ruling span to span
    then joins points of equal normals, so that between parallel planes the lofted surface is that of the hull of both.

    >>> from mounts.geometry.outline import rectangle
    >>> [len(one.spans) for one in match_spans(circle(10.0), rectangle(20.0, 20.0, 2.0))]
    [8, 8]
    """
    turns = _distinct_angles([arc.begin for outline in outlines for arc in outline.arcs])
    if len(turns) == 1:
        return outlines
    cut = [_split_arcs(outline, turns) for outline in outlines]
    lined = [any(_line_before(arcs, k).length > SMALL for arcs in cut) for k in range(len(turns))]
    return tuple(Outline(tuple(_interleave_lines(arcs, lined))) for arcs in cut)


def rounded_intersection(one: Outline, other: Outline, corner: float) -> Outline:
    """Return the largest outline inside two convex ones, rounded to the radius `corner` in mm where they cross.

    Both are offset inward by the radius, intersected, and offset outward again: sharp crossings become arcs. An outline
    whose own arcs are smaller than `corner` limits the radius to theirs.

    Raises:
        ValueError: if the outlines do not overlap, or so little that no disc of that radius fits.
    """
    for inner, outer in ((one, other), (other, one)):
        if _protrusion(inner, outer) < ROUNDING:
            return inner
    radius = min([corner, *(arc.diameter / 2 for arc in one.arcs + other.arcs)])
    one, other = offset_outline(one, -radius), offset_outline(other, -radius)
    spans = _chain_spans(_parts_inside(one, other, -SMALL) + _parts_inside(other, one, SMALL))
    if len(spans) < 2:
        raise ValueError("the outlines do not overlap")
    return offset_outline(convex_outline(_corner_arcs(spans)), radius)


def _tangent_directions(arcs: Sequence[Arc]) -> list[float]:
    """Return the normals of the arcs' common tangents, in degrees: there two of them reach equally far."""
    found = []
    for i, a in enumerate(arcs):
        for b in arcs[i + 1 :]:
            dx, dy = a.centre[0] - b.centre[0], a.centre[1] - b.centre[1]
            apart, grow = hypot(dx, dy), (b.diameter - a.diameter) / 2
            if apart > SMALL and abs(grow) < apart:
                middle, half = np.degrees(atan2(dy, dx)), np.degrees(np.arccos(grow / apart))
                found += [float(middle - half), float(middle + half)]
    return found


def _furthest_arcs(arcs: Sequence[Arc], turns: np.ndarray) -> list[int]:
    """Return the index of the arc that reaches furthest between each of `turns` and the next and faces there.

    Two directions are compared: at one of them an arc that touches the furthest one from inside may reach as far.
    """
    widths = (np.roll(turns, -1) - turns) % 360 if len(turns) > 1 else np.array([360.0])
    angles = (turns + np.array([[0.3], [0.7]]) * widths).ravel()
    centres = np.array([arc.centre for arc in arcs])
    halves = np.array([arc.diameter / 2 for arc in arcs])
    begins, sweeps = np.array([arc.begin for arc in arcs]), np.array([arc.sweep for arc in arcs])
    reach = centres @ np.stack([np.cos(np.radians(angles)), np.sin(np.radians(angles))]) + halves[:, None]
    faces = (angles[None, :] - begins[:, None]) % 360 <= sweeps[:, None]
    reach = np.where(faces, reach, -np.inf).reshape(len(arcs), 2, -1).mean(axis=1)
    best = reach.max(axis=0)
    return [int(np.argmax(column > top - SMALL)) for column, top in zip(reach.T, best, strict=True)]


def _distinct_angles(angles: Iterable[float]) -> np.ndarray:
    """Return angles in [0, 360), rising, none nearer than SNAP to the one before it."""
    rising = np.sort(np.asarray(list(angles), dtype=float) % 360)
    rising = np.where(rising > 360 - SNAP, 0.0, rising)
    rising = np.sort(rising)
    keep = np.diff(rising, prepend=-1.0) > SNAP
    return rising[keep]


def _split_arcs(outline: Outline, turns: np.ndarray) -> list[Arc]:
    """Return the arcs that an outline shows between each of the normals `turns` and the next one."""
    cut = []
    for begin, after in zip(turns, np.roll(turns, -1), strict=True):
        sweep = float((after - begin) % 360)
        middle = begin + sweep / 2
        home = next(arc for arc in outline.arcs if (middle - arc.begin) % 360 <= arc.sweep)
        cut.append(Arc(home.centre, home.diameter, float(begin), sweep))
    return cut


def _line_before(arcs: Sequence[Arc], k: int) -> Line:
    """Return the line that ends where arc k starts."""
    return Line(arcs[k - 1].end, arcs[k].start)


def _interleave_lines(arcs: Sequence[Arc], lined: Sequence[bool]) -> Iterable[Span]:
    """Yield arcs, each after the line before it where `lined` is set."""
    for k, arc in enumerate(arcs):
        if lined[k]:
            yield _line_before(arcs, k)
        yield arc


def _protrusion(inner: Outline, outer: Outline) -> float:
    """Return how far a convex outline reaches beyond another one, mm, at most; negative when it lies inside."""
    return max(_arc_protrusion(a, b) for a, b in zip(*(o.arcs for o in match_spans(inner, outer)), strict=True))


def _arc_protrusion(arc: Arc, other: Arc) -> float:
    """Return how far an arc reaches beyond another one of equal normals, mm, at most.

    The greatest value is along the line of their centres, or at an end.
    """
    dx, dy = arc.centre[0] - other.centre[0], arc.centre[1] - other.centre[1]
    if arc.faces(degrees(atan2(dy, dx))):
        apart = hypot(dx, dy)
    else:
        ends = (radians(arc.begin), radians(arc.begin + arc.sweep))
        apart = max(dx * cos(turn) + dy * sin(turn) for turn in ends)
    return apart + (arc.diameter - other.diameter) / 2


def _parts_inside(outline: Outline, other: Outline, margin: float) -> list[Span]:
    """Return the pieces of an outline's spans that lie deeper than `margin` mm inside another outline."""
    parts: list[Span] = []
    for span in outline.spans:
        cuts = sorted({0.0, 1.0, *(f for rival in other.spans for f in span_intersections(span, rival))})
        for a, b in pairwise(cuts):
            if (b - a) * span.length > ROUNDING and other.depth(span.at((a + b) / 2)) > margin:
                parts.append(_sub_span(span, a, b))
    return parts


def _sub_span(span: Span, a: float, b: float) -> Span:
    """Return the part of a span between two fractions."""
    if isinstance(span, Line):
        return Line(span.at(a), span.at(b))
    return Arc(span.centre, span.diameter, span.begin + a * span.sweep, (b - a) * span.sweep)


def _chain_spans(parts: list[Span]) -> list[Span]:
    """Return spans in the order in which each starts where the last one ended."""
    if not parts:
        return []
    chain, rest = [parts[0]], parts[1:]
    while rest:
        end = chain[-1].end
        nearest = min(rest, key=lambda s: hypot(s.start[0] - end[0], s.start[1] - end[1]))
        rest.remove(nearest)
        chain.append(nearest)
    return chain


def _corner_arcs(spans: list[Span]) -> list[Arc]:
    """Return the arcs of a closed convex chain, joined on one circle; a corner becomes an arc of no diameter."""
    arcs: list[Arc] = []
    for k, span in enumerate(spans):
        begin = _normal_angle(spans[k - 1], 1.0)
        turn = (_normal_angle(span, 0.0) - begin + 180) % 360 - 180
        if turn > SNAP:
            arcs.append(Arc(span.start, 0.0, begin, turn))
        if isinstance(span, Arc):
            arcs.append(span)
    joined = [arcs[0]]
    for arc in arcs[1:]:
        if _on_same_circle(joined[-1], arc):
            joined[-1] = _join_arcs(joined[-1], arc)
        else:
            joined.append(arc)
    if len(joined) > 1 and _on_same_circle(joined[-1], joined[0]):
        joined[0] = _join_arcs(joined.pop(), joined[0])
    return joined


def _on_same_circle(a: Arc, b: Arc) -> bool:
    """Return whether two arcs lie on one circle."""
    apart = hypot(a.centre[0] - b.centre[0], a.centre[1] - b.centre[1])
    return apart < SMALL and abs(a.diameter - b.diameter) < SMALL and a.diameter > 0


def _join_arcs(first: Arc, then: Arc) -> Arc:
    """Return one arc for two that follow each other on a circle."""
    return Arc(first.centre, first.diameter, first.begin, first.sweep + then.sweep)


def _normal_angle(span: Span, fraction: float) -> float:
    """Return the outward normal at a fraction of a span, degrees."""
    if isinstance(span, Arc):
        return span.begin + span.sweep * fraction
    return float(np.degrees(atan2(-(span.end[0] - span.start[0]), span.end[1] - span.start[1])))
