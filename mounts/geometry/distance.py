"""Signed distances from many points at once to an outline."""

from __future__ import annotations

from functools import lru_cache
from math import atan2, degrees

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.geometry.frames import Array
from mounts.geometry.outline import Arc, Outline

ALIKE = 1e-9  # degrees: directions that differ by less are one
NO_LENGTH = 1e-9  # mm: of a line that joins two arcs which touch
CHUNK = 2048  # points at a time, few enough that their numbers stay in the cache


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
