"""Convex outlines from others: the hull, the match span to span, and the overlap. All exact, none polygonal.

A convex outline is known by its support: how far it reaches in each direction. The support of a hull is the greatest
of its members' supports, so the hull is found by asking, direction by direction, which arc reaches furthest.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np

from mounts.geometry.intersections import span_intersections
from mounts.geometry.outline import SMALL, Arc, Line, Outline, Span, circle, convex_outline, offset_outline

SNAP = 1e-7  # degrees: two normals closer than this are one
ROUNDING = 1e-7  # mm: what is shorter than this, or sticks out by less, is nothing


def hull(members: Iterable[Outline]) -> Outline:
    """Convex hull of convex outlines, as arcs and tangent lines.

    Args:
        members: convex outlines (a disc is a circle outline).

    Raises:
        ValueError: without members, or if one has corners that are not arcs.
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
    """Convex outlines cut into equal numbers of spans with equal normals, span k of each belonging together.

    Where one has a line and another has none at that normal, the other gets a line of no length. Ruling span to span
    then joins points of equal normals, so that between parallel planes the surface is that of the hull of both.
    """
    turns = _distinct_angles([arc.begin for outline in outlines for arc in outline.arcs])
    if len(turns) == 1:
        return outlines
    cut = [_split_arcs(outline, turns) for outline in outlines]
    lined = [any(_line_before(arcs, k).length > SMALL for arcs in cut) for k in range(len(turns))]
    return tuple(Outline(tuple(_interleave_lines(arcs, lined))) for arcs in cut)


def rounded_intersection(one: Outline, other: Outline, corner: float) -> Outline:
    """Largest outline inside two convex ones, where they cross rounded to the radius `corner`.

    Both are moved in by the radius, cut to what they share, and moved out again: sharp crossings become arcs. An
    outline whose own arcs are smaller than `corner` limits the radius to theirs.

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
    """Directions in which two of the arcs' circles reach equally far: those of their common tangents."""
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
    """Index of the arc that reaches furthest between each of `turns` and the next, among those that face there.

    Two places are asked: at one of them an arc that touches the furthest one from inside may reach as far.
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
    """Angles in [0, 360), rising, none nearer than SNAP to the one before it."""
    rising = np.sort(np.asarray(list(angles), dtype=float) % 360)
    rising = np.where(rising > 360 - SNAP, 0.0, rising)
    rising = np.sort(rising)
    keep = np.diff(rising, prepend=-1.0) > SNAP
    return rising[keep]


def _split_arcs(outline: Outline, turns: np.ndarray) -> list[Arc]:
    """The arcs that an outline shows between each of the normals `turns` and the next one."""
    cut = []
    for begin, after in zip(turns, np.roll(turns, -1), strict=True):
        sweep = float((after - begin) % 360)
        middle = begin + sweep / 2
        home = next(arc for arc in outline.arcs if (middle - arc.begin) % 360 <= arc.sweep)
        cut.append(Arc(home.centre, home.diameter, float(begin), sweep))
    return cut


def _line_before(arcs: Sequence[Arc], k: int) -> Line:
    return Line(arcs[k - 1].end, arcs[k].start)


def _interleave_lines(arcs: Sequence[Arc], lined: Sequence[bool]) -> Iterable[Span]:
    for k, arc in enumerate(arcs):
        if lined[k]:
            yield _line_before(arcs, k)
        yield arc


def _protrusion(inner: Outline, outer: Outline) -> float:
    """How far a convex outline reaches beyond another one, at most; negative when it lies inside."""
    return max(_arc_protrusion(a, b) for a, b in zip(*(o.arcs for o in match_spans(inner, outer)), strict=True))


def _arc_protrusion(arc: Arc, other: Arc) -> float:
    """The same for arcs of equal normals: it is most along the line of their centres, or at an end."""
    dx, dy = arc.centre[0] - other.centre[0], arc.centre[1] - other.centre[1]
    if arc.faces(degrees(atan2(dy, dx))):
        apart = hypot(dx, dy)
    else:
        ends = (radians(arc.begin), radians(arc.begin + arc.sweep))
        apart = max(dx * cos(turn) + dy * sin(turn) for turn in ends)
    return apart + (arc.diameter - other.diameter) / 2


def _parts_inside(outline: Outline, other: Outline, margin: float) -> list[Span]:
    """The pieces of an outline's spans that lie deeper than `margin` inside another outline."""
    parts: list[Span] = []
    for span in outline.spans:
        cuts = sorted({0.0, 1.0, *(f for rival in other.spans for f in span_intersections(span, rival))})
        for a, b in pairwise(cuts):
            if (b - a) * span.length > ROUNDING and other.depth(span.at((a + b) / 2)) > margin:
                parts.append(_sub_span(span, a, b))
    return parts


def _sub_span(span: Span, a: float, b: float) -> Span:
    if isinstance(span, Line):
        return Line(span.at(a), span.at(b))
    return Arc(span.centre, span.diameter, span.begin + a * span.sweep, (b - a) * span.sweep)


def _chain_spans(parts: list[Span]) -> list[Span]:
    """Spans in the order in which each starts where the last one ended."""
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
    """The arcs of a closed convex chain, pieces of one circle joined, and an arc of no diameter at every corner."""
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
    apart = hypot(a.centre[0] - b.centre[0], a.centre[1] - b.centre[1])
    return apart < SMALL and abs(a.diameter - b.diameter) < SMALL and a.diameter > 0


def _join_arcs(first: Arc, then: Arc) -> Arc:
    return Arc(first.centre, first.diameter, first.begin, first.sweep + then.sweep)


def _normal_angle(span: Span, fraction: float) -> float:
    if isinstance(span, Arc):
        return span.begin + span.sweep * fraction
    return float(np.degrees(atan2(-(span.end[0] - span.start[0]), span.end[1] - span.start[1])))
