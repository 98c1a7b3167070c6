"""What each face of a part is: flat, round, or curved in another way; exactly, as the kernel holds it."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.geometry.frames import Vector
from mounts.kernels.cad import cq
from mounts.kernels.faces import part_faces
from mounts.kernels.part import Part
from mounts.kernels.readback import Cylinder, face_cylinder


@dataclass(frozen=True, slots=True)
class FlatFace:
    """A plane: a point on it, and its unit normal out of the material."""

    at: Vector
    normal: Vector


Surface = FlatFace | Cylinder | None


def face_surfaces(part: Part) -> tuple[Surface, ...]:
    """The surface of each face of a part of the B-rep kernel, numbered as in `part.face`; None for any other shape."""
    return tuple(_face_surface(face) for face in part_faces(part))


def _face_surface(face: cq.Face) -> Surface:
    sort = face.geomType()
    if sort == "CYLINDER":
        return face_cylinder(face)
    if sort != "PLANE":
        return None
    u, _, v, _ = face.uvBounds()
    normal, at = face.normalAt(u, v)
    return FlatFace(at.toTuple(), normal.toTuple())
