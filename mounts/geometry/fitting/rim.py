"""Fit of the simplest outline that points along a rim allow.

Fit of a general convex outline through points along it.

Its unknowns are those of its support function h(θ), the reach in direction θ, as a short Fourier series. The signed
distance of a point p is max over θ of p·u(θ) − h(θ), outside as well as inside, so the fit is orthogonal.
"""

from __future__ import annotations

import numpy as np

from mounts.geometry.fitting.shapes import PARAMETERS, fit_circle, fit_oblong, fit_rectangle, minimize_distances
from mounts.geometry.fitting.values import RimFit, Shape
from mounts.geometry.frames import Array
from mounts.geometry.outline import polygon

FEWEST = 9  # points
SPENT = 0.6  # of the points, at most, may be spent on coefficients; the rest judge the fit
HARMONICS = 10
GRID = 1440  # directions that are looked at first
SHARPEST = 0.5  # mm: least radius of curvature, as of every corner
DRAWN = 360  # points of the outline that is handed on
PASSES = 2.0  # standard deviations of a point: a shape whose rms is larger is not the rim's
REFUSED = 4.0  # standard deviations that a single point may lie off
TO_SPARE = 3  # points beyond what a shape takes, before it is thought of unasked
FINEST = 0.05  # mm: no rim is a better circle, slot or curve than this
SHAPES = {"circle": fit_circle, "oblong": fit_oblong, "rectangle": fit_rectangle}


def fit_curve(points: Array, sd: float) -> RimFit | None:
    """Return the smooth convex outline with the fewest harmonics whose residuals are no larger than the points' error.

    Args:
        points: (n, 2) float, mm, n ≥ 9, in any order.
        sd: one standard deviation of a point, mm.

    Returns:
        The fit; None if no convex outline follows the points.
    """
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    best: tuple[float, int, Array, Array, Array] | None = None
    parameters = np.array([np.hypot(*(points - middle).T).mean(), 0.0, 0.0])
    for harmonics in range(2, min(HARMONICS, int((SPENT * len(points) - 1) / 2)) + 1):
        parameters, spread, left = minimize_distances(
            lambda t: _signed_distances(points - middle, t), np.concatenate([parameters, [0.0, 0.0]])
        )
        rms = float(np.sqrt(left @ left / (len(left) - len(parameters))))
        if _least_radius(parameters) >= SHARPEST and (best is None or rms < best[0]):
            best = (rms, harmonics, parameters, spread, left)
        if best and best[0] <= sd:
            break
    return None if best is None else _rim_fit(best, middle)


