"""Where upright lines meet a curved face: the places at which a plug's outline crosses it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import comb
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Frame
from mounts.kernels.occ import OCP

Floats = NDArray[np.float64]
STEPS, NEAR, EDGE = 12, 1e-10, 1e-4  # of Newton's method; mm; share of the face's width that is too near its edge


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """A curved face as a function.

    Attributes:
        at: points (n, 3) in mm from parameters (n, 2).
        low, high: the least and greatest parameters, (2,) float.
    """

    at: Callable[[Floats], Floats]
    low: Floats
    high: Floats


def sheet(face: Any) -> Sheet | None:
    """A cylinder's, cone's or Bézier patch's face as a function; None for any other."""
    surface = OCP.BRepAdaptor.BRepAdaptor_Surface(face, True)
    kinds = {
        OCP.GeomAbs.GeomAbs_Cylinder: lambda: _round(surface.Cylinder(), 0.0, surface.Cylinder().Radius()),
        OCP.GeomAbs.GeomAbs_Cone: lambda: _round(surface.Cone(), surface.Cone().SemiAngle(), surface.Cone().RefRadius()),
        OCP.GeomAbs.GeomAbs_BezierSurface: lambda: _bezier(surface.Bezier()),
    }
    if surface.GetType() not in kinds:
        return None
    low = np.array([surface.FirstUParameter(), surface.FirstVParameter()])
    high = np.array([surface.LastUParameter(), surface.LastVParameter()])
    return Sheet(kinds[surface.GetType()](), low, high)


def met(sheet: Sheet, frame: Frame, places: Floats, low: float, high: float) -> tuple[Floats, Floats] | None:
    """Where lines along a frame's z meet a sheet.

    Args:
        sheet: the curved face.
        frame: the lines stand on its plane.
        places: where they stand, (n, 2) float.
        low, high: they reach from one to the other along z.

    Returns:
        The sheet's parameters (n, 2) and the heights (n,) above the frame; None when one line does not meet it, or
        meets it at its very edge.
    """
    found = _nearest(sheet, frame, places, low, high)
    if found is None:
        return None
    width = sheet.high - sheet.low
    for _ in range(STEPS):
        there = frame.into(sheet.at(found))
        miss = places - there[:, :2]
        if np.abs(miss).max() < NEAR:
            inside = np.all((found > sheet.low + EDGE * width) & (found < sheet.high - EDGE * width))
            return (found, there[:, 2]) if inside and there[:, 2].min() > low and there[:, 2].max() < high else None
        step = 1e-6 * width
        along = [
            (frame.into(sheet.at(found + d)) - frame.into(sheet.at(found - d)))[:, :2] / 2e-6
            for d in (np.array([step[0], 0.0]), np.array([0.0, step[1]]))
        ]
        slope = np.stack(along, axis=2)
        if np.abs(np.linalg.det(slope)).min() < 1e-9:
            return None
        found = found + np.linalg.solve(slope, miss[:, :, None])[:, :, 0] * width
    return None


def _nearest(sheet: Sheet, frame: Frame, places: Floats, low: float, high: float) -> Floats | None:
    """Of a net of parameters, those whose points lie nearest to the lines, (n, 2) float."""
    u, v = np.meshgrid(np.linspace(0.02, 0.98, 33), np.linspace(0.02, 0.98, 9), indexing="ij")
    net = sheet.low + np.stack([u.ravel(), v.ravel()], axis=1) * (sheet.high - sheet.low)
    there = frame.into(sheet.at(net))
    reach = 0.5 * (high - low) + float(np.ptp(places, axis=0).max())
    near = (there[:, 2] > low - reach) & (there[:, 2] < high + reach)
    if not near.any():
        return None
    apart = np.linalg.norm(places[:, None, :] - there[None, near, :2], axis=2)
    best: Floats = net[near][np.argmin(apart, axis=1)]
    return best


def _round(surface: Any, slope: float, radius: float) -> Callable[[Floats], Floats]:
    place = surface.Position()
    origin, x, y, z = (
        np.array([part.X(), part.Y(), part.Z()])
        for part in (place.Location(), place.XDirection(), place.YDirection(), place.Direction())
    )

    def at(uv: Floats) -> Floats:
        u, v = uv[:, :1], uv[:, 1:]
        points: Floats = origin + (radius + v * np.sin(slope)) * (np.cos(u) * x + np.sin(u) * y) + v * np.cos(slope) * z
        return points

    return at


def _bezier(surface: Any) -> Callable[[Floats], Floats]:
    nu, nv = surface.NbUPoles(), surface.NbVPoles()
    poles = np.empty((nu, nv, 4))
    for i in range(nu):
        for j in range(nv):
            pole, weight = surface.Pole(i + 1, j + 1), surface.Weight(i + 1, j + 1)
            poles[i, j] = (pole.X() * weight, pole.Y() * weight, pole.Z() * weight, weight)

    def at(uv: Floats) -> Floats:
        points = np.einsum("ni,nj,ijk->nk", bernstein(nu - 1, uv[:, 0]), bernstein(nv - 1, uv[:, 1]), poles)
        ratio: Floats = points[:, :3] / points[:, 3:]
        return ratio

    return at


def bernstein(degree: int, x: Floats) -> Floats:
    """Values (n, degree + 1) of the Bernstein polynomials at x (n,)."""
    return np.stack([comb(degree, k) * x**k * (1 - x) ** (degree - k) for k in range(degree + 1)], axis=1)
