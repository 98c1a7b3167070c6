"""Solids of the primitives for the B-rep kernel: analytic where the shape allows it, exact everywhere."""

from __future__ import annotations

from functools import singledispatch
from itertools import pairwise
from math import pi
from typing import Any

from mounts.geometry.frames import Frame
from mounts.kernels.brep_curves import SAME, Plane, edges, gp, plane, plane_face, polygon_face
from mounts.kernels.brep_ruled import check_sections, joined, turned_profile
from mounts.kernels.occ import OCP
from mounts.shape.primitives import Prism, Revolved, Ruled


@singledispatch
def solid(body: object) -> Any:
    """The solid of a primitive.

    Raises:
        ValueError: if the body cannot be; the text names the values.
    """
    raise TypeError(f"no body: {body!r}")


@solid.register
def _prism(body: Prism) -> Any:
    area = body.outline.area - sum(island.area for island in body.islands)
    if body.high <= body.low or min(area, body.outline.area, *(island.area for island in body.islands), area) <= 0:
        raise ValueError(f"a prism of {area:.4g} mm² from {body.low:.3f} up to {body.high:.3f} encloses nothing")
    floor = plane(body.frame, body.low)
    face = plane_face(floor, edges(body.outline, floor), [edges(island, floor) for island in body.islands])
    along = gp.gp_Vec(*(component * (body.high - body.low) for component in floor.z))
    return OCP.BRepPrimAPI.BRepPrimAPI_MakePrism(face, along, True).Shape()


@solid.register
def _revolved(body: Revolved) -> Any:
    profile = body.profile
    if any(after < before for (before, _), (after, _) in pairwise(profile)) or min(d for _, d in profile) < 0:
        raise ValueError(f"a revolved profile needs rising places and no negative diameter: {profile}")
    if any(diameter <= SAME for _, diameter in profile[1:-1]):
        raise ValueError(f"a revolved body closes on its axis between its ends: {profile}")
    return _turned(body.frame, [(profile[0][0], 0.0), *profile, (profile[-1][0], 0.0)])


@solid.register
def _ruled(body: Ruled) -> Any:
    check_sections(body)
    turned = turned_profile(body)
    if turned is None:
        return joined(body)
    frame, levels = turned
    return _turned(frame, levels if body.ring else [(levels[0][0], 0.0), *levels, (levels[-1][0], 0.0)])


def _turned(frame: Frame, profile: list[tuple[float, float]]) -> Any:
    """Solid of a closed profile of (place along z, diameter), turned about a frame's z."""
    on = plane(frame)
    upright = Plane(on.origin, on.x, on.z, (-on.y[0], -on.y[1], -on.y[2]))
    face = polygon_face(upright, [(diameter / 2, z) for z, diameter in profile])
    axis = gp.gp_Ax1(gp.gp_Pnt(*on.origin), gp.gp_Dir(*on.z))
    return OCP.BRepPrimAPI.BRepPrimAPI_MakeRevol(face, axis, 2 * pi).Shape()
