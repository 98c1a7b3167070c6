"""Intersection of parallel lines with a curved face: the places at which a plug's outline crosses it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import comb
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Frame
from mounts.kernels.cad import OCP, cq

Floats = NDArray[np.float64]
STEPS, NEAR, EDGE = 12, 1e-10, 1e-4  # of Newton's method; mm; share of the face's width that is too near its edge


@dataclass(frozen=True, slots=True, eq=False)
class CurvedFace:
    """Curved face as a function of two parameters.

    Attributes:
        at: points (n, 3) in mm from parameters (n, 2).
        low, high: the least and greatest parameters, (2,) float.
        net: parameters (m, 2) all over the face, from which a search starts.
        points: their points, (m, 3) float, mm.
        mesh: how far a point of the face may lie from the nearest of them, mm.
    """

    at: Callable[[Floats], Floats]
    low: Floats
    high: Floats
    net: Floats
    points: Floats
    mesh: float


def curved_face(face: cq.Face) -> CurvedFace | None:
    """Return a cylinder's, cone's or ruled patch's face as a function; None for any other.

    By raw bindings: cadquery's `Face.positions` takes points one by one, in Python.
    """
    surface = OCP.BRepAdaptor.BRepAdaptor_Surface(face.wrapped, True)
    sort = face.geomType()
    if sort == "CYLINDER":
        at = _revolved_points(surface.Cylinder(), 0.0, surface.Cylinder().Radius())
    elif sort == "CONE":
        at = _revolved_points(surface.Cone(), surface.Cone().SemiAngle(), surface.Cone().RefRadius())
    elif sort == "BSPLINE" and (surface.NbUKnots(), surface.NbVKnots()) == (2, 2):
        at = _bezier_points(surface.BSpline())
    else:
        return None
    low = np.array([surface.FirstUParameter(), surface.FirstVParameter()])
    high = np.array([surface.LastUParameter(), surface.LastVParameter()])
    u, v = np.meshgrid(np.linspace(0.02, 0.98, 33), np.linspace(0.02, 0.98, 9), indexing="ij")
    net = low + np.stack([u.ravel(), v.ravel()], axis=1) * (high - low)
    points = at(net)
    rows = points.reshape(*u.shape, 3)
    mesh = sum(float(np.linalg.norm(np.diff(rows, axis=axis), axis=2).max()) for axis in (0, 1))
    return CurvedFace(at, low, high, net, points, mesh)


def intersect_lines(
    sheet: CurvedFace, frame: Frame, places: Floats, low: float, high: float
) -> tuple[Floats, Floats] | None:
    """Return the intersections of lines along a frame's z with a curved face, by Newton's method.

    Args:
        sheet: the curved face.
        frame: the lines stand on its plane.
        places: where they stand, (n, 2) float.
        low, high: they reach from one to the other along z.

    Returns:
        The face's parameters (n, 2) and the heights (n,) above the frame; None when one line does not meet it, or meets
        it at its very edge.
    """
    into = _to_frame(frame)
    found = _nearest_parameters(sheet, frame, places, low, high)
    if found is None:
        return None
    width = sheet.high - sheet.low
    for _ in range(STEPS):
        there = into(sheet.at(found))
        miss = places - there[:, :2]
        if np.abs(miss).max() < NEAR:
            inside = np.all((found > sheet.low + EDGE * width) & (found < sheet.high - EDGE * width))
            return (found, there[:, 2]) if inside and there[:, 2].min() > low and there[:, 2].max() < high else None
        slope = _jacobian(sheet, into, found, 1e-6 * width)
        if np.abs(np.linalg.det(slope)).min() < 1e-9:
            return None
        found = np.clip(found + np.linalg.solve(slope, miss[:, :, None])[:, :, 0], sheet.low, sheet.high)
    return None


def _to_frame(frame: Frame) -> Callable[[Floats], Floats]:
    """Return what carries points (n, 3) of the panel frame in another; the frame's axes are worked out once."""
    axes, origin = frame.axes, np.asarray(frame.origin)
    return lambda points: (points - origin) @ axes


def _jacobian(sheet: CurvedFace, into: Callable[[Floats], Floats], found: Floats, step: Floats) -> Floats:
    """Return the derivatives of places (2) by parameters (2), (n, 2, 2) float."""
    n = len(found)
    ahead = [found + d * step for d in ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))]
    there = into(sheet.at(np.concatenate(ahead)))[:, :2].reshape(4, n, 2)
    slope: Floats = np.stack([there[0] - there[1], there[2] - there[3]], axis=2) / (2 * step)
    return slope


def _nearest_parameters(sheet: CurvedFace, frame: Frame, places: Floats, low: float, high: float) -> Floats | None:
    """Return the parameters of the face's net whose points lie nearest to the lines, (n, 2) float."""
    middle, reach = places.mean(axis=0), float(np.ptp(places, axis=0).max()) + (high - low)
    apart = sheet.points - frame.out((*middle, (low + high) / 2))
    near = np.einsum("ij,ij->i", apart, apart) < (reach + sheet.mesh) ** 2
    if not near.any():
        return None
    there = frame.into(sheet.points[near])[:, :2]
    best: Floats = sheet.net[near][np.argmin(np.linalg.norm(places[:, None] - there[None], axis=2), axis=1)]
    return best


def _revolved_points(surface: Any, slope: float, radius: float) -> Callable[[Floats], Floats]:
    """Return the points of a cylinder or cone as a function of its parameters."""
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


def _bezier_points(surface: Any) -> Callable[[Floats], Floats]:
    """Return the points of a spline surface of one piece as a function: a Bézier patch over its parameters."""
    low, width = _parameter_range(surface)
    nu, nv = surface.NbUPoles(), surface.NbVPoles()
    poles = np.empty((nu, nv, 4))
    for i in range(nu):
        for j in range(nv):
            pole, weight = surface.Pole(i + 1, j + 1), surface.Weight(i + 1, j + 1)
            poles[i, j] = (pole.X() * weight, pole.Y() * weight, pole.Z() * weight, weight)

    def at(uv: Floats) -> Floats:
        share = (uv - low) / width
        points = np.einsum("ni,nj,ijk->nk", bernstein(nu - 1, share[:, 0]), bernstein(nv - 1, share[:, 1]), poles)
        ratio: Floats = points[:, :3] / points[:, 3:]
        return ratio

    return at


def _parameter_range(surface: Any) -> tuple[Floats, Floats]:
    """Return the least parameters of a surface, and their range, (2,) float each."""
    first, last, low, high = surface.Bounds()
    return np.array([first, low]), np.array([last - first, high - low])


def bernstein(degree: int, x: Floats) -> Floats:
    """Return values (n, degree + 1) of the Bernstein polynomials at x (n,)."""
    return np.stack([comb(degree, k) * x**k * (1 - x) ** (degree - k) for k in range(degree + 1)], axis=1)
