"""Volumes of B-rep shapes, integrated closely enough to be compared in millionths."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.kernels.occ import OCP

# Relative error asked of the kernel's integrals. Left to itself it takes a few points a face, and a shallow cut into a
# curved face alone put a ring's volume wrong by 150 ppm.
EXACT, FAIR = 1e-8, 1e-6


def mass(shape: Any) -> tuple[float, NDArray[np.float64]]:
    """Volume of closed solids in mm³, and centroid, (3,) float, mm."""
    properties = _integrated(shape, EXACT, closed=True)
    centre = properties.CentreOfMass()
    return float(properties.Mass()), np.array([centre.X(), centre.Y(), centre.Z()])


def roughly(shape: Any) -> float:
    """Volume of a solid in mm³ to a few hundredths: enough to see that it is not inside out."""
    properties = OCP.GProp.GProp_GProps()
    OCP.BRepGProp.BRepGProp.VolumeProperties_s(shape, properties, True)
    return float(properties.Mass())


def volume_inside(faces: Iterable[Any], error: float = EXACT) -> float:
    """Volume in mm³ inside faces that together close, in any order, integrated to a relative error."""
    gathered = OCP.TopoDS.TopoDS_Compound()
    builder = OCP.BRep.BRep_Builder()
    builder.MakeCompound(gathered)
    for face in faces:
        builder.Add(gathered, face)
    return float(_integrated(gathered, error, closed=False).Mass())


def _integrated(shape: Any, error: float, *, closed: bool) -> Any:
    properties = OCP.GProp.GProp_GProps()
    OCP.BRepGProp.BRepGProp.VolumeProperties_s(shape, properties, error, closed, False)
    return properties
