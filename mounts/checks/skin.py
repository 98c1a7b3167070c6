"""A part's surface made ready for rays, and what rays into its material see: the first step of measuring walls."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from mounts.geometry.facets import Edges, Mask, Whole, crosses, unit
from mounts.geometry.frames import Array
from mounts.kernels.part import Part

DEPTH = 1e-4  # mm under the surface at which a ray starts
ASIDE = 0.01  # mm from a patch's boundary at which its rays start
NEEDLE = 1e-3  # mm: triangles lower than this tell no normal
SPREAD, EACH, BOUNDARY = 3000, 8, 20_000  # origins by area, on each face, along boundaries at most
GOLDEN = (0.7548776662466927, 0.5698402909980532)  # steps of the plane's evenest sequence
LABEL = "label"  # how the names of lettering begin


@dataclass(frozen=True, eq=False)
class Skin:
    """A part's triangles.

    Attributes:
        part: the part.
        corners: (m, 3, 3) float, mm.
        normals: (m, 3) float, unit, outward.
        area: (m,) float, mm².
        height: (m,) float, least height of each triangle, mm.
        lettering: (m,) whether the triangle belongs to a label.
    """

    part: Part
    corners: Array
    normals: Array
    area: Array
    height: Array
    lettering: Mask

    @staticmethod
    def of(part: Part) -> Skin:
        """The skin of a part."""
        corners = part.vertices[part.triangles]
        across = crosses(corners)
        double = np.sqrt(np.einsum("ij,ij->i", across, across))
        sides = corners - corners[:, [1, 2, 0]]
        longest = np.sqrt(np.einsum("ijk,ijk->ij", sides, sides).max(axis=1))
        label = np.array([name.startswith(LABEL) for name in part.features], dtype=bool)
        normals = across / np.maximum(double, 1e-300)[:, None]
        height = double / np.maximum(longest, 1e-12)
        return Skin(part, corners, normals, double / 2, height, label[part.feature])

    @cached_property
    def scene(self) -> Any:
        """The triangles as embree's own."""
        from embreex.mesh_construction import TriangleMesh  # noqa: PLC0415
        from embreex.rtcore_scene import EmbreeScene  # noqa: PLC0415

        scene = EmbreeScene()
        TriangleMesh(scene, self.part.vertices.astype(np.float32), self.part.triangles.astype(np.int32))
        return scene

    @cached_property
    def fans(self) -> tuple[Whole, Whole]:
        """Triangles in the order of their vertices, and where each vertex's begin."""
        around = self.part.triangles.ravel()
        order = np.argsort(around, kind="stable") // 3
        return order, np.searchsorted(np.sort(around), np.arange(len(self.part.vertices) + 1))

    def around(self, triangle: int) -> Whole:
        """Triangles (k,) that share a vertex with one, itself among them."""
        order, first = self.fans
        fans = [order[first[v] : first[v + 1]] for v in self.part.triangles[triangle]]
        return np.unique(np.concatenate(fans))


@dataclass(frozen=True, slots=True, eq=False)
class Sights:
    """What n rays see, each from one triangle through the material to the first one on the other side.

    Attributes:
        source, target: (n,) int, numbers of the triangles.
        start: (n, 3) float, where the ray starts, mm.
        length: (n,) float, way through the material, mm.
        beneath: (n,) float, distance from where the ray starts to the plane of what it meets, mm.
    """

    source: Whole
    target: Whole
    start: Array
    length: Array
    beneath: Array


def sights(skin: Skin, opposed: float) -> Sights:
    """Rays from all over a skin straight into it, of which those count that come out of an opposing surface.

    Args:
        skin: where they start.
        opposed: least cosine between a ray and the outward normal of the surface that it meets.
    """
    source, start = origins(skin)
    inward = -skin.normals[source]
    rays = np.ascontiguousarray(start + DEPTH * inward, dtype=np.float32)
    target = skin.scene.run(rays, np.ascontiguousarray(inward, dtype=np.float32)).astype(np.int64)
    cosine = np.einsum("ij,ij->i", inward, skin.normals[target])
    met = np.flatnonzero((target >= 0) & (cosine > opposed))
    source, target, start = source[met], target[met], start[met]
    beneath = np.maximum(np.einsum("ij,ij->i", skin.corners[target, 0] - start, skin.normals[target]), 0.0)
    return Sights(source, target, start, beneath / cosine[met], beneath)


def origins(skin: Skin) -> tuple[Whole, Array]:
    """Where rays start: triangles (n,) and places on them (n, 3): by area, on each face, along boundaries of faces."""
    fit = np.flatnonzero(skin.height > NEEDLE)
    if not len(fit):
        return fit, np.zeros((0, 3))
    source = np.concatenate([_by_area(skin, fit), _by_face(skin, fit)])
    u, v = ((0.5 + step * np.arange(len(source))) % 1 for step in GOLDEN)
    u, v = np.where(u + v > 1, 1 - u, u), np.where(u + v > 1, 1 - v, v)
    a, b, c = (skin.corners[source, k] for k in range(3))
    inside = a + u[:, None] * (b - a) + v[:, None] * (c - a)
    edge, beside = _on_boundary(skin)
    return np.concatenate([source, edge]), np.concatenate([inside, beside])


def _by_area(skin: Skin, fit: Whole) -> Whole:
    total = np.cumsum(skin.area[fit])
    chosen: Whole = fit[np.searchsorted(total, (np.arange(SPREAD) + 0.5) / SPREAD * total[-1])]
    return chosen


def _by_face(skin: Skin, fit: Whole) -> Whole:
    """EACH origins on every face, by area within it."""
    order = fit[np.argsort(skin.part.face[fit], kind="stable")]
    total = np.cumsum(skin.area[order])
    last = np.flatnonzero(np.diff(skin.part.face[order], append=-1))
    start = np.append(0.0, total[last][:-1])
    wanted = start[:, None] + (total[last] - start)[:, None] * (np.arange(EACH) + 0.5) / EACH
    chosen: Whole = order[np.minimum(np.searchsorted(total, wanted.ravel()), len(order) - 1)]
    return chosen


def _on_boundary(skin: Skin) -> tuple[Whole, Array]:
    """Beside the start of every edge between two faces, on both of them; letters have edges enough inside."""
    one, other = Edges(skin.part.triangles).pairs
    a, b = one // 3, other // 3
    apart = (skin.part.face[a] != skin.part.face[b]) & ~skin.lettering[a] & ~skin.lettering[b]
    side = np.concatenate([one[apart], other[apart]])
    side = side[skin.height[side // 3] > NEEDLE]
    side = side[:: max(1, len(side) // BOUNDARY)]
    triangle, k = side // 3, side % 3
    start, end = skin.corners[triangle, k], skin.corners[triangle, (k + 1) % 3]
    along = unit(end - start)
    inward = np.cross(skin.normals[triangle], along)
    aside = np.minimum(ASIDE, skin.height[triangle] / 4)[:, None]
    return triangle, start + aside * (inward + along)
