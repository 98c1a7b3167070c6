"""Least distances between triangles, exactly, and whether the way between two of them runs through material.

Triangles are corners (k, 3, 3), counter-clockwise seen from outside; the k-th of one belongs with the k-th of the
other. They may touch but must not cross.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mounts.geometry.facets import Mask, cross, crosses, unit
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
        """What a wall between each pair is at least, (k,): how far the one lies under the other's plane."""
        under = np.einsum("kji,ki->jk", self.other - self.one[:, :1], self.normals).max(axis=0)
        over = np.einsum("kji,ki->jk", self.one - self.other[:, :1], self.other_normals).max(axis=0)
        least: Array = np.maximum(-np.minimum(under, over), 0)
        return least

    def facing(self, opposed: float | Array) -> Mask:
        """Whether the one's normal and the other's reversed are near enough to each other."""
        found: Mask = np.einsum("ij,ij->i", self.normals, self.other_normals) < -opposed
        return found

    def through(self, ways: tuple[Array, Array, Array], opposed: float | Array) -> Mask:
        """Whether ways, as `between` gives them, run through material between opposing triangles along both normals.

        Triangles that touch count where they fold to a knife's edge, each behind the other.

        Args:
            ways: distance, start, end.
            opposed: least cosine between a way and a normal, and between the one's normal and the other's reversed;
                one for all or (k,).
        """
        distance, start, end = ways
        way = unit(end - start)
        along = -np.einsum("ij,ij->i", way, self.normals) > opposed
        along &= np.einsum("ij,ij->i", way, self.other_normals) > opposed
        behind = np.einsum("ij,ij->i", self.other.mean(axis=1) - start, self.normals) < 0
        behind &= np.einsum("ij,ij->i", self.one.mean(axis=1) - start, self.other_normals) < 0
        held: Mask = self.facing(opposed) & np.where(distance < TOUCH, behind, along)
        return held


def boxes_apart(one: tuple[Array, Array], other: tuple[Array, Array]) -> Array:
    """How far boxes are apart, (…), from their least and greatest coordinates (…, 3)."""
    gap = np.maximum(np.maximum(one[0] - other[1], other[0] - one[1]), 0.0)
    found: Array = np.sqrt(np.einsum("...i,...i->...", gap, gap))
    return found


def between(one: Array, other: Array) -> tuple[Array, Array, Array]:
    """Least distance of each triangle to its other one, (k,), and the places on them, (k, 3) twice."""
    there, back = _to_triangles(one, other), _to_triangles(other, one)
    p, q = _edges_apart(one, other)
    start = np.concatenate([one.transpose(1, 0, 2), back, p])
    end = np.concatenate([there, other.transpose(1, 0, 2), q])
    away = end - start
    square = np.einsum("tki,tki->tk", away, away)
    best, index = square.argmin(axis=0), np.arange(len(one))
    return np.sqrt(square[best, index]), start[best, index], end[best, index]


@dataclass(frozen=True, slots=True, eq=False)
class Skin:
    """Triangles to be asked for the place nearest to a point, again and again.

    Attributes:
        corners: (m, 3, 3) float.
        middle: (m, 3) float, their centres.
        half: (m,) float, how far their corners reach from there.
    """

    corners: Array
    middle: Array
    half: Array

    @staticmethod
    def of(corners: Array) -> Skin:
        """Of triangles (m, 3, 3)."""
        middle = corners.mean(axis=1)
        return Skin(corners, middle, np.linalg.norm(corners - middle[:, None], axis=2).max(axis=1, initial=0.0))

    def nearest(self, at: Array, leaving: Mask | None = None) -> Array:
        """The place (3,) nearest to a point (3,), on none of the triangles that are left out by a mask (m,)."""
        apart = np.linalg.norm(self.middle - at, axis=1)
        if leaving is not None:
            apart[leaving] = np.inf
        near = np.flatnonzero(apart - self.half <= apart.min())
        places = _to_triangles(np.broadcast_to(at, (len(near), 1, 3)), self.corners[near])[0]
        found: Array = places[np.linalg.norm(places - at, axis=1).argmin()]
        return found


def _to_triangles(points: Array, triangles: Array) -> Array:
    """The places on triangles (k, 3, 3) nearest to p points each (k, p, 3): (p, k, 3)."""
    normal = crosses(triangles)
    square = np.maximum(np.einsum("ki,ki->k", normal, normal), 1e-300)
    tall = np.einsum("kpi,ki->kp", points - triangles[:, :1], normal) / square[:, None]
    flat = points - tall[..., None] * normal[:, None]
    sides = np.roll(triangles, -1, axis=1) - triangles
    inward = cross(normal[:, None], sides)  # (k, side, 3)
    from_sides = flat[:, :, None] - triangles[:, None]  # (k, point, side, 3)
    inside = (np.einsum("kpsi,ksi->kps", from_sides, inward) >= 0).all(axis=2) & (square > 1e-24)[:, None]
    share = np.einsum("kpsi,ksi->kps", points[:, :, None] - triangles[:, None], sides)
    share /= np.maximum(np.einsum("ksi,ksi->ks", sides, sides), 1e-300)[:, None]
    on_sides = triangles[:, None] + np.clip(share, 0, 1)[..., None] * sides[:, None]
    away = points[:, :, None] - on_sides
    best = np.einsum("kpsi,kpsi->kps", away, away).argmin(axis=2)
    nearest = np.take_along_axis(on_sides, best[..., None, None], axis=2)[:, :, 0]
    return np.where(inside[..., None], flat, nearest).transpose(1, 0, 2)


def _edges_apart(one: Array, other: Array) -> tuple[Array, Array]:
    """The places at which each edge of the one comes nearest to each edge of the other, (9, k, 3) twice."""
    u, v = (np.roll(corners, -1, axis=1) - corners for corners in (one, other))
    u, v = np.repeat(u, 3, axis=1), np.tile(v, (1, 3, 1))
    a, c = np.repeat(one, 3, axis=1), np.tile(other, (1, 3, 1))
    w = a - c
    uu, vv, uv = (np.einsum("kei,kei->ke", p, q) for p, q in ((u, u), (v, v), (u, v)))
    uw, vw = np.einsum("kei,kei->ke", u, w), np.einsum("kei,kei->ke", v, w)
    across = uu * vv - uv**2
    s = np.clip((uv * vw - vv * uw) / np.where(across > 1e-12 * uu * vv, across, np.inf), 0, 1)
    t = np.clip((s * uv + vw) / np.maximum(vv, 1e-300), 0, 1)
    return (a + s[..., None] * u).transpose(1, 0, 2), (c + t[..., None] * v).transpose(1, 0, 2)


def corner_shares(corners: Array, places: Array) -> Array:
    """Shares (k, 3) by which places (k, 3) on triangles (k, 3, 3) are mixed of their corners."""
    normal = crosses(corners)
    square = np.maximum(np.einsum("ki,ki->k", normal, normal), 1e-300)
    away = corners - places[:, None]
    across = cross(np.roll(away, -1, axis=1), np.roll(away, -2, axis=1))
    shares = np.clip(np.einsum("kci,ki->kc", across, normal) / square[:, None], 0, None)
    mixed: Array = shares / np.maximum(shares.sum(axis=1, keepdims=True), 1e-300)
    return mixed