def _rim_fit(best: tuple[float, int, Array, Array, Array], middle: Array) -> RimFit:
    """Return a fit in the point's own coordinates as a `RimFit`, its centre the middle of its box."""
    rms, _, parameters, spread, left = best
    at = _contour_points(parameters, np.linspace(0.0, 2 * np.pi, DRAWN, endpoint=False))
    low, high = at.min(axis=0), at.max(axis=0)
    centre, worst = (low + high) / 2, int(np.argmax(np.abs(left)))
    ends = _fourier_columns(np.arctan2([0.0, 1.0, 0.0, -1.0], [1.0, 0.0, -1.0, 0.0]), len(parameters) // 2)
    x, y = (ends[0] - ends[2]) / 2, (ends[1] - ends[3]) / 2
    wide = max(float(v @ spread @ v) for v in (ends[0] + ends[2], ends[1] + ends[3]))
    return RimFit(
        shape="outline",
        centre=(float(middle[0] + centre[0]), float(middle[1] + centre[1])),
        sizes=(float(high[0] - low[0]), float(high[1] - low[1])),
        turn=0.0,
        outline=polygon([(float(px), float(py)) for px, py in at - centre]),
        spread=(float(x @ spread @ x), float(x @ spread @ y), float(y @ spread @ y)),
        size_sd=wide**0.5,
        rms=rms,
        worst=float(abs(left[worst])),
        worst_at=worst,
    )


def _fourier_columns(turns: Array, harmonics: int) -> Array:
    """Return columns 1, cos θ, sin θ, cos 2θ … at angles (n,), (n, 1 + 2·harmonics)."""
    many = np.arange(1, harmonics + 1) * np.asarray(turns)[..., None]
    both = np.stack([np.cos(many), np.sin(many)], axis=-1).reshape(*many.shape[:-1], -1)
    return np.concatenate([np.ones((*both.shape[:-1], 1)), both], axis=-1)


def _signed_distances(points: Array, parameters: Array) -> tuple[Array, Array]:
    """Return signed distances (n,) from the outline, positive outside, and their derivatives."""
    harmonics = len(parameters) // 2
    turns = np.linspace(0.0, 2 * np.pi, GRID, endpoint=False)
    reach = points @ np.stack([np.cos(turns), np.sin(turns)]) - _fourier_columns(turns, harmonics) @ parameters
    best = turns[np.argmax(reach, axis=1)]
    step = 2 * np.pi / GRID
    for _ in range(3):  # the top of the parabola through three directions
        three = best + step * np.array([[-1.0], [0.0], [1.0]])
        low, mid, high = (_distances_along(points, parameters, one) for one in three)
        bend = low - 2 * mid + high
        best = best + np.where(
            bend < -1e-15, step * (low - high) / (2 * np.where(bend < -1e-15, bend, -1.0)), 0.0
        ).clip(-step, step)
        step /= 4
    return _distances_along(points, parameters, best), -_fourier_columns(best, harmonics)


def _distances_along(points: Array, parameters: Array, turns: Array) -> Array:
    """Return p·u(θ) − h(θ) of each point in its own direction, (n,)."""
    found: Array = (
        points[:, 0] * np.cos(turns)
        + points[:, 1] * np.sin(turns)
        - _fourier_columns(turns, len(parameters) // 2) @ parameters
    )
    return found


def _harmonic_orders(parameters: Array) -> Array:
    """Return the order of the harmonic that each coefficient belongs to."""
    return np.floor((np.arange(len(parameters)) + 1.0) / 2)


def _least_radius(parameters: Array) -> float:
    """Return the least radius of curvature, h + h″, mm; negative where the outline bends inward."""
    turns = np.linspace(0.0, 2 * np.pi, GRID, endpoint=False)
    return float(
        (_fourier_columns(turns, len(parameters) // 2) @ (parameters * (1 - _harmonic_orders(parameters) ** 2))).min()
    )


def _contour_points(parameters: Array, turns: Array) -> Array:
    """Return points (n, 2) of the outline whose outward normals point to given angles."""
    harmonics = len(parameters) // 2
    reach = _fourier_columns(turns, harmonics) @ parameters
    orders = np.arange(1, harmonics + 1)
    slope = np.zeros_like(parameters)
    slope[1::2], slope[2::2] = parameters[2::2] * orders, -parameters[1::2] * orders  # d/dθ of the series
    along = _fourier_columns(turns, harmonics) @ slope
    c, s = np.cos(turns), np.sin(turns)
    return np.column_stack([reach * c - along * s, reach * s + along * c])


def fit_rim(points: Array, sd: float, shape: Shape | None = None) -> RimFit:
    """Return the fit of one shape, or the simplest that fits: circle, oblong, rectangle, any smooth convex outline.

    Args:
        points: (n, 2) float, mm.
        sd: one standard deviation of a point, mm.
        shape: what the rim is known to be.

    Raises:
        ValueError: if the points are too few for the shape, lie on no such outline, or all in one line.
    """
    sd = max(sd, FINEST)
    across = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)[-1]
    if across < 2 * sd:
        raise ValueError("the points lie in one line; spread them all round the rim")
    found: list[RimFit] = []
    for word in [shape] if shape else [*SHAPES, "outline"]:
        fit = _fit_shape(points, sd, word, asked=shape is not None)
        if fit is not None and fit.rms <= PASSES * sd and fit.worst <= REFUSED * sd:
            return fit
        found += [fit] if fit is not None else []
    if not found:
        what = f"{len(points)} points follow no outline that bulges outward everywhere"
        raise ValueError(f"{what}; read more of them, all round the rim")
    best = min(found, key=lambda fit: fit.rms)
    what = f"point {best.worst_at + 1} lies {best.worst:.1f} off the {best.shape} that fits best"
    raise ValueError(f"{what}; read it again, read more points, or say what shape the rim has")


def _fit_shape(points: Array, sd: float, shape: Shape | str, *, asked: bool) -> RimFit | None:
    """Return one shape's fit; None where there are too few points to try a shape that was not asked for."""
    needed = PARAMETERS.get(shape, FEWEST) + (0 if asked or shape in ("circle", "outline") else TO_SPARE)
    if len(points) < needed:
        if asked:
            raise ValueError(f"{len(points)} points given; a rim of shape {shape} needs at least {needed}")
        return None
    return SHAPES[shape](points) if shape in SHAPES else fit_curve(points, sd)
