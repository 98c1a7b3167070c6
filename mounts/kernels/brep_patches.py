"""Surfaces between two spans that belong together, exact: plane, cylinder, cone, or the ruled surface itself.

Every patch knows the curves that its four edges draw in its own parameters, so that nothing has to be projected.
The edges run: low along the span, right rail up, high along the span, left rail up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import atan, comb, cos, dist, radians, tan
from typing import Any

import numpy as np

from mounts.geometry.frames import Array, Frame
from mounts.geometry.outline import Arc, Line, Span
from mounts.kernels.brep_curves import SAME, arc_axes, direction, gp, in_space, point
from mounts.kernels.occ import OCP

Geom, Geom2d = OCP.Geom, OCP.Geom2d
DEGREE = 11  # of the polynomial that tells a rational arc's parameter from its angle: to 1e-10 up to 100 degrees
WIDEST = 100.0  # degrees: greatest sweep of one rational patch
Point2 = tuple[float, float]


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
    """Two spans that belong together, in their frames; the second lies further along the body."""

    low: Span
    low_frame: Frame
    high: Span
    high_frame: Frame

    def ends(self, fraction: float) -> tuple[Array, Array]:
        """The points that a rail joins at a fraction of both spans."""
        return in_space(self.low, self.low_frame, fraction), in_space(self.high, self.high_frame, fraction)


def is_coaxial(pair: Pair) -> bool:
    """Whether two arcs turn about one axis, side by side: then they bound a cylinder, a cone or a plane ring."""
    low, high = pair.low, pair.high
    if not (isinstance(low, Arc) and isinstance(high, Arc)):
        return False
    axis = np.asarray(pair.low_frame.z)
    between = pair.high_frame.out((*high.centre, 0.0)) - pair.low_frame.out((*low.centre, 0.0))
    if np.linalg.norm(np.cross(axis, pair.high_frame.z)) > 1e-10 or np.dot(axis, pair.high_frame.z) < 0:
        return False
    if np.linalg.norm(np.cross(axis, between)) > SAME / 10:
        return False
    if low.diameter <= SAME or high.diameter <= SAME:
        return True
    a, b = pair.ends(0.0)
    radial = (a - pair.low_frame.out((*low.centre, 0.0))) / low.diameter
    other = (b - pair.high_frame.out((*high.centre, 0.0))) / high.diameter
    return float(np.linalg.norm(radial - other)) < 1e-10


def is_flat(pair: Pair) -> bool:
    """Whether everything between two spans lies in one plane."""
    if isinstance(pair.low, Line):
        (a, c), (b, d) = pair.ends(0.0), pair.ends(1.0)
        normal = np.cross(d - a, c - b)
        size = float(np.linalg.norm(normal))
        return size < SAME**2 or abs(float(normal @ (b - a))) / size < SAME / 100
    axis = np.asarray(pair.low_frame.z)
    if np.linalg.norm(np.cross(axis, pair.high_frame.z)) > 1e-10:
        return False
    return abs(float(axis @ (pair.ends(0.0)[1] - pair.ends(0.0)[0]))) < SAME / 10


def patch(pair: Pair) -> Patch:
    """The surface of straight lines between equal fractions of two spans."""
    if is_flat(pair):
        return _plane(pair)
    if is_coaxial(pair):
        return _about_axis(pair)
    return _ruled(pair)


def _plane(pair: Pair) -> Patch:
    low, high = pair.ends(0.5)
    span, frame = (pair.low, pair.low_frame) if pair.low.length >= pair.high.length else (pair.high, pair.high_frame)
    tangent = in_space(span, frame, 0.5 + 1e-3) - in_space(span, frame, 0.5 - 1e-3)
    normal = np.cross(tangent, high - low)
    return Patch(Geom.Geom_Plane(point(low), direction(normal)))


def _about_axis(pair: Pair) -> Patch:
    low, high = pair.low, pair.high
    assert isinstance(low, Arc) and isinstance(high, Arc)
    outer, frame = (low, pair.low_frame) if low.diameter >= high.diameter else (high, pair.high_frame)
    centre, axis, towards = arc_axes(outer, frame)
    base = point(pair.low_frame.out((*low.centre, 0.0)))
    axes = gp.gp_Ax3(base, axis, towards)
    up = pair.high_frame.out((*high.centre, 0.0)) - pair.low_frame.out((*low.centre, 0.0))
    rise = float(np.dot(up, (axis.X(), axis.Y(), axis.Z())))
    grow = (high.diameter - low.diameter) / 2
    if abs(grow) < SAME / 10:
        surface, slope = Geom.Geom_CylindricalSurface(axes, low.diameter / 2), 0.0
    else:
        slope = atan(grow / rise)
        surface = Geom.Geom_ConicalSurface(axes, slope, low.diameter / 2)
    sweep, top = radians(abs(low.sweep)), rise / cos(slope)
    traces = _frame_of_traces((0.0, sweep), (0.0, top), sweep, abs(top), abs(top))
    return Patch(surface, traces, inward=rise < 0)


def _ruled(pair: Pair) -> Patch:
    left, right = (dist(*pair.ends(f)) for f in (0.0, 1.0))
    low, high = _poles(pair.low, pair.low_frame), _poles(pair.high, pair.high_frame)
    count = len(low)
    poles = OCP.TColgp.TColgp_Array2OfPnt(1, count, 1, 2)
    for u in range(count):
        poles.SetValue(u + 1, 1, point(low[u]))
        poles.SetValue(u + 1, 2, point(high[u]))
    if not isinstance(pair.low, Arc):
        lengths = [max(pair.low.length, SAME), max(pair.high.length, SAME)]
        bottom, top = (straight((0.0, v), (1.0, v), n) for v, n in zip((0.0, 1.0), lengths, strict=True))
        return Patch(
            Geom.Geom_BezierSurface(poles),
            (bottom, straight((1.0, 0.0), (1.0, 1.0), right), top, straight((0.0, 0.0), (0.0, 1.0), left)),
        )
    sweep = radians(abs(pair.low.sweep))
    weights = OCP.TColStd.TColStd_Array2OfReal(1, 3, 1, 2)
    for u, weight in enumerate((1.0, cos(sweep / 2), 1.0), start=1):
        weights.SetValue(u, 1, weight)
        weights.SetValue(u, 2, weight)
    return Patch(
        Geom.Geom_BezierSurface(poles, weights),
        (
            _by_angle(sweep, 0.0),
            straight((1.0, 0.0), (1.0, 1.0), right),
            _by_angle(sweep, 1.0),
            straight((0.0, 0.0), (0.0, 1.0), left),
        ),
    )


def _poles(span: Span, frame: Frame) -> list[Array]:
    """Control points of a span: the ends, and between an arc's the crossing of its tangents."""
    start, end = in_space(span, frame, 0.0), in_space(span, frame, 1.0)
    if not isinstance(span, Arc):
        return [start, end]
    centre = frame.out((*span.centre, 0.0))
    middle = in_space(span, frame, 0.5)
    return [start, centre + (middle - centre) / cos(radians(span.sweep) / 2), end]


