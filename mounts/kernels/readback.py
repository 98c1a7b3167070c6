"""Independent reading of STEP files: their solids, and the cylinders by which holes are located.

Faces of a part of the B-rep kernel: exact least distances between two, and the surface that each lies on.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import degrees
from pathlib import Path

import numpy as np

from mounts.errors import KernelError
from mounts.geometry.frames import Array, Vector, as_vector
from mounts.kernels.cad import OCP, cq, func, kernel_step
from mounts.kernels.part import Part

SAME = 1e-6  # mm, and of a direction


@dataclass(frozen=True, slots=True)
class Cylinder:
    """Cylinder on a part, its pieces taken together.

    Attributes:
        start, end: on the axis, where the cylinder begins and ends; the axis points to +z (to +y, +x when level), mm.
        diameter: in mm.
        hole: whether it is hollow, with the material outside.
        sweep: how much of the way round it is there, in degrees, at most 360.
    """

    start: Vector
    end: Vector
    diameter: float
    hole: bool
    sweep: float

    @property
    def direction(self) -> Vector:
        """Unit vector from start to end."""
        along = np.subtract(self.end, self.start)
        return as_vector(along / np.linalg.norm(along))


def read_solids(step: Path | bytes) -> list[cq.Solid]:
    """Return the solids in a STEP file, in mm.

    Raises:
        KernelError: if it cannot be read.
    """
    if isinstance(step, bytes):
        with tempfile.TemporaryDirectory(prefix="mounts-") as folder:
            path = Path(folder) / "part.step"
            path.write_bytes(step)
            return read_solids(path)
    with kernel_step(step.name, "read STEP"):
        try:
            return list(cq.importers.importStep(str(step)).solids().vals())
        except ValueError as error:
            raise KernelError(f"{step.name} is no STEP file that can be read") from error


def read_cylinders(step: Path | bytes) -> list[Cylinder]:
    """Return every cylinder on the solids of a STEP file, in the file's frame.

    Raises:
        KernelError: if it cannot be read.
    """
    return merge_cylinders(found for solid in read_solids(step) for found in shape_cylinders(solid))


def shape_cylinders(shape: cq.Shape) -> list[Cylinder]:
    """Return the cylinders of a shape, a face each."""
    return [face_cylinder(face) for face in shape.Faces() if face.geomType() == "CYLINDER"]


def merge_cylinders(pieces: Iterable[Cylinder]) -> list[Cylinder]:
    """Return cylinders with pieces of one, end to end or side by side, merged; ordered by place."""
    found: list[Cylinder] = []
    for piece in sorted(pieces, key=lambda c: (c.start, c.end)):
        other = next((k for k, known in enumerate(found) if _are_connected(known, piece)), None)
        if other is None:
            found.append(piece)
        else:
            found[other] = _union(found[other], piece)
    return found


def face_cylinder(face: cq.Face) -> Cylinder:
    """Return the cylinder on which a face lies.

    By raw bindings: cadquery gives the kind of a face's surface, but not a cylinder's axis and radius.
    """
    surface = OCP.BRepAdaptor.BRepAdaptor_Surface(face.wrapped)
    axis = surface.Cylinder().Axis()
    origin, along = (np.array(cq.Vector(one).toTuple()) for one in (axis.Location(), axis.Direction()))
    ends = [origin + along * v for v in (surface.FirstVParameter(), surface.LastVParameter())]
    leading = next((x for x in along[::-1] if abs(x) > SAME), 1.0)
    if leading < 0:
        ends.reverse()
    outward = surface.Cylinder().Direct() == (face.wrapped.Orientation() == OCP.TopAbs.TopAbs_FORWARD)
    turn = degrees(surface.LastUParameter() - surface.FirstUParameter())
    return Cylinder(
        as_vector(ends[0]), as_vector(ends[1]), 2 * surface.Cylinder().Radius(), not outward, min(360.0, turn)
    )


def _are_connected(one: Cylinder, other: Cylinder) -> bool:
    """Return whether two pieces lie on one cylinder and overlap or meet along it."""
    axis = np.asarray(one.direction)
    if one.hole != other.hole or abs(one.diameter - other.diameter) > SAME:
        return False
    places = [np.subtract(point, one.start) for point in (other.start, other.end)]
    if any(np.linalg.norm(np.cross(axis, place)) > SAME for place in places):
        return False
    low, high = (float(axis @ place) for place in places)
    return low < float(axis @ np.subtract(one.end, one.start)) + SAME and high > -SAME


def _union(one: Cylinder, other: Cylinder) -> Cylinder:
    """Return one cylinder for two connected pieces."""
    axis = np.asarray(one.direction)
    ends = sorted((one.start, one.end, other.start, other.end), key=lambda p: float(axis @ p))
    side_by_side = np.allclose(one.start, other.start, atol=SAME) and np.allclose(one.end, other.end, atol=SAME)
    sweep = min(360.0, one.sweep + other.sweep) if side_by_side else max(one.sweep, other.sweep)
    return replace(one, start=ends[0], end=ends[-1], sweep=sweep)


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
