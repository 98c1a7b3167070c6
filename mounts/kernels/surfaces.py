"""What each face of a part is: flat, round, or curved in another way; exactly, as the kernel holds it."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.geometry.frames import Vector
from mounts.kernels.cad import cq
from mounts.kernels.faces_apart import faces_in
from mounts.kernels.part import Part
from mounts.kernels.readback import Cylinder, cylinder_of


@dataclass(frozen=True, slots=True)
class Flat:
    """A plane: a point on it, and its unit normal out of the material."""

    at: Vector
    normal: Vector


Surface = Flat | Cylinder | None


def surfaces(part: Part) -> tuple[Surface, ...]:
    """The surface of each face of a part of the B-rep kernel, numbered as in `part.face`; None for any other shape."""
    return tuple(_surface(face) for face in faces_in(part))


def _surface(face: cq.Face) -> Surface:
    sort = face.geomType()
    if sort == "CYLINDER":
        return cylinder_of(face)
    if sort != "PLANE":
        return None
    u, _, v, _ = face.uvBounds()
    normal, at = face.normalAt(u, v)
    return Flat(at.toTuple(), normal.toTuple())
