"""What a plug in a curved face changes there: curves where its sides cross the face, and walls up or down from them.

The curves are polynomials through points found on the surface itself, of a degree that keeps them true to CLOSE.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, radians
from typing import Any

import manifold3d
import numpy as np

from mounts.geometry.outline import Arc, Outline, Span
from mounts.kernels.brep_boolean import Owned
from mounts.kernels.brep_curves import (
    BUILDER,
    SAME,
    Geom,
    Plane,
    arc_axes,
    corners,
    cross,
    curve_edge,
    edges,
    gp,
    line_edge,
    minus,
    plane,
    plane_face,
    surface_face,
    vertex,
    wire,
)
from mounts.kernels.brep_graft import Graft, Island
from mounts.kernels.brep_patches import WIDEST, interpolating, lobatto, polynomial, straight
from mounts.kernels.brep_plug import keeps_lower
from mounts.kernels.brep_ruled import in_pieces
from mounts.kernels.brep_sheet import Floats, Sheet, bernstein, met, sheet
from mounts.kernels.nets import contour
from mounts.kernels.occ import OCP
from mounts.kernels.plugs import SEGMENTS, Plug
from mounts.shape.primitives import Prism

DEGREE = 8
CLOSE = 1e-7  # mm


@dataclass(frozen=True, slots=True, eq=False)
class _Crossing:
    """Where one side of a plug crosses the face: control values of the curve, in space and in the face's parameters.

    Attributes:
        poles: (DEGREE + 1, 3) float, mm.
        trace: (DEGREE + 1, 2) float.
        heights: (DEGREE + 1,) float, mm above the plug's frame.
    """

    poles: Floats
    trace: Floats
    heights: Floats


def curved_graft(plug: Plug, host: Owned) -> Graft | None:
    """The graft of a prism in a curved face of its host; None when there is none that takes all of it."""
    if not isinstance(plug.drawn, Prism):
        return None
    drawn = plug.drawn
    outlines = [_pieces(outline) for outline in (drawn.outline, *drawn.islands)]
    for face, origin in zip(host.faces, host.origins, strict=True):
        bent = sheet(face)
        crossings = bent and [_crossings(bent, drawn, outline) for outline in outlines]
        volume = _volume(bent, plug) if crossings and None not in crossings else None
        if bent and crossings and volume is not None:
            ...
    return None
