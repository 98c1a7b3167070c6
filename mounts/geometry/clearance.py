"""Clearances of convex outlines, one beside or inside another, and outlines moved in past their corners. All exact."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians

from mounts.geometry.hull import match_spans
from mounts.geometry.outline import SMALL, Arc, Line, Outline, Point, convex_outline, offset_outline, polar_point


def separation(one: Outline, other: Outline) -> float:
    """Return the signed distance between two convex outlines, mm; negative by how far one must move for them to part.

    The Minkowski difference of two convex outlines is convex too, its arcs those of both put together. The distance is
    that of the origin from it.

    >>> from mounts.geometry.outline import circle
    >>> separation(circle(10.0), circle(6.0, (20.0, 0.0)))
    12.0
    """
    turned = other.turned(180.0)
    arcs = (_minkowski_arc(a, b) for a, b in zip(*(outline.arcs for outline in match_spans(one, turned)), strict=True))
    return -convex_outline(arcs).depth((0.0, 0.0))


def least_clearance(inner: Outline, outer: Outline) -> tuple[float, Point]:
    """Return the least distance from a convex outline to the one round it, mm, and the place on the inner one.

    It is the least difference of their support functions, so it is negative by as much as the inner one sticks out.

    >>> from mounts.geometry.outline import circle
    >>> least_clearance(circle(10.0, (1.0, 0.0)), circle(20.0))
    (4.0, (6.0, 0.0))
    """
    pairs = zip(*(outline.arcs for outline in match_spans(inner, outer)), strict=True)
    room, arc, angle = min((_arc_clearance(one, other) for one, other in pairs), key=lambda found: found[0])
    return room, polar_point(arc.centre, arc.diameter, angle)


def inset_outline(outline: Outline, by: float) -> Outline:
    """Return a convex outline moved in by `by` mm everywhere, spans kept one to one; a rounded corner may become sharp.

    Raises:
        ValueError: if nothing is left, or an arc that is no corner between straight lines is smaller than that.

    >>> from mounts.geometry.outline import rectangle
    >>> inset_outline(rectangle(20.0, 10.0, 1.0), 2.0).area
    96.0
    """
    if all(arc.diameter - 2 * by >= -SMALL for arc in outline.arcs):
        return offset_outline(outline, -by)
    spans = outline.spans
    arcs = []
    for before, arc, after in zip((spans[-1], *spans[:-1]), spans, (*spans[1:], spans[0]), strict=True):
        if not isinstance(arc, Arc):
            continue
        past = by - arc.diameter / 2
        if past > SMALL and not (isinstance(before, Line) and isinstance(after, Line) and arc.sweep < 180):
            raise ValueError(f"an arc of diameter {arc.diameter:.3f} cannot move in by {by:.3f}")
        corner = polar_point(arc.centre, -2 * max(0.0, past) / cos(radians(arc.sweep / 2)), arc.begin + arc.sweep / 2)
        arcs.append(replace(arc, centre=corner if past > SMALL else arc.centre, diameter=max(0.0, -2 * past)))
    found = convex_outline(arcs)
    if _has_reversed_line(arcs) or not found.is_convex or found.area <= SMALL:
        raise ValueError(f"nothing is left of an outline moved in by {by:.3f}")
    return found


def _arc_clearance(arc: Arc, other: Arc) -> tuple[float, Arc, float]:
    """Return the least difference of two arcs' support functions, with the arc and the normal, over common normals."""
    dx, dy = arc.centre[0] - other.centre[0], arc.centre[1] - other.centre[1]
    away = degrees(atan2(dy, dx))
    ends = (arc.begin, arc.begin + arc.sweep)
    if hypot(dx, dy) < SMALL:
        angle = arc.begin + arc.sweep / 2
    elif arc.faces(away):
        angle = away
    else:
        angle = max(ends, key=lambda end: cos(radians(end - away)))
    reach = hypot(dx, dy) * cos(radians(angle - away))
    return (other.diameter - arc.diameter) / 2 - reach, arc, angle


def _has_reversed_line(arcs: list[Arc]) -> bool:
    """Return whether a line between two arcs runs backwards, as it does once nothing of the outline is left."""
    for arc, after in pairwise([*arcs, arcs[0]]):
        (x0, y0), (x1, y1) = arc.end, after.start
        forward = radians(arc.begin + arc.sweep + 90)
        if hypot(x1 - x0, y1 - y0) > SMALL and cos(atan2(y1 - y0, x1 - x0) - forward) < 0:
            return True
    return False


def _minkowski_arc(one: Arc, other: Arc) -> Arc:
    """Return the Minkowski sum of two arcs of equal normals."""
    centre = (one.centre[0] + other.centre[0], one.centre[1] + other.centre[1])
    return Arc(centre, one.diameter + other.diameter, one.begin, one.sweep)
