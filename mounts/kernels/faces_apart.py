"""Exact least distances between faces of the B-rep kernel's part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from mounts.geometry.frames import Array
from mounts.kernels.brep_triangles import faces_of
from mounts.kernels.occ import OCP, kernel_step
from mounts.kernels.part import Part


@dataclass(frozen=True, slots=True)
class Reach:
    """Least distance of two faces in mm, and one pair of places (3,) at which they are that near."""

    distance: float
    start: Array
    end: Array


def faces_in(part: Part) -> list[Any]:
    """The kernel's own faces of a part, numbered as in `part.face`."""
    return faces_of(part.solid)


def faces_apart(name: str, faces: Sequence[Any], one: int, other: int) -> Reach:
    """Least distance between two faces of a part.

    Args:
        name: the part's.
        faces: all of its faces.
        one, other: numbers of two of them.

    Raises:
        KernelError: if the kernel finds none.
    """
    with kernel_step(name, "distance of faces", one=one, other=other):
        found = OCP.BRepExtrema.BRepExtrema_DistShapeShape(faces[one], faces[other])
        if not found.IsDone() or not found.NbSolution():
            raise RuntimeError("no solution")
        ends = (found.PointOnShape1(1), found.PointOnShape2(1))
        start, end = (np.array([point.X(), point.Y(), point.Z()]) for point in ends)
        return Reach(found.Value(), start, end)
