"""Rays against a part's triangles, and how light falls on what they meet: what a picture is made of.

The rays go straight to embree: trimesh's interface to it gives neither where in a triangle a ray meets it, which
shading needs, nor only whether something is in the way.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]  # of 32 bits wherever there are many
Whole = NDArray[np.int64]
CREASE = np.cos(np.radians(12))  # more than half of the 17° by which triangles of a round face may turn
_SMOOTH = np.cos(np.radians(40))  # a surface that turns by more than this at a corner is not smooth there


@dataclass(frozen=True, slots=True, eq=False)
class RayMesh:
    """Triangles ready for rays.

    Attributes:
        corners: (m, 3, 3) float, mm.
        normals: (m, 3, 3) float, at the corners, averaged over each smooth face.
        face: (m,) int, the smooth face of each triangle.
        creases: (k, 2, 3) float, ends of the edges at which faces meet at an angle.
        scene: embree's own copy.
    """

    corners: Floats
    normals: Floats
    face: Whole
    creases: Floats
    scene: Any


@dataclass(frozen=True, slots=True, eq=False)
class Hits:
    """First hits of n rays on a mesh; a ray that misses has face -1 and zeros.

    Attributes:
        face: (n,) int.
        point: (n, 3) float, mm.
        normal: (n, 3) float, unit.
    """

    face: Whole
    point: Floats
    normal: Floats

    @property
    def met(self) -> NDArray[np.bool_]:
        """(n,) bool, whether the ray meets the mesh."""
        return self.face >= 0

    def only(self, which: NDArray[Any]) -> Hits:
        """Return those of an index or a mask."""
        return Hits(self.face[which], self.point[which], self.normal[which])


def make_ray_mesh(points: NDArray[np.float64], triangles: Whole, face: Whole) -> RayMesh:
    """Return a mesh from points (k, 3), triangles (m, 3) and the smooth face of each triangle (m,)."""
    from embreex.mesh_construction import TriangleMesh
    from embreex.rtcore_scene import EmbreeScene

    corners = np.ascontiguousarray(points[triangles], dtype=np.float32)
    scene = EmbreeScene()
    TriangleMesh(scene, corners)
    normals = _normals(corners, triangles, face)
    return RayMesh(corners, normals, face, _creases(corners, triangles, face, normals), scene)


def cast_rays(mesh: RayMesh, origin: Floats, directions: Floats) -> Hits:
    """Return the first hits of rays from one place (3,) along (n, 3) unit directions."""
    origins = np.repeat(origin[None].astype(np.float32), len(directions), axis=0)
    found = mesh.scene.run(origins, np.ascontiguousarray(directions), output=True)
    met = np.flatnonzero(found["primID"] >= 0)
    triangle = found["primID"][met]
    face = np.full(len(directions), -1, np.int64)
    face[met] = mesh.face[triangle]
    point, normal = np.zeros((2, len(directions), 3), np.float32)
    point[met] = origin + directions[met] * found["tfar"][met, None]
    u, v = found["u"][met, None], found["v"][met, None]
    corners = mesh.normals[triangle]
    normal[met] = normalize(corners[:, 0] * (1 - u - v) + corners[:, 1] * u + corners[:, 2] * v)
    return Hits(face, point, normal)


def find_hidden(mesh: RayMesh, eye: Floats, points: Floats, slack: float) -> NDArray[np.bool_]:
    """Return whether the mesh comes between an eye (3,) and points (n, 3) by more than `slack` mm."""
    ways = points - eye
    far = np.sqrt(np.einsum("ij,ij->i", ways, ways))
    origins = np.repeat(eye[None].astype(np.float32), len(points), axis=0)
    found = mesh.scene.run(origins, np.ascontiguousarray(normalize(ways), dtype=np.float32), query="DISTANCE")
    covered: NDArray[np.bool_] = found < far - slack
    return covered


def visible_share(mesh: RayMesh, points: Floats, normals: Floats, directions: Floats, lift: float) -> Floats:
    """Return the share (0 to 1) of the directions in which each point sees past the mesh.

    Args:
        mesh: what may be in the way.
        points: (n, 3).
        normals: (n, 3), unit; a ray that starts into the surface is not counted.
        directions: (k, n, 3), k rays for each point.
        lift: distance by which a ray starts off its surface, mm.
    """
    origins = np.ascontiguousarray(points + normals * np.float32(lift))
    free, counted = np.zeros((2, len(points)), np.float32)
    for ways in directions:
        outward = np.einsum("ij,ij->i", ways, normals) > 0
        blocked = mesh.scene.run(origins, np.ascontiguousarray(ways), query="OCCLUDED") >= 0
        free += outward & ~blocked
        counted += outward
    return free / np.maximum(counted, 1)


def normalize(vectors: Floats) -> Floats:
    """Return the vectors (…, 3) at length 1."""
    long = np.sqrt(np.einsum("...i,...i->...", vectors, vectors))[..., None]
    scaled: Floats = vectors / np.maximum(long, 1e-20)
    return scaled


def _creases(corners: Floats, triangles: Whole, face: Whole, normals: Floats) -> Floats:
    """Return the ends (k, 2, 3) of the edges at which two faces meet with different normals."""
    ends = np.sort(np.stack([triangles, np.roll(triangles, -1, axis=1)], -1).reshape(-1, 2), axis=1)
    keys = ends[:, 0] * (int(triangles.max()) + 1) + ends[:, 1]
    order = np.argsort(keys, kind="stable")
    beside = np.flatnonzero(keys[order[1:]] == keys[order[:-1]])
    one, other = order[beside], order[beside + 1]
    apart = np.flatnonzero(face[one // 3] != face[other // 3])
    one, other = one[apart], other[apart]
    along = normalize((normals + np.roll(normals, -1, axis=1)).reshape(-1, 3))
    sharp = one[np.einsum("ij,ij->i", along[one], along[other]) < CREASE]
    places: Floats = np.stack([corners, np.roll(corners, -1, axis=1)], 2).reshape(-1, 2, 3)[sharp]
    return places


def _normals(corners: Floats, triangles: Whole, face: Whole) -> Floats:
    """Return normals at the corners: the mean over the triangles of one face about a point, weighted by their area."""
    across: Floats = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    keys = (triangles * (int(face.max()) + 1) + face[:, None]).ravel()
    _, index = np.unique(keys, return_inverse=True)
    spread = np.repeat(across, 3, axis=0)
    mean = np.stack([np.bincount(index, weights=spread[:, k]) for k in range(3)], axis=1).astype(float)[index]
    smooth = normalize(mean.reshape(-1, 3, 3)).astype(np.float32)
    flat = np.broadcast_to(normalize(across)[:, None, :], smooth.shape)
    near = np.einsum("ijk,ijk->ij", smooth, flat) > _SMOOTH
    return np.where(near[..., None], smooth, flat)
