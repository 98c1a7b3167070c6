"""Least distance between two sets of triangles whose insides face each other: the wall between two surfaces.

A wall counts only where the way from one surface to the other runs into the material against the one's normal and
out of it along the other's; without this every edge of a part would be a wall of no thickness.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.facets import Whole, crosses, unit
from mounts.geometry.frames import Array

TOUCH = 1e-6  # mm: nearer than this is touching
BLOCK = 12  # triangles that are told apart from others together
FIRST, CHUNK = 128, 8192  # pairs looked at closely: first, and at once then
CORNERS = np.arange(3)


@dataclass(frozen=True, slots=True)
class Near:
    """Where two sets of triangles come nearest.

    Attributes:
        distance: mm.
        one, other: numbers of the two triangles in their sets.
        start, end: (3,) float, the places on them.
        settled: whether it is the least distance there; False where it would shrink further but for the normals, as
            round the edge of a rounded block.
    """

    distance: float
    one: int
    other: int
    start: Array
    end: Array
    settled: bool


def nearest(one: Array, other: Array, most: float, opposed: float) -> Near | None:
    """The least wall between two sets of triangles, None when there is none thinner than `most`.

    Args:
        one, other: (n, 3, 3) and (m, 3, 3) float, corners counter-clockwise seen from outside.
        most: mm.
        opposed: least cosine between the way through the wall and the normal at either end.
    """
    normals = (unit(crosses(one)), unit(crosses(other)))
    pairs = _close_pairs(one, other, most)
    facing = np.einsum("ij,ij->i", normals[0][pairs[0]], normals[1][pairs[1]]) < 1 - 2 * opposed**2 + 1e-9
    pairs = (pairs[0][facing], pairs[1][facing])
    bound = _bounds(one, other, normals, pairs)
    order = np.argsort(bound, kind="stable")
    order = order[bound[order] < most]
    best: Near | None = None
    at, size = 0, FIRST
    while at < len(order):
        now = order[at : at + size]
        if best is not None and bound[now[0]] > best.distance - TOUCH:
            break
        i, j = pairs[0][now], pairs[1][now]
        distance, start, end = between(one[i], other[j])
        held = _through(distance, start, end, normals[0][i], normals[1][j], one[i], other[j], opposed)
        k = int(np.argmin(np.where(held, distance, np.inf)))
        if held[k] and distance[k] < (best.distance if best else most):
            best = Near(float(distance[k]), int(i[k]), int(j[k]), start[k], end[k], settled=True)
        at, size = at + size, CHUNK
    return None if best is None else _judged(best, one, other, pairs, bound)


def between(one: Array, other: Array) -> tuple[Array, Array, Array]:
    """Least distance of each of k triangles (k, 3, 3) to its own other one, and the places on them: (k,), (k, 3) twice.

    Triangles must not cross each other.
    """
    found = [_to_triangle(one[:, k], other) for k in CORNERS]
    back = [_to_triangle(other[:, k], one) for k in CORNERS]
    starts = [*(one[:, k] for k in CORNERS), *back]
    ends = [*found, *(other[:, k] for k in CORNERS)]
    for i, j in product(CORNERS, CORNERS):
        p, q = _edge_to_edge(one[:, i], one[:, (i + 1) % 3], other[:, j], other[:, (j + 1) % 3])
        starts.append(p)
        ends.append(q)
    start, end = np.stack(starts), np.stack(ends)
    away = end - start
    square = np.einsum("tki,tki->tk", away, away)
    best, index = square.argmin(axis=0), np.arange(len(one))
    return np.sqrt(square[best, index]), start[best, index], end[best, index]


def _through(
    distance: Array, start: Array, end: Array, leaving: Array, reaching: Array, one: Array, other: Array, opposed: float
) -> NDArray[np.bool_]:
    """Which ways run through material along both normals. Touching ones do where both fold to a knife's edge."""
    way = unit(end - start)
    inward, outward = -np.einsum("ij,ij->i", way, leaving), np.einsum("ij,ij->i", way, reaching)
    knife = (distance < TOUCH) & (np.einsum("ij,ij->i", leaving, reaching) < -opposed)
    deep = np.einsum("ij,ij->i", other.mean(axis=1) - start, leaving)  # behind the one's face, if the edge is convex
    deep = np.maximum(deep, np.einsum("ij,ij->i", one.mean(axis=1) - start, reaching))
    return np.where(distance < TOUCH, knife & (deep < 0), (inward > opposed) & (outward > opposed))


def _judged(best: Near, one: Array, other: Array, pairs: tuple[Whole, Whole], bound: Array) -> Near:
    """The same place, told whether a neighbour of its triangles is nearer still, were it not for its normals."""
    i, j = (index[bound < best.distance] for index in pairs)
    beside = _touches(one, best.one, i) & _touches(other, best.other, j)
    if not beside.any():
        return best
    distance, _, _ = between(one[i[beside]], other[j[beside]])
    shorter = distance < best.distance * (1 - 1e-6) - TOUCH
    return replace(best, settled=not bool(shorter.any()))


