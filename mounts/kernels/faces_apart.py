"""Exact least distances between faces of the B-rep kernel's part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mounts.geometry.frames import Array
from mounts.kernels.cad import cq, func, kernel_step
from mounts.kernels.part import Part


@dataclass(frozen=True, slots=True)
class Reach:
    """Least distance of two faces in mm, and one pair of places (3,) at which they are that near."""

    distance: float
    start: Array
    end: Array


def faces_in(part: Part) -> list[cq.Face]:
    """Return the faces of a part's solid, numbered as in `part.face`."""
    faces: list[cq.Face] = part.solid.Faces()
    return faces


def faces_apart(name: str, faces: Sequence[cq.Face], one: int, other: int) -> Reach:
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
        return Reach(float(np.linalg.norm(end - start)), start, end)
