"""Surfaces between two spans that belong together, exact: plane, cylinder, cone, or the ruled surface itself.

Every patch knows the curves that its four edges draw in its own parameters, so that nothing has to be projected. Its
edges: low along the span, right rail up, high along the span, left rail up. Arcs of equal sweep have equal weights as
rational curves, so a patch ruled between their control points joins points at equal angles by straight lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from math import atan, comb, cos, dist, radians, tan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Vector
from mounts.geometry.outline import Arc, Line, Point, Span
from mounts.kernels.brep_curves import SAME, Plane, arc_axes, cross, dot, gp, minus, size
from mounts.kernels.occ import OCP

Geom, Geom2d = OCP.Geom, OCP.Geom2d
DEGREE = 11  # of the polynomial that tells a rational arc's parameter from its angle: to 1e-10 up to WIDEST
WIDEST = 100.0  # degrees: greatest sweep of one rational patch
PARALLEL = 1e-10


@dataclass(frozen=True, slots=True)
class Patch:
    """A surface between two spans.

    Attributes:
        surface: the kernel's surface.
        traces: curves of the low, right, high and left edges in its parameters; none for a plane.
        inward: whether its own normal points into the body.
    """

    surface: Any
    traces: tuple[Any, ...] = ()
    inward: bool = False


@dataclass(frozen=True, slots=True)
class Pair:
    """Two spans that belong together, each in its plane; the second lies further along the body."""

    low: Span
    low_on: Plane
    high: Span
    high_on: Plane

    def ends(self, fraction: float) -> tuple[Vector, Vector]:
        """The points that a rail joins at a fraction of both spans."""
        return self.low_on.at(self.low.at(fraction)), self.high_on.at(self.high.at(fraction))


def is_coaxial(pair: Pair) -> bool:
    """Whether two arcs turn about one axis, start by start: then they bound a cylinder, a cone or a plane ring."""
    low, high, axis = pair.low, pair.high, pair.low_on.z
    if not (isinstance(low, Arc) and isinstance(high, Arc)):
        return False
    if size(cross(axis, pair.high_on.z)) > PARALLEL or dot(axis, pair.high_on.z) < 0:
        return False
    between = minus(pair.high_on.at(high.centre), pair.low_on.at(low.centre))
    if size(cross(axis, between)) > SAME / 10:
        return False
    if low.diameter <= SAME or high.diameter <= SAME:
        return True
    return dist(pair.low_on.heading(low.begin), pair.high_on.heading(high.begin)) < PARALLEL


def is_flat(pair: Pair) -> bool:
    """Whether everything between two spans lies in one plane."""
    if isinstance(pair.low, Line):
        (a, c), (b, d) = pair.ends(0.0), pair.ends(1.0)
        normal = cross(minus(d, a), minus(c, b))
        return size(normal) < SAME**2 or abs(dot(normal, minus(b, a))) / size(normal) < SAME / 100
    if size(cross(pair.low_on.z, pair.high_on.z)) > PARALLEL:
        return False
    return abs(dot(pair.low_on.z, minus(pair.high_on.origin, pair.low_on.origin))) < SAME / 10


def patch(pair: Pair) -> Patch:
    """The surface of straight lines between equal fractions of two spans."""
    if is_flat(pair):
        return _flat(pair)
    if is_coaxial(pair):
        return _about_axis(pair)
    return _ruled(pair)


def _flat(pair: Pair) -> Patch:
    low, high = pair.ends(0.5)
    span, on = (pair.low, pair.low_on) if pair.low.length >= pair.high.length else (pair.high, pair.high_on)
    along = minus(on.at(span.at(0.501)), on.at(span.at(0.499)))
    return Patch(Geom.Geom_Plane(gp.gp_Pnt(*low), gp.gp_Dir(*cross(along, minus(high, low)))))


def _about_axis(pair: Pair) -> Patch:
    low, high = pair.low, pair.high
    assert isinstance(low, Arc) and isinstance(high, Arc)
    base = pair.low_on.at(low.centre)
    _, axis, towards = arc_axes(*((low, pair.low_on) if low.diameter >= high.diameter else (high, pair.high_on)))
    axes = gp.gp_Ax3(gp.gp_Pnt(*base), axis, towards)
    rise = dot(minus(pair.high_on.at(high.centre), base), (axis.X(), axis.Y(), axis.Z()))
    grow = (high.diameter - low.diameter) / 2
    slope = atan(grow / rise) if abs(grow) > SAME / 10 else 0.0
    sweep, top = radians(abs(low.sweep)), rise / cos(slope)
    surface = (
        Geom.Geom_ConicalSurface(axes, slope, low.diameter / 2)
        if slope
        else Geom.Geom_CylindricalSurface(axes, low.diameter / 2)
    )
    traces = (
        straight((0.0, 0.0), (sweep, 0.0), sweep),
        straight((sweep, 0.0), (sweep, top), abs(top)),
        straight((0.0, top), (sweep, top), sweep),
        straight((0.0, 0.0), (0.0, top), abs(top)),
    )
    return Patch(surface, traces, inward=rise < 0)


def _ruled(pair: Pair) -> Patch:
    low, high = _poles(pair.low, pair.low_on), _poles(pair.high, pair.high_on)
    poles = OCP.TColgp.TColgp_Array2OfPnt(1, len(low), 1, 2)
    for u, ends in enumerate(zip(low, high, strict=True), start=1):
        for v, at in enumerate(ends, start=1):
            poles.SetValue(u, v, gp.gp_Pnt(*at))
    left, right = (straight((u, 0.0), (u, 1.0), dist(*pair.ends(u))) for u in (0.0, 1.0))
    if not isinstance(pair.low, Arc):
        bottom = straight((0.0, 0.0), (1.0, 0.0), max(pair.low.length, SAME))
        top = straight((0.0, 1.0), (1.0, 1.0), max(pair.high.length, SAME))
        return Patch(Geom.Geom_BezierSurface(poles), (bottom, right, top, left))
    sweep = radians(abs(pair.low.sweep))
    weights = OCP.TColStd.TColStd_Array2OfReal(1, 3, 1, 2)
    for u, weight in enumerate((1.0, cos(sweep / 2), 1.0), start=1):
        weights.SetValue(u, 1, weight)
        weights.SetValue(u, 2, weight)
    bottom, top = ([(u, v) for u in _rational_of_angle(sweep)] for v in (0.0, 1.0))
    return Patch(
        Geom.Geom_BezierSurface(poles, weights), (polynomial(bottom, sweep), right, polynomial(top, sweep), left)
    )


def _poles(span: Span, on: Plane) -> list[Vector]:
    """Control points of a span: its ends, and between an arc's the crossing of its tangents."""
    if not isinstance(span, Arc):
        return [on.at(span.start), on.at(span.end)]
    (cx, cy), (mx, my), stretch = span.centre, span.at(0.5), cos(radians(span.sweep) / 2)
    return [on.at(span.start), on.at((cx + (mx - cx) / stretch, cy + (my - cy) / stretch)), on.at(span.end)]


