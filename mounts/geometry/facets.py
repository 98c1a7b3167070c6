"""Triangle meshes as arrays: normals and areas, vertex welding, edges, smooth patches, components.

A mesh is vertices (n, 3) float and triangles (m, 3) int, counter-clockwise seen from outside.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array

Whole = NDArray[np.int64]
Mask = NDArray[np.bool_]
SMOOTH = 20.0  # degrees: facets that turn by less across their edge lie on one smooth patch
COARSE = 46.0  # degrees: and so do up to here the strips of a round face drawn with as few as eight facets
EQUAL = 0.05  # share by which such strips may differ in breadth or in area
MIXERS = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9], dtype=np.uint64)  # odd, well mixed


def cross(one: Array, other: Array) -> Array:
    """Return the cross products of vectors (…, 3), several times as fast as numpy's own for few of them.

    >>> cross(np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]))
    array([0., 0., 1.])
    """
    a, b, c = one[..., 0], one[..., 1], one[..., 2]
    d, e, f = other[..., 0], other[..., 1], other[..., 2]
    return np.stack([b * f - c * e, c * d - a * f, a * e - b * d], axis=-1)


def triangle_cross(corners: Array) -> Array:
    """Return the cross product of two sides of each triangle (m, 3, 3), (m, 3) float: twice its area along its normal.

    >>> triangle_cross(np.array([[[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [0.0, 3.0, 0.0]]]))
    array([[0., 0., 6.]])
    """
    return cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])


def normalize(vectors: Array) -> Array:
    """Return vectors (…, 3) scaled to length 1; those of no length stay as they are.

    >>> normalize(np.array([3.0, 0.0, 4.0]))
    array([0.6, 0. , 0.8])
    """
    long = np.sqrt(np.einsum("...i,...i->...", vectors, vectors))[..., None]
    scaled: Array = vectors / np.where(long > 0, long, 1.0)
    return scaled


def weld_vertices(corners: NDArray[np.floating]) -> tuple[Array, Whole]:
    """Return vertices and triangles of loose triangles (m, 3, 3): corners at exactly the same place become one vertex.

    Returns:
        Vertices (n, 3) float and triangles (m, 3) int.
    """
    places = np.ascontiguousarray(corners.reshape(-1, 3)) + 0.0  # -0 is 0
    mixed = np.zeros(len(places), dtype=np.uint64)
    bits = places.view(np.uint32 if places.dtype.itemsize == 4 else np.uint64)
    for column, mixer in zip(bits.T, MIXERS, strict=True):
        mixed = (mixed ^ (column.astype(np.uint64) * mixer)) * MIXERS[0]
        mixed ^= mixed >> np.uint64(29)
    _, first, vertex = np.unique(mixed, return_index=True, return_inverse=True)
    if not np.array_equal(places[first[vertex.ravel()]], places):  # two places met in one number
        _, first, vertex = np.unique(places, axis=0, return_index=True, return_inverse=True)
    return places[first].astype(np.float64), vertex.reshape(-1, 3).astype(np.int64)


def connected_groups(count: int, one: Whole, other: Whole) -> Whole:
    """Return the number, 0, 1, 2 …, of the connected component of each node of a graph, (count,) int.

    Args:
        count: number of nodes.
        one, other: the nodes that each edge joins, (k,) int each.

    >>> connected_groups(4, np.array([0, 2]), np.array([1, 1]))
    array([0, 0, 0, 1])
    """
    label: Whole = np.arange(count)
    while len(one):
        low = np.minimum(label[one], label[other])
        np.minimum.at(label, label[one], low)
        np.minimum.at(label, label[other], low)
        while not np.array_equal(label, label[label]):
            label = label[label]
        apart = label[one] != label[other]
        one, other = one[apart], other[apart]
    groups: Whole = np.unique(label, return_inverse=True)[1].reshape(-1)
    return groups


@dataclass(frozen=True, eq=False)
class Edges:
    """Edges of triangles, each with the triangles that meet at it. Degenerate triangles have none.

    Attributes:
        triangles: (m, 3) int.
    """

    triangles: Whole

    @cached_property
    def _sorted(self) -> tuple[Whole, Mask, Whole]:
        """Keys of all sides of triangles in rising order, whether each runs up, and the side's number 3·t + k."""
        start, end = self.triangles.ravel(), np.roll(self.triangles, -1, axis=1).ravel()
        whole = np.repeat(~degenerate_triangles(self.triangles), 3)
        key = np.minimum(start, end) * (int(self.triangles.max(initial=0)) + 1) + np.maximum(start, end)
        order = np.flatnonzero(whole)[np.argsort(key[whole])]
        return key[order], (start < end)[order], order

    @cached_property
    def first(self) -> Whole:
        """Index in the sorted order at which the sides of each edge begin, and the end of the last, (e + 1,) int."""
        key = self._sorted[0]
        return np.append(np.flatnonzero(np.append(True, key[1:] != key[:-1])[: len(key)]), len(key))

    @cached_property
    def sides(self) -> Whole:
        """Number of triangles that meet at each edge, (e,) int."""
        return np.diff(self.first)

    @property
    def pairs(self) -> tuple[Whole, Whole]:
        """Sides (p,) and (p,) that meet at the edges of two triangles; side s is edge s % 3 of triangle s // 3."""
        order, at = self._sorted[2], self.first[:-1][self.sides == 2]
        one: Whole = order[at]
        return one, order[at + 1]

    @property
    def open(self) -> Whole:
        """Boundary sides (o,), which no other triangle meets."""
        alone: Whole = self._sorted[2][self.first[:-1][self.sides == 1]]
        return alone

    @property
    def nonmanifold(self) -> Whole:
        """One side (c,) of each non-manifold edge, at which more than two triangles meet."""
        many: Whole = self._sorted[2][self.first[:-1][self.sides > 2]]
        return many

    @property
    def flipped(self) -> Mask:
        """Mask (p,) of pairs whose two triangles run along their edge the same way, so that one of them is flipped."""
        up, at = self._sorted[1], self.first[:-1][self.sides == 2]
        same: Mask = up[at] == up[at + 1]
        return same


def degenerate_triangles(triangles: Whole) -> Mask:
    """Return the mask (m,) of triangles that have fewer than three different vertices.

    >>> degenerate_triangles(np.array([[0, 1, 2], [3, 3, 4]]))
    array([False,  True])
    """
    fallen: Mask = (triangles == np.roll(triangles, 1, axis=1)).any(axis=1)
    return fallen


def smooth_patches(vertices: Array, triangles: Whole, edges: Edges) -> Whole:
    """Return the number of the smooth patch on which each triangle lies, (m,) int.

    Facets are joined across edges at which they turn by less than SMOOTH, and by less than COARSE where they are strips
    of one round face.
    """
    across = triangle_cross(vertices[triangles])
    normals, sides = normalize(across), edges.pairs
    one, other = (side // 3 for side in sides)
    cosine = np.einsum("ij,ij->i", normals[one], normals[other])
    flat, bent = (cosine > np.cos(np.radians(most)) for most in (SMOOTH, COARSE))
    patch = connected_groups(len(triangles), one[flat], other[flat])
    bent &= ~flat
    double = np.linalg.norm(across, axis=1)
    breadth = (_heights(vertices, triangles, double, side[bent]) for side in sides)
    area = np.bincount(patch, double)
    strips = _are_even(*breadth) | _are_even(area[patch[one[bent]]], area[patch[other[bent]]])
    a, b = patch[one[bent][strips]], patch[other[bent][strips]]
    return connected_groups(int(patch.max(initial=-1)) + 1, *_select_rows(a, b))[patch]


def _heights(vertices: Array, triangles: Whole, double: Array, sides: Whole) -> Array:
    """Return the height of each triangle over its side, (n,) mm; `double` is twice the area of each."""
    triangle, k = sides // 3, sides % 3
    along = vertices[triangles[triangle, (k + 1) % 3]] - vertices[triangles[triangle, k]]
    high: Array = double[triangle] / np.maximum(np.linalg.norm(along, axis=1), 1e-300)
    return high


def _are_even(one: Array, other: Array) -> Mask:
    """Return the mask of values that differ by no more than EQUAL of the larger one."""
    return np.abs(one - other) < EQUAL * np.maximum(one, other)


def _select_rows(one: Whole, other: Whole) -> tuple[Whole, Whole]:
    """Return the neighbours that stand in a row of three or more: two strips alone are a fold, not a round face."""
    pairs = np.unique(np.sort(np.stack([one, other], axis=1), axis=1), axis=0)
    many = np.bincount(pairs.ravel(), minlength=1)
    row = pairs[(many[pairs] > 1).any(axis=1)]
    return row[:, 0], row[:, 1]


def mesh_components(triangles: Whole, edges: Edges) -> Whole:
    """Return the number of the connected component of each triangle, (m,) int; components join at edges."""
    one, other = (sides // 3 for sides in edges.pairs)
    return connected_groups(len(triangles), one, other)