def _touches(corners: Array, which: int, index: Whole) -> NDArray[np.bool_]:
    """Which of the triangles `index` share a corner with triangle `which`."""
    asked, back = np.unique(index, return_inverse=True)
    apart = corners[asked][:, :, None, :] - corners[which]
    near = (np.abs(apart).max(axis=-1, initial=0.0) < TOUCH).any(axis=(1, 2))
    shared: NDArray[np.bool_] = near[back.ravel()]
    return shared


def _close_pairs(one: Array, other: Array, most: float) -> tuple[Whole, Whole]:
    """Pairs of triangles whose boxes are nearer than `most`, found by blocks of neighbours first."""
    first, second = _Blocks.of(one), _Blocks.of(other)
    a, b = np.nonzero(_box_gap(first.low[:, None], first.high[:, None], second.low, second.high) < most**2)
    step = np.arange(BLOCK)
    i = (a[:, None] * BLOCK + step).repeat(BLOCK, axis=1).ravel()
    j = np.tile(b[:, None] * BLOCK + step, BLOCK).ravel()
    inside = (i < len(one)) & (j < len(other))
    i, j = first.order[i[inside]], second.order[j[inside]]
    low, high = one.min(axis=1), one.max(axis=1)
    near = _box_gap(low[i], high[i], other.min(axis=1)[j], other.max(axis=1)[j]) < most**2
    return i[near], j[near]


@dataclass(frozen=True, slots=True)
class _Blocks:
    """Boxes round blocks of triangles that lie near each other: `order` sorts them, `low` and `high` are (k, 3)."""

    order: Whole
    low: Array
    high: Array

    @staticmethod
    def of(corners: Array) -> _Blocks:
        order = _winding(corners.mean(axis=1))
        starts = np.arange(0, len(corners), BLOCK)
        low = np.minimum.reduceat(corners.min(axis=1)[order], starts)
        high = np.maximum.reduceat(corners.max(axis=1)[order], starts)
        return _Blocks(order, low, high)


def _winding(points: Array) -> Whole:
    """Order of points (n, 3) along a curve that winds through space, so that neighbours in it are near each other."""
    size = max(float(np.ptp(points, axis=0).max()), 1e-9)
    cell = ((points - points.min(axis=0)) / size * 1023).astype(np.int64)
    key = np.zeros(len(points), dtype=np.int64)
    for bit in range(10):
        for axis in range(3):
            key |= ((cell[:, axis] >> bit) & 1) << (3 * bit + axis)
    return np.argsort(key, kind="stable")


def _box_gap(low: Array, high: Array, other_low: Array, other_high: Array) -> Array:
    """Squares of the distances between boxes."""
    gap = np.maximum(np.maximum(low - other_high, other_low - high), 0)
    square: Array = np.einsum("...i,...i->...", gap, gap)
    return square


def _bounds(one: Array, other: Array, normals: tuple[Array, Array], pairs: tuple[Whole, Whole]) -> Array:
    """What the distance of each pair is at least: how far the one lies under the other's plane, and the reverse."""
    i, j = pairs
    under = -np.einsum("pki,pi->pk", other[j] - one[i][:, :1], normals[0][i]).max(axis=1)
    over = -np.einsum("pki,pi->pk", one[i] - other[j][:, :1], normals[1][j]).max(axis=1)
    least: Array = np.maximum(np.maximum(under, over), 0)
    return least


def _to_triangle(points: Array, triangles: Array) -> Array:
    """The place on each triangle (k, 3, 3) nearest to its point (k, 3)."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    normal = crosses(triangles)
    square = np.maximum(np.einsum("ij,ij->i", normal, normal), 1e-300)
    flat = points - (np.einsum("ij,ij->i", points - a, normal) / square)[:, None] * normal
    inside = np.ones(len(points), dtype=bool)
    best, least = a, np.full(len(points), np.inf)
    for start, end in ((a, b), (b, c), (c, a)):
        inside &= np.einsum("ij,ij->i", np.cross(end - start, flat - start), normal) >= 0
        place = _to_edge(points, start, end)
        away = points - place
        distance = np.einsum("ij,ij->i", away, away)
        best = np.where((distance < least)[:, None], place, best)
        least = np.minimum(distance, least)
    return np.where((inside & (square > 1e-24))[:, None], flat, best)


def _to_edge(points: Array, start: Array, end: Array) -> Array:
    """The place on each edge nearest to its point."""
    along = end - start
    share = np.einsum("ij,ij->i", points - start, along) / np.maximum(np.einsum("ij,ij->i", along, along), 1e-300)
    place: Array = start + np.clip(share, 0, 1)[:, None] * along
    return place


def _edge_to_edge(a: Array, b: Array, c: Array, d: Array) -> tuple[Array, Array]:
    """The places on edges a–b and c–d nearest to each other; their ends are looked at elsewhere."""
    u, v, w = b - a, d - c, a - c
    uu, vv, uv = (np.einsum("ij,ij->i", p, q) for p, q in ((u, u), (v, v), (u, v)))
    uw, vw = np.einsum("ij,ij->i", u, w), np.einsum("ij,ij->i", v, w)
    across = uu * vv - uv**2
    s = np.clip((uv * vw - vv * uw) / np.where(across > 1e-18, across, np.inf), 0, 1)
    start = a + s[:, None] * u
    return start, _to_edge(start, c, d)
