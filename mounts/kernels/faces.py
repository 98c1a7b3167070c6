"""Faces of a part of the B-rep kernel: exact least distances between two, and the surface that each lies on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mounts.geometry.frames import Array, Vector
from mounts.kernels.cad import cq, func, kernel_step
from mounts.kernels.part import Part
from mounts.kernels.readback import Cylinder, face_cylinder


@dataclass(frozen=True, slots=True)
class FaceDistance:
    """Least distance of two faces in mm, and one pair of places (3,) at which they are that near."""

    distance: float
    start: Array
    end: Array


def part_faces(part: Part) -> list[cq.Face]:
    """Return the faces of a part's solid, numbered as in `part.face`."""
    assert part.solid is not None
    faces: list[cq.Face] = part.solid.Faces()
    return faces


def face_distance(name: str, faces: Sequence[cq.Face], one: int, other: int) -> FaceDistance:
    """Return the least distance between two faces of a part.

    Args:
        name: the part's.
        faces: all of its faces.
        one, other: numbers of two of them.

    Raises:
        KernelError: if the kernel finds none.
    """
    with kernel_step(name, "distance of faces", one=one, other=other):
        start, end = (np.array(point.toTuple()) for point in func.closest(faces[one], faces[other]))
        return FaceDistance(float(np.linalg.norm(end - start)), start, end)


@dataclass(frozen=True, slots=True)
class FlatFace:
    """Plane of a face: a point on it, and its unit normal out of the material."""

    at: Vector
    normal: Vector


Surface = FlatFace | Cylinder | None


def face_surfaces(part: Part) -> tuple[Surface, ...]:
    """Return the surface of each face of a part of the B-rep kernel, numbered as in `part.face`.

    It is a plane or a cylinder, exactly as the kernel holds it; None for any other surface.
    """
    return tuple(_face_surface(face) for face in part_faces(part))


def _face_surface(face: cq.Face) -> Surface:
    """Return the surface of one face; None when it is neither plane nor cylinder."""
    sort = face.geomType()
    if sort == "CYLINDER":
        return face_cylinder(face)
    if sort != "PLANE":
        return None
    u, _, v, _ = face.uvBounds()
    normal, at = face.normalAt(u, v)
    return FlatFace(at.toTuple(), normal.toTuple())
