"""A general closed outline that bulges outward everywhere, through points along it.

It is told by its support function h(θ), the reach in direction θ, as a short Fourier series. A point p lies at the
distance max over θ of p·u(θ) − h(θ) from such an outline, outside as well as inside, so the fit is orthogonal.
"""

from __future__ import annotations

import numpy as np

from mounts.geometry.fitting.gauss_newton import minimize_distances
from mounts.geometry.fitting.values import RimFit
from mounts.geometry.frames import Array
from mounts.geometry.outline import polygon

FEWEST = 9  # points
SPENT = 0.6  # of the points, at most, may be spent on coefficients; the rest judge the fit
HARMONICS = 10
GRID = 1440  # directions that are looked at first
SHARPEST = 0.5  # mm: least radius of curvature, as of every corner
DRAWN = 360  # points of the outline that is handed on


def fit_curve(points: Array, sd: float) -> RimFit | None:
    """The plainest smooth convex outline through points (n, 2) that leaves no more than their error; None if none.

    Args:
        points: n ≥ 9, in any order.
        sd: one standard deviation of a point, mm.
    """
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    best: tuple[float, int, Array, Array, Array] | None = None
    told = np.array([np.hypot(*(points - middle).T).mean(), 0.0, 0.0])
    for harmonics in range(2, min(HARMONICS, int((SPENT * len(points) - 1) / 2)) + 1):
        told, spread, left = minimize_distances(
            lambda t: _signed_distances(points - middle, t), np.concatenate([told, [0.0, 0.0]])
        )
        rms = float(np.sqrt(left @ left / (len(left) - len(told))))
        if _least_radius(told) >= SHARPEST and (best is None or rms < best[0]):
            best = (rms, harmonics, told, spread, left)
        if best and best[0] <= sd:
            break
    return None if best is None else _rim_fit(best, middle)


def _rim_fit(best: tuple[float, int, Array, Array, Array], middle: Array) -> RimFit:
    rms, _, told, spread, left = best
    at = _contour_points(told, np.linspace(0.0, 2 * np.pi, DRAWN, endpoint=False))
    low, high = at.min(axis=0), at.max(axis=0)
    centre, worst = (low + high) / 2, int(np.argmax(np.abs(left)))
    ends = _fourier_columns(np.arctan2([0.0, 1.0, 0.0, -1.0], [1.0, 0.0, -1.0, 0.0]), len(told) // 2)
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
    """Columns 1, cos θ, sin θ, cos 2θ … at angles (n,), (n, 1 + 2·harmonics)."""
    many = np.arange(1, harmonics + 1) * np.asarray(turns)[..., None]
    both = np.stack([np.cos(many), np.sin(many)], axis=-1).reshape(*many.shape[:-1], -1)
    return np.concatenate([np.ones((*both.shape[:-1], 1)), both], axis=-1)


def _signed_distances(points: Array, told: Array) -> tuple[Array, Array]:
    """Signed distances (n,) from the outline, positive outside, and their slopes."""
    harmonics = len(told) // 2
    turns = np.linspace(0.0, 2 * np.pi, GRID, endpoint=False)
    reach = points @ np.stack([np.cos(turns), np.sin(turns)]) - _fourier_columns(turns, harmonics) @ told
    best = turns[np.argmax(reach, axis=1)]
    step = 2 * np.pi / GRID
    for _ in range(3):  # the top of the parabola through three directions
        three = best + step * np.array([[-1.0], [0.0], [1.0]])
        low, mid, high = (_distances_along(points, told, one) for one in three)
        bend = low - 2 * mid + high
        best = best + np.where(
            bend < -1e-15, step * (low - high) / (2 * np.where(bend < -1e-15, bend, -1.0)), 0.0
        ).clip(-step, step)
        step /= 4
    return _distances_along(points, told, best), -_fourier_columns(best, harmonics)


def _distances_along(points: Array, told: Array, turns: Array) -> Array:
    """p·u(θ) − h(θ) of each point in its own direction."""
    found: Array = (
        points[:, 0] * np.cos(turns) + points[:, 1] * np.sin(turns) - _fourier_columns(turns, len(told) // 2) @ told
    )
    return found


def _harmonic_orders(told: Array) -> Array:
    """Order of the harmonic that each coefficient belongs to."""
    return np.floor((np.arange(len(told)) + 1.0) / 2)


def _least_radius(told: Array) -> float:
    """Least radius of curvature, h + h″, mm; negative where the outline bends inward."""
    turns = np.linspace(0.0, 2 * np.pi, GRID, endpoint=False)
    return float((_fourier_columns(turns, len(told) // 2) @ (told * (1 - _harmonic_orders(told) ** 2))).min())


def _contour_points(told: Array, turns: Array) -> Array:
    """Points (n, 2) of the outline whose outward normals point to given angles."""
    harmonics = len(told) // 2
    reach = _fourier_columns(turns, harmonics) @ told
    orders = np.arange(1, harmonics + 1)
    slope = np.zeros_like(told)
    slope[1::2], slope[2::2] = told[2::2] * orders, -told[1::2] * orders  # d/dθ of the series
    along = _fourier_columns(turns, harmonics) @ slope
    c, s = np.cos(turns), np.sin(turns)
    return np.column_stack([reach * c - along * s, reach * s + along * c])
