"""Signed distances from many points at once to an outline."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from mounts.geometry.frames import Array
from mounts.geometry.outline import Arc, Outline

ALIKE = 1e-9  # degrees: a point on the normal where two arcs meet must face at least one of them


def depths(outline: Outline, points: ArrayLike) -> Array:
    """How far inside a convex outline each point lies, negative outside.

    Args:
        outline: convex, running counter-clockwise.
        points: (n, 2) float.

    Returns:
        (n,) float, mm: exact distance to the outline, positive inside.
    """
    places = np.asarray(points, dtype=float)
    if outline.is_circle:
        (arc,) = outline.arcs
        deep: Array = arc.diameter / 2 - np.hypot(places[:, 0] - arc.centre[0], places[:, 1] - arc.centre[1])
        return deep
    least = np.full(len(places), np.inf)
    inside = np.ones(len(places), dtype=bool)
    for span in outline.spans:
        if isinstance(span, Arc) and span.diameter < ALIKE:  # a corner: what lies outside it is outside its lines too
            distance, within = np.hypot(places[:, 0] - span.centre[0], places[:, 1] - span.centre[1]), inside
        elif isinstance(span, Arc):
            distance, within = _arc_distances(span, places)
        else:
            distance, within = _line_distances(np.array(span.start), np.array(span.end), places)
        least = np.minimum(least, distance)
        inside &= within
    return np.where(inside, least, -least)


def support_values(outline: Outline, angles: ArrayLike) -> Array:
    """Greatest reach of a convex outline in each direction, in degrees counter-clockwise from +x: as its `support`."""
    turn = np.asarray(angles, dtype=float)
    ux, uy = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    best = np.full(turn.shape, -np.inf)
    for arc in outline.arcs:
        faces = ((turn - arc.begin) % 360 <= arc.sweep + ALIKE) | ((turn - arc.begin) % 360 >= 360 - ALIKE)
        (cx, cy), (x0, y0) = arc.centre, arc.start
        reach = np.where(faces, cx * ux + cy * uy + arc.diameter / 2, x0 * ux + y0 * uy)
        best = np.maximum(best, reach)
    return best


def _arc_distances(arc: Arc, points: Array) -> tuple[Array, Array]:
    """Distance to an arc, and whether each point is on its inner side (points it does not face count as inside)."""
    away = points - np.asarray(arc.centre)
    from_centre = np.hypot(away[:, 0], away[:, 1])
    turned = (np.degrees(np.arctan2(away[:, 1], away[:, 0])) - arc.begin) % 360
    faces = (turned <= arc.sweep + ALIKE) | (turned >= 360 - ALIKE)
    ends = np.minimum(*(np.hypot(*(points - np.asarray(end)).T) for end in (arc.start, arc.end)))
    distance = np.where(faces, np.abs(from_centre - arc.diameter / 2), ends)
    return distance, ~faces | (from_centre <= arc.diameter / 2)


def _line_distances(start: Array, end: Array, points: Array) -> tuple[Array, Array]:
    along = end - start
    length = float(np.hypot(*along))
    if length < 1e-9:
        return np.hypot(*(points - start).T), np.ones(len(points), dtype=bool)
    unit = along / length
    away = points - start
    place = np.clip(away @ unit, 0, length)
    distance = np.hypot(*(away - place[:, None] * unit).T)
    return distance, unit[0] * away[:, 1] - unit[1] * away[:, 0] >= 0