def straight(start: Point, end: Point, last: float) -> Any:
    """Straight trace from `start` at 0 to `end` at `last`."""
    if abs(dist(start, end) - last) < 1e-12:
        return Geom2d.Geom2d_Line(gp.gp_Pnt2d(*start), gp.gp_Dir2d(end[0] - start[0], end[1] - start[1]))
    return polynomial([start, end], last)


def polynomial(poles: Sequence[Point], last: float) -> Any:
    """Polynomial trace over [0, last] with these control points."""
    array = OCP.TColgp.TColgp_Array1OfPnt2d(1, len(poles))
    for k, pole in enumerate(poles, start=1):
        array.SetValue(k, gp.gp_Pnt2d(*pole))
    knots, times = OCP.TColStd.TColStd_Array1OfReal(1, 2), OCP.TColStd.TColStd_Array1OfInteger(1, 2)
    for k, knot in enumerate((0.0, last), start=1):
        knots.SetValue(k, knot)
        times.SetValue(k, len(poles))
    return Geom2d.Geom2d_BSplineCurve(array, knots, times, len(poles) - 1)


@lru_cache(maxsize=1024)
def _rational_of_angle(sweep: float) -> tuple[float, ...]:
    """Control values of u(angle) over [0, sweep], in rad, of an arc as a rational curve of degree two.

    There tan((angle − sweep/2) / 2) = (2u − 1)·tan(sweep/4).
    """
    x = lobatto(DEGREE)
    found = interpolating((1 + np.tan((x - 0.5) * sweep / 2) / tan(sweep / 4)) / 2)
    return (0.0, *(float(value) for value in found[1:-1]), 1.0)


def lobatto(degree: int) -> NDArray[np.float64]:
    """The places in [0, 1], ends included, at which a polynomial of a degree is best pinned down."""
    places: NDArray[np.float64] = (1 - np.cos(np.pi * np.arange(degree + 1) / degree)) / 2
    return places


def interpolating(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Control values, (n, …), of the polynomial that takes `values`, (n, …), at the places of `lobatto`."""
    degree = len(values) - 1
    found: NDArray[np.float64] = _inverse_basis(degree) @ values
    return found


@cache
def _inverse_basis(degree: int) -> NDArray[np.float64]:
    x = lobatto(degree)
    basis = np.stack([comb(degree, k) * x**k * (1 - x) ** (degree - k) for k in range(degree + 1)], axis=1)
    return np.asarray(np.linalg.inv(basis), dtype=np.float64)
