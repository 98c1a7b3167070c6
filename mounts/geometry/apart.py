"""Least distances between triangles, exactly, and whether the way between two of them runs through material.

Triangles are corners (k, 3, 3), counter-clockwise seen from outside; the k-th of one belongs with the k-th of the
other. They may touch but must not cross.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mounts.geometry.facets import Mask, cross, normalize, triangle_cross
from mounts.geometry.frames import Array

TOUCH = 1e-6  # mm: nearer than this is touching


@dataclass(frozen=True, slots=True, eq=False)
class Pairs:
    """Pairs of triangles that may have a wall between them.

    Attributes:
        one, other: (k, 3, 3) float.
        normals, other_normals: (k, 3) float, their unit normals.
    """

    one: Array
    other: Array
    normals: Array
    other_normals: Array

    def at_least(self) -> Array:
        """Return a lower bound of the wall between each pair, (k,) mm: how far the one lies under the other's plane."""
        return self.depths()[0]

    def depths(self) -> tuple[Array, Array]:
        """Return how deep each lies under the other's plane, (k,) twice: with all of it, the more; with some, the less.

        A wall is no less than the first; some of either lies behind the other where the second is positive.
        """
        under = np.einsum("kji,ki->jk", self.other - self.one[:, :1], self.normals)
        over = np.einsum("kji,ki->jk", self.one - self.other[:, :1], self.other_normals)
        whole: Array = np.maximum(-np.minimum(under.max(axis=0), over.max(axis=0)), 0.0)
        some: Array = -np.maximum(under.min(axis=0), over.min(axis=0))
        return whole, some

    def through(self, ways: tuple[Array, Array, Array], opposed: float | Array) -> Mask:
        """Return which ways, as given by `between`, run through material between triangles opposed along both normals.

        Triangles that touch count where they fold to a knife's edge, each behind the other.

        Args:
            ways: distance, start, end.
            opposed: least cosine between a way and a normal, and between the one's normal and the other's reversed;
                one for all or (k,).
        """
        distance, start, end = ways
        facing = np.einsum("ij,ij->i", self.normals, self.other_normals) < -opposed
        way = normalize(end - start)
        along = -np.einsum("ij,ij->i", way, self.normals) > opposed
        along &= np.einsum("ij,ij->i", way, self.other_normals) > opposed
        behind = np.einsum("ij,ij->i", self.other.mean(axis=1) - start, self.normals) < 0
        behind &= np.einsum("ij,ij->i", self.one.mean(axis=1) - start, self.other_normals) < 0
        held: Mask = facing & np.where(distance < TOUCH, behind, along)
        return held


def between(one: Array, other: Array) -> tuple[Array, Array, Array]:
    """Return the least distance of each triangle to its other one, (k,), and the places on them, (k, 3) twice.

    Of places that are equally near, as along parallel sides, the mean is taken, whatever the order of the corners.
    trimesh knows the distance of a point to a triangle, but not of two triangles: bars of 10 × 1 × 1 mm that cross
    0.5 mm apart have no corner within 4 mm of each other.
    """
    a, b = (np.ascontiguousarray(corners.transpose(2, 1, 0)) for corners in (one, other))  # (axis, corner, pair)
    (feet, over), (back, under) = _feet(a, b), _feet(b, a)
    p, q, square = _edges_apart(a, b)
    distance = np.sqrt(np.concatenate([square, over, under]))
    least = distance.min(axis=0)
    share = (distance <= least + TOUCH).astype(float)
    share /= share.sum(axis=0)
    start, end = (np.einsum("ick,ck->ki", np.concatenate(some, axis=1), share) for some in ((p, a, back), (q, feet, b)))
    return least, start, end


def _edges_apart(a: Array, c: Array) -> tuple[Array, Array, Array]:
    """Return the places at which sides of triangles (axis, corner, k) are nearest, (3, 9, k) twice, and their squares.

    Segments as in C. Ericson, Real-Time Collision Detection, 2005, section 5.1.9.
    """
    u, v = (np.roll(corners, -1, axis=1) - corners for corners in (a, c))
    uu, vv = (np.maximum(_dot(side, side), 1e-300) for side in (u, v))
    uu, vv = uu[:, None], vv[None]
    a, c, u, v = a[:, :, None], c[:, None], u[:, :, None], v[:, None]
    w = a - c
    uv, uw, vw = _dot(u, v), _dot(u, w), _dot(v, w)
    across = uu * vv - uv**2
    aslant = across > 1e-12 * uu * vv
    s = np.where(aslant, np.clip((uv * vw - vv * uw) / np.where(aslant, across, 1.0), 0, 1), 0.5)
    t = np.clip((s * uv + vw) / vv, 0, 1)
    s = np.clip((t * uv - uw) / uu, 0, 1)
    p, q = (places.reshape(3, 9, -1) for places in (a + s * u, c + t * v))
    away = p - q
    return p, q, _dot(away, away)


def _feet(points: Array, triangles: Array) -> tuple[Array, Array]:
    """Return where points (axis, point, k) stand over triangles, (3, 3, k), and how high, squared; inf if beside."""
    sides = np.roll(triangles, -1, axis=1) - triangles
    normal = _cross(sides[:, 0], sides[:, 1])
    square = _dot(normal, normal)
    away = points[:, :, None] - triangles[:, None]  # (axis, point, corner, k)
    aside = -TOUCH * np.sqrt(square * _dot(sides, sides))
    inside = (_dot(_cross(normal[:, None], sides)[:, None], away) >= aside).all(axis=1)
    tall = _dot(away[:, :, 0], normal[:, None]) / np.maximum(square, 1e-300)
    return points - tall * normal[:, None], np.where(inside & (square > 1e-24), tall**2 * square, np.inf)


def _dot(one: Array, other: Array) -> Array:
    """Return the products of vectors (3, …) whose axes come first, which for many of them is several times as quick."""
    found: Array = one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
    return found


def _cross(one: Array, other: Array) -> Array:
    """Return the cross products of vectors (3, …)."""
    (a, b, c), (d, e, f) = one, other
    return np.stack([b * f - c * e, c * d - a * f, a * e - b * d])


def corner_shares(corners: Array, places: Array) -> Array:
    """Return the shares (k, 3) by which places (k, 3) on triangles (k, 3, 3) are mixed of their corners.

    `trimesh.triangles.points_to_barycentric` gives NaN for a triangle without area, as (0, 0, 0), (1, 0, 0),
    (0.5, 0, 0), which tessellations have.
    """
    normal = triangle_cross(corners)
    square = np.maximum(np.einsum("ki,ki->k", normal, normal), 1e-300)
    away = corners - places[:, None]
    across = cross(np.roll(away, -1, axis=1), np.roll(away, -2, axis=1))
    shares = np.clip(np.einsum("kci,ki->kc", across, normal) / square[:, None], 0, None)
    mixed: Array = shares / np.maximum(shares.sum(axis=1, keepdims=True), 1e-300)
    return mixed