def _frame_of_traces(us: Point2, vs: Point2, across: float, right: float, left: float) -> tuple[Any, ...]:
    (u0, u1), (v0, v1) = us, vs
    return (
        straight((u0, v0), (u1, v0), across),
        straight((u1, v0), (u1, v1), right),
        straight((u0, v1), (u1, v1), across),
        straight((u0, v0), (u0, v1), left),
    )


def straight(start: Point2, end: Point2, last: float) -> Any:
    """Straight trace from `start` at 0 to `end` at `last`."""
    if abs(dist(start, end) - last) < 1e-12:
        along = gp.gp_Dir2d(end[0] - start[0], end[1] - start[1])
        return Geom2d.Geom2d_Line(gp.gp_Pnt2d(*start), along)
    return _spline([start, end], last)


def _by_angle(sweep: float, v: float) -> Any:
    """Trace of an arc on a rational patch: its parameter u as a function of its angle."""
    return _spline([(u, v) for u in _rational_of_angle(sweep)], sweep)


@cache
def _rational_of_angle(sweep: float) -> tuple[float, ...]:
    """Bernstein coefficients of u(angle) over [0, sweep] for a quadratic rational arc.

    There tan((angle − sweep/2) / 2) = (2u − 1)·tan(sweep/4).
    """
    x = (1 - np.cos(np.pi * np.arange(DEGREE + 1) / DEGREE)) / 2
    u = (1 + np.tan((x - 0.5) * sweep / 2) / tan(sweep / 4)) / 2
    basis = np.stack([comb(DEGREE, k) * x**k * (1 - x) ** (DEGREE - k) for k in range(DEGREE + 1)], axis=1)
    found = np.linalg.solve(basis, u)
    found[0], found[-1] = 0.0, 1.0
    return tuple(float(value) for value in found)


def _spline(poles: Sequence[Point2], last: float) -> Any:
    """Polynomial trace over [0, last] with these control points."""
    array = OCP.TColgp.TColgp_Array1OfPnt2d(1, len(poles))
    for k, pole in enumerate(poles, start=1):
        array.SetValue(k, gp.gp_Pnt2d(*pole))
    knots, times = OCP.TColStd.TColStd_Array1OfReal(1, 2), OCP.TColStd.TColStd_Array1OfInteger(1, 2)
    for k, knot in enumerate((0.0, last), start=1):
        knots.SetValue(k, knot)
        times.SetValue(k, len(poles))
    return Geom2d.Geom2d_BSplineCurve(array, knots, times, len(poles) - 1)
