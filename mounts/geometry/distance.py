"""Signed distances from many points at once to an outline.

Clearances of convex outlines, one beside or inside another, and outlines moved in past their corners. All exact.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.geometry.frames import Array
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import SMALL, Arc, Line, Outline, Point, convex_outline, offset_outline, polar_point

ALIKE = 1e-9  # degrees: directions that differ by less are one
NO_LENGTH = 1e-6  # mm: of a line that joins two arcs which touch, whose direction is rounding alone
CHUNK = 2048  # points at a time, few enough that their numbers stay in the cache


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


def depths(outline: Outline, points: ArrayLike) -> Array:
    """Return the signed distance of each point to a convex outline: positive inside, negative outside.

    Args:
        outline: convex, running counter-clockwise.
        points: (n, 2) float.

    Returns:
        (n,) float, mm: exact distance to the outline.

    >>> from mounts.geometry.outline import circle
    >>> depths(circle(10.0), [[0.0, 0.0], [8.0, 0.0]])
    array([ 5., -3.])
    """
    places = np.asarray(points, dtype=float)
    if outline.is_circle:
        (arc,) = outline.arcs
        deep: Array = arc.diameter / 2 - np.hypot(places[:, 0] - arc.centre[0], places[:, 1] - arc.centre[1])
        return deep
    centres, half, begins, ends, wide = _normals(outline)
    found = [np.empty(0)]
    for begin in range(0, len(places), CHUNK):
        dx, dy = (places[begin : begin + CHUNK, axis] - centres[:, axis, None] for axis in (0, 1))
        (bx, by), (ex, ey) = begins.T[..., None], ends.T[..., None]
        past, short = bx * dy - by * dx >= 0, dx * ey - dy * ex >= 0
        faced = np.where(wide, past | short, past & short)
        reach = np.where(faced, np.hypot(dx, dy), np.maximum(bx * dx + by * dy, ex * dx + ey * dy))
        found.append((half - reach).min(axis=0))
    return np.concatenate(found)


@lru_cache(maxsize=256)  # a search asks for distances to the same few outlines thousands of times
def _normals(outline: Outline) -> tuple[Array, Array, Array, Array, NDArray[np.bool_]]:
    """Return the arcs whose radii are all of a convex outline's normals, corners among them.

    A point lies as far inside as the outline's least support beyond it in any direction, outside as its most negative.

    Returns:
        centres (n, 2), half diameters (n, 1), first and last normals (n, 2), and whether each sweeps over a half turn
        (n, 1).
    """
    rows, before = [], None
    spans = [span for span in outline.spans if isinstance(span, Arc) or span.length > NO_LENGTH]
    for span in [*spans[-1:], *spans]:
        if isinstance(span, Arc):
            begin, end = span.begin, span.begin + span.sweep
        else:
            (x0, y0), (x1, y1) = span.start, span.end
            begin = end = degrees(atan2(x0 - x1, y1 - y0))
        turn = 0.0 if before is None else (begin - before + 180) % 360 - 180
        if before is not None and turn > ALIKE:
            rows.append((*span.start, 0.0, begin - turn, begin))
        if before is not None and isinstance(span, Arc):
            rows.append((*span.centre, span.diameter / 2, begin, end))
        before = end
    told = np.array(rows)
    first, last = np.radians(told[:, 3]), np.radians(told[:, 4])
    begins, ends = (np.column_stack([np.cos(turn), np.sin(turn)]) for turn in (first, last))
    return told[:, :2], told[:, 2:3], begins, ends, told[:, 4:] - told[:, 3:4] > 180


def support_values(outline: Outline, angles: ArrayLike) -> Array:
    """Return the support function of a convex outline, mm, at angles in degrees counter-clockwise from +x.

    >>> from mounts.geometry.outline import rectangle
    >>> support_values(rectangle(20.0, 10.0, 1.0), [0.0, 180.0])
    array([10., 10.])
    """
    turn = np.radians(np.asarray(angles, dtype=float))
    ways = np.stack([np.cos(turn).ravel(), np.sin(turn).ravel()])
    if outline.is_circle:
        (arc,) = outline.arcs
        reach: Array = np.array(arc.centre) @ ways + arc.diameter / 2
        return reach.reshape(turn.shape)
    centres, half, begins, ends, wide = _normals(outline)
    past = begins[:, :1] * ways[1] - begins[:, 1:] * ways[0] >= 0
    short = ways[0] * ends[:, 1:] - ways[1] * ends[:, :1] >= 0
    faced = np.where(wide, past | short, past & short)
    found: Array = (centres @ ways + np.where(faced, half, half * np.maximum(begins @ ways, ends @ ways))).max(axis=0)
    return found.reshape(turn.shape)
