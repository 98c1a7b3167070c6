"""What a plug in a plane face changes there: it is trimmed at the plane, and its end face becomes the hole."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import pi
from typing import Any

from mounts.geometry.outline import Outline, circle
from mounts.kernels.brep_bodies import solid
from mounts.kernels.brep_boolean import Owned
from mounts.kernels.brep_curves import SAME, Plane, cross, dot, minus, plane, size
from mounts.kernels.brep_graft import Graft, Island, holds, start_of, wires
from mounts.kernels.brep_triangles import faces_of
from mounts.kernels.occ import OCP
from mounts.kernels.plugs import Plug
from mounts.shape.primitives import Prism, Revolved

SQUARE = 1e-10


def plane_graft(plug: Plug, host: Owned) -> Graft | None:
    """The graft of a plug in a plane face of its host; None when there is none square to it that holds it."""
    low, high = ends(plug.drawn)
    for face, origin in zip(host.faces, host.origins, strict=True):
        height = _height(face, plane(plug.drawn.frame))
        if height is not None and low + SAME < height < high - SAME:
            on, border = plane(plug.drawn.frame, height), _outline(plug.drawn, height)
            start = on.at(border.spans[0].start) if border else None
            if start and holds(face, start):
                kept = _trimmed(plug.drawn, height, lower=keeps_lower(plug))
                return Graft(origin, (*plug.key, 0), start, *_turned(plug, kept, on), gain=_gain(plug, kept))
    return None


def ends(drawn: Prism | Revolved) -> tuple[float, float]:
    """Where a plug begins and ends along its frame's z."""
    if isinstance(drawn, Prism):
        return drawn.low, drawn.high
    return drawn.profile[0][0], drawn.profile[-1][0]


def keeps_lower(plug: Plug) -> bool:
    """Whether the part shows the plug's lower end: a pocket shows the inner one, what is added the outer one."""
    return plug.cut == plug.outward


def _height(face: Any, frame: Plane) -> float | None:
    """Height above a frame of a face that is plane and square to its z."""
    surface = OCP.BRepAdaptor.BRepAdaptor_Surface(face, False)
    if surface.GetType() != OCP.GeomAbs.GeomAbs_Plane:
        return None
    at, axis = surface.Plane().Location(), surface.Plane().Axis().Direction()
    if size(cross((axis.X(), axis.Y(), axis.Z()), frame.z)) > SQUARE:
        return None
    return dot(minus((at.X(), at.Y(), at.Z()), frame.origin), frame.z)


def _outline(drawn: Prism | Revolved, height: float) -> Outline | None:
    """A plug's outline at a height; None where it steps, or has none."""
    if isinstance(drawn, Prism):
        return drawn.outline
    diameter = _diameter(drawn, height)
    return circle(diameter) if diameter else None


def _diameter(drawn: Revolved, height: float) -> float | None:
    found = [diameter for z, diameter in drawn.profile if abs(z - height) <= SAME]
    for (z0, d0), (z1, d1) in pairwise(drawn.profile):
        if z0 + SAME < height < z1 - SAME:
            found.append(d0 + (d1 - d0) * (height - z0) / (z1 - z0))
    return None if max(found) - min(found) > SAME or found[0] <= SAME else found[0]


def _trimmed(drawn: Prism | Revolved, height: float, *, lower: bool) -> Prism | Revolved:
    """The part of a plug below a height, or above it."""
    if isinstance(drawn, Prism):
        return replace(drawn, high=height) if lower else replace(drawn, low=height)
    end = (height, _diameter(drawn, height) or 0.0)
    if lower:
        return replace(drawn, profile=(*(point for point in drawn.profile if point[0] < height - SAME), end))
    return replace(drawn, profile=(end, *(point for point in drawn.profile if point[0] > height + SAME)))


def _turned(plug: Plug, kept: Prism | Revolved, on: Plane) -> tuple[Any, tuple[Island, ...], tuple[Any, ...]]:
    """Hole, islands and faces of what is kept of a plug, as they are to stand in the part."""
    faces = faces_of(solid(kept))
    heights = [_height(face, on) for face in faces]
    end = next(k for k, height in enumerate(heights) if height is not None and abs(height) < SAME)
    outer = OCP.BRepTools.BRepTools.OuterWire_s(faces[end])
    borders = [(border.IsSame(outer), border.Reversed() if plug.cut else border) for border in wires(faces[end])]
    hole = next(border for is_outer, border in borders if is_outer)
    islands = tuple(_island(border, kept) for is_outer, border in borders if not is_outer)
    walls = (face.Reversed() if plug.cut else face for k, face in enumerate(faces) if k != end)
    return hole, islands, tuple(walls)


def _island(border: Any, kept: Prism | Revolved) -> Island:
    """The island of a prism whose outline a wire of its end face follows."""
    assert isinstance(kept, Prism)
    x, y, _ = kept.frame.into(start_of(border))
    outline = min(kept.islands, key=lambda island: abs(island.depth((float(x), float(y)))))
    return Island(border, outline, kept.frame)


def _gain(plug: Plug, kept: Prism | Revolved) -> float:
    """Volume that a plug gives to the part, in closed form."""
    if isinstance(kept, Prism):
        area = kept.outline.area - sum(island.area for island in kept.islands)
        volume = area * (kept.high - kept.low)
    else:
        frusta = ((z1 - z0) * (d0**2 + d0 * d1 + d1**2) for (z0, d0), (z1, d1) in pairwise(kept.profile))
        volume = pi / 12 * sum(frusta)
    return -volume if plug.cut else volume
