"""A part's surface made ready for rays, and what rays into its material see: the first step of measuring walls."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from mounts.geometry.facets import Edges, Mask, Whole, triangle_cross
from mounts.geometry.frames import Array
from mounts.geometry.ties import ODD
from mounts.identity import Role
from mounts.kernels.part import Part

if TYPE_CHECKING:
    import cadquery as cq

DEPTH = 1e-4  # mm under the surface at which a ray starts
ASIDE = 0.01  # mm from a patch's boundary at which its rays start
LEVELS = (1e-4, 0.1)  # mm: places within one step lie level with each other
NEEDLE = 1e-3  # mm: triangles lower than this tell no normal
WIDEST = 0.6  # least cosine at which a ray that comes out is worth keeping
BENT = float(np.cos(np.radians(5)))  # faces that turn less into each other have no edge between them
SPREAD, EACH, LETTER, BOUNDARY = 3000, 8, 4, 6000  # origins by area, on each face, on a letter's, on edges at most
GOLDEN = (0.7548776662466927, 0.5698402909980532)  # steps of the plane's evenest sequence


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
        """Return the skin of a part."""
        corners = part.vertices[part.triangles]
        across = triangle_cross(corners)
        double = np.sqrt(np.einsum("ij,ij->i", across, across))
        sides = corners - corners[:, [1, 2, 0]]
        longest = np.sqrt(np.einsum("ijk,ijk->ij", sides, sides).max(axis=1))
        label = np.array([ident.role is Role.LABEL for ident in part.features], dtype=bool)
        normals = across / np.maximum(double, 1e-300)[:, None]
        height = double / np.maximum(longest, 1e-12)
        return Skin(part, corners, normals, double / 2, height, label[part.feature])

    @cached_property
    def edges(self) -> Edges:
        """The edges of the triangles."""
        return Edges(self.part.triangles)

    def first_met(self, starts: Array, ways: Array) -> Whole:
        """Return the numbers of the triangles that rays (n, 3) along unit ways (n, 3) meet first, (n,); −1 for none."""
        met: Whole = self.part.mesh.ray.intersects_first(starts, ways).astype(np.int64)
        return met

    def way_to(self, triangles: Whole, starts: Array, ways: Array) -> Array:
        """Return the ways from starts along unit ways (n, 3) to the planes of triangles (n,), mm; 0 along a plane."""
        normals = self.normals[triangles]
        deep = np.einsum("ij,ij->i", self.corners[triangles, 0] - starts, normals)
        slant = np.einsum("ij,ij->i", ways, normals)
        far: Array = np.divide(deep, slant, out=np.zeros(len(deep)), where=slant != 0)
        return far

    @cached_property
    def exact_faces(self) -> list[cq.Face]:
        """The B-rep's own faces, numbered as in `Part.face`; none on a part without any."""
        if self.part.solid is None:
            return []
        from mounts.kernels.readback import part_faces

        return part_faces(self.part)

    @cached_property
    def breadths(self) -> Array:
        """Breadth of each face, (faces,) mm: twice its area over the length of its edges; of a strip its width."""
        face = self.part.face
        one, other = self.edges.pairs
        apart = face[one // 3] != face[other // 3]
        side = np.concatenate([one[apart], other[apart]])
        triangle, k = side // 3, side % 3
        along = self.corners[triangle, (k + 1) % 3] - self.corners[triangle, k]
        around = np.bincount(face[triangle], np.linalg.norm(along, axis=1), int(face.max(initial=-1)) + 1)
        area = 2 * np.bincount(face, self.area)
        broad: Array = np.divide(area, around, out=np.full(len(area), np.inf), where=around > 0)
        return broad

    @cached_property
    def seen(self) -> Sights:
        """Rays from the whole skin that meet its other side at a cosine greater than WIDEST."""
        return _seen(self)

    @cached_property
    def fans(self) -> tuple[Whole, Whole]:
        """Triangles in the order of their vertices, and where each vertex's begin."""
        around = self.part.triangles.ravel()
        many = np.bincount(around, minlength=len(self.part.vertices))
        return np.argsort(around) // 3, np.append(0, np.cumsum(many))

    def at_vertices(self, vertices: Whole) -> tuple[Whole, Whole]:
        """Return the triangles (k,) that meet at vertices (n,), and the number of each one's vertex, (k,)."""
        order, first = self.fans
        count = first[vertices + 1] - first[vertices]
        owner = np.repeat(np.arange(len(vertices)), count)
        place = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
        return order[place + np.repeat(first[vertices], count)], owner


@dataclass(frozen=True, slots=True, eq=False)
class Sights:
    """Hits of n rays, each from one triangle through the material to the first one on the other side.

    Attributes:
        source, target: (n,) int, numbers of the triangles.
        cosine: (n,) float, of the angle at which it comes out of the other side.
        start: (n, 3) float, where the ray starts, mm.
        length: (n,) float, way through the material, mm.
        beneath: (n,) float, distance from where the ray starts to the plane of what it meets, mm.
    """

    source: Whole
    target: Whole
    cosine: Array
    start: Array
    length: Array
    beneath: Array

    def only(self, which: Mask) -> Sights:
        """Return the rays that a mask selects."""
        return Sights(*(getattr(self, each.name)[which] for each in fields(self)))


def sights(skin: Skin, opposed: float) -> Sights:
    """Return the rays from all over a skin straight into it, of which those count that come out of an opposing surface.

    Args:
        skin: where they start.
        opposed: least cosine between a ray and the outward normal of the surface that it meets; WIDEST or more.
    """
    return skin.seen.only(skin.seen.cosine > opposed)


def _seen(skin: Skin) -> Sights:
    source, start = origins(skin)
    inward = -skin.normals[source]
    target = skin.first_met(start + DEPTH * inward, inward)
    cosine = np.einsum("ij,ij->i", inward, skin.normals[target])
    met = np.flatnonzero((target >= 0) & (cosine > WIDEST))
    source, target, start, cosine = source[met], target[met], start[met], cosine[met]
    beneath = np.maximum(np.einsum("ij,ij->i", skin.corners[target, 0] - start, skin.normals[target]), 0.0)
    return Sights(source, target, cosine, start, beneath / cosine, beneath)


def origins(skin: Skin) -> tuple[Whole, Array]:
    """Return where rays start, triangles and points on them (n, 3): by area, on each face, along edges between them."""
    fit = in_order(skin.corners, np.flatnonzero(skin.height > NEEDLE))
    if not len(fit):
        return fit, np.zeros((0, 3))
    letter = skin.lettering[fit]
    source = np.concatenate(
        [_by_area(skin, fit), _by_face(skin, fit[~letter], EACH), _by_face(skin, fit[letter], LETTER)]
    )
    step = np.arange(1, len(source) + 1)
    u, v = GOLDEN[0] * step % 1, GOLDEN[1] * step % 1
    over = u + v > 1
    shares = np.stack([np.where(over, u + v - 1, 1 - u - v), np.where(over, 1 - u, u), np.where(over, 1 - v, v)], 1)
    first = np.arange(3) + _leading(skin.corners[source])[:, None]
    corners = np.take_along_axis(skin.corners[source], first[..., None] % 3, axis=1)
    inside = np.einsum("nc,nci->ni", shares, corners)
    edge, beside = _on_edges(skin)
    return np.concatenate([source, edge]), np.concatenate([inside, beside])


def in_order(corners: Array, which: Whole) -> Whole:
    """Return some of the triangles (m, 3, 3) in the order of their places, however they are numbered."""
    return which[np.lexsort(_steps(corners[which].mean(axis=1)).T)]


def _leading(corners: Array) -> Whole:
    """Return the number of the corner of each triangle (k, 3, 3) that is first in the order of their places, (k,)."""
    first, steps = np.zeros(len(corners), dtype=np.int64), _steps(corners)
    for k in (1, 2):
        away = (steps[:, k] - steps[np.arange(len(steps)), first])[:, ::-1]
        nonzero = away != 0
        sign = np.take_along_axis(away, nonzero.argmax(axis=1)[:, None], axis=1)[:, 0]
        first[sign < 0] = k
    return first


def _steps(places: Array) -> Array:
    """Places (…, 3) as numbers to sort by, the last first, (…, 6).

    In coarse steps, which rounding seldom changes, and then in fine ones, which tell neighbours apart.
    """
    steps: Array = np.floor(np.concatenate([places / size for size in LEVELS], axis=-1) + ODD)
    return steps


def _by_area(skin: Skin, fit: Whole) -> Whole:
    total = np.cumsum(skin.area[fit])
    chosen: Whole = fit[np.searchsorted(total, (np.arange(SPREAD) + 0.5) / SPREAD * total[-1])]
    return chosen


def _by_face(skin: Skin, fit: Whole, count: int) -> Whole:
    """So many origins on every face, by area within it."""
    if not len(fit):
        return fit
    order = fit[np.argsort(skin.part.face[fit], kind="stable")]
    total = np.cumsum(skin.area[order])
    last = np.flatnonzero(np.diff(skin.part.face[order], append=-1))
    start = np.append(0.0, total[last][:-1])
    wanted = start[:, None] + (total[last] - start)[:, None] * (np.arange(count) + 0.5) / count
    chosen: Whole = order[np.minimum(np.searchsorted(total, wanted.ravel()), len(order) - 1)]
    return chosen


def _on_edges(skin: Skin) -> tuple[Whole, Array]:
    """Beside the start of every edge at which two faces meet, on both of them; letters have edges enough inside."""
    one, other = skin.edges.pairs
    a, b = one // 3, other // 3
    apart = np.flatnonzero((skin.part.face[a] != skin.part.face[b]) & ~skin.lettering[a] & ~skin.lettering[b])
    bent = np.einsum("ij,ij->i", skin.normals[a[apart]], skin.normals[b[apart]]) < BENT
    side = np.concatenate([one[apart[bent]], other[apart[bent]]])
    side = side[skin.height[side // 3] > NEEDLE]
    side = side[:: -(-len(side) // BOUNDARY) or 1]
    triangle, k = side // 3, side % 3
    start, end, top = (skin.corners[triangle, (k + step) % 3] for step in range(3))
    long = np.maximum(np.linalg.norm(end - start, axis=1), 1e-12)
    along, up = (np.minimum(ASIDE / size, 0.25)[:, None] for size in (long, 2 * skin.area[triangle] / long))
    return triangle, start + along * (end - start) + up * (top - start)
