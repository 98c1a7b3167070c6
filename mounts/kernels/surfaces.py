"""What each face of a part is: flat, round, or curved in another way; exactly, as the kernel holds it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from mounts.geometry.frames import Vector
from mounts.kernels.faces_apart import faces_in
from mounts.kernels.occ import OCP
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


def _surface(face: Any) -> Surface:
    found = OCP.BRepAdaptor.BRepAdaptor_Surface(face)
    if found.GetType() == OCP.GeomAbs.GeomAbs_Cylinder:
        return cylinder_of(face, found)
    if found.GetType() != OCP.GeomAbs.GeomAbs_Plane:
        return None
    plane = found.Plane()
    at, normal = plane.Location(), plane.Axis().Direction()
    out = 1.0 if plane.Direct() == (face.Orientation() == OCP.TopAbs.TopAbs_FORWARD) else -1.0
    return Flat((at.X(), at.Y(), at.Z()), (out * normal.X(), out * normal.Y(), out * normal.Z()))
