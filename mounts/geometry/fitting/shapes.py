"""Orthogonal least-squares fits of circle, oblong and rounded rectangle to points.

An algebraic fit is no more than the start: on a short arc it gives too small a circle.

Damped Gauss-Newton on signed distances: the orthogonal fit of any outline that gives the distance of a point.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from mounts.geometry.fitting.values import RimFit, Shape
from mounts.geometry.frames import Array
from mounts.geometry.outline import Outline, circle, oblong, rectangle

Distance = Callable[[Array], tuple[Array, Array]]  # parameters → distances (n,) and their slopes (n, p)
ROUNDS = 100
STILL = 1e-9
LEAST_CORNER = 0.5  # mm, of a rectangle, as everywhere
PARAMETERS = {"circle": 3, "oblong": 5, "rectangle": 6}


def minimize_distances(distance: Distance, start: Array) -> tuple[Array, Array, Array]:
    """Return the parameters with the least sum of squared distances.

    Args:
        distance: signed distances of the points from the outline that parameters make, with their derivatives.
        start: parameters to begin with.

    Returns:
        Parameters (p,), their covariance (p, p) for points of unit variance, and the residuals (n,).
    """
    found, damping = np.array(start, dtype=float), 1e-3
    off, slope = distance(found)
    for _ in range(ROUNDS):
        normal = slope.T @ slope
        step = -np.linalg.solve(normal + damping * np.diag(np.diag(normal)) + 1e-12 * np.eye(len(found)), slope.T @ off)
        tried, tried_slope = distance(found + step)
        if tried @ tried <= off @ off:
            found, off, slope, damping = found + step, tried, tried_slope, damping / 10
        else:
            damping *= 10
        if np.abs(step).max() < STILL or damping > 1e12:
            break
    spread: Array = np.asarray(np.linalg.pinv(slope.T @ slope), dtype=float)
    return found, spread, off


def with_difference_slopes(distance: Callable[[Array], Array], step: float = 1e-5) -> Distance:
    """Return a distance function that gives its derivatives too, by central differences of `step`.

    >>> with_difference_slopes(lambda p: 2.0 * p)(np.array([3.0]))[1].round(6)
    array([[2.]])
    """

    def with_slopes(parameters: Array) -> tuple[Array, Array]:
        ways = np.eye(len(parameters)) * step
        slopes = [(distance(parameters + way) - distance(parameters - way)) / (2 * step) for way in ways]
        return distance(parameters), np.stack(slopes, axis=1)

    return with_slopes


def fit_circle(points: Array) -> RimFit:
    """Return the circle with the least sum of squared distances to points (n, 2), n ≥ 3.

    Source: W. Gander, G. Golub, R. Strebel, BIT 34 (1994) 558, the geometric fit.

    >>> fit_circle(np.array([[5.0, 0.0], [0.0, 5.0], [-5.0, 0.0]])).sizes
    (10.0,)
    """
    middle = points.mean(axis=0)
    away = points - middle
    # Kåsa's algebraic circle to start from: linear in centre and in radius² less centre²
    parameters = np.linalg.lstsq(np.column_stack([2 * away, np.ones(len(away))]), (away**2).sum(axis=1), rcond=None)[0]
    radius = float(np.sqrt(max(parameters[2] + parameters[0] ** 2 + parameters[1] ** 2, 1e-6)))

    def distance(parameters: Array) -> tuple[Array, Array]:
        off = away - parameters[:2]
        far = np.maximum(np.hypot(*off.T), 1e-12)
        return far - parameters[2], np.column_stack([-off / far[:, None], -np.ones(len(off))])

    found, spread, left = minimize_distances(distance, np.array([parameters[0], parameters[1], radius]))
    diameter = 2 * abs(float(found[2]))
    size_sd = 2 * float(spread[2, 2]) ** 0.5
    return _rim_fit(
        "circle",
        found[:2] + middle,
        sizes=(diameter,),
        turn=0.0,
        outline=circle(diameter),
        spread=spread,
        size_sd=size_sd,
        left=left,
    )


def fit_oblong(points: Array) -> RimFit:
    """Return the slot with round ends that fits points (n, 2) best, at any angle."""
    middle, turn, half = _principal_box(points)

    def distance(parameters: Array) -> Array:
        x, y = _to_shape(points, parameters).T
        far: Array = np.hypot(np.maximum(np.abs(x) - abs(parameters[3]), 0.0), y) - parameters[4]
        return far

    ends = min(half)
    start = np.array([*middle, turn, max(max(half) - ends, 0.1), ends])
    found, spread, left = minimize_distances(with_difference_slopes(distance), start)
    width = 2 * abs(float(found[4]))
    sizes, turn = (2 * abs(float(found[3])) + width, width), _wrap_angle(float(np.degrees(found[2])), 180.0)
    change = np.array([[0, 0, 0, 2, 2], [0, 0, 0, 0, 2]])
    size_sd = float(np.diag(change @ spread @ change.T).max()) ** 0.5
    outline = oblong(*sizes).turned(turn)
    return _rim_fit(
        "oblong", found[:2], sizes=sizes, turn=turn, outline=outline, spread=spread, size_sd=size_sd, left=left
    )


def fit_rectangle(points: Array) -> RimFit:
    """Return the rectangle with round corners that fits points (n, 2) best, at any angle."""
    middle, turn, half = _principal_box(points)

    def distance(parameters: Array) -> Array:
        corner = np.clip(parameters[5], LEAST_CORNER, min(parameters[3], parameters[4]))
        beyond = np.abs(_to_shape(points, parameters)) - (parameters[3:5] - corner)
        far: Array = np.hypot(*np.maximum(beyond, 0.0).T) + np.minimum(beyond.max(axis=1), 0.0) - corner
        return far

    tries = [
        minimize_distances(with_difference_slopes(distance), np.array([*middle, angle, *sides, min(half) * share]))
        for angle, sides in ((turn, half), (0.0, tuple(np.ptp(points, axis=0) / 2)))
        for share in (0.15, 0.5)
    ]
    found, spread, left = min(tries, key=lambda one: float(one[2] @ one[2]))
    width, height = 2 * float(found[3]), 2 * float(found[4])
    corner = float(np.clip(found[5], LEAST_CORNER, min(width, height) / 2))
    turn, quarter = _wrap_quarter(float(np.degrees(found[2])))
    width, height = (height, width) if quarter else (width, height)
    size_sd = 2 * float(max(spread[3, 3], spread[4, 4])) ** 0.5
    outline = rectangle(width, height, corner).turned(turn)
    sizes = (width, height, corner)
    return _rim_fit(
        "rectangle", found[:2], sizes=sizes, turn=turn, outline=outline, spread=spread, size_sd=size_sd, left=left
    )


def _rim_fit(
    shape: Shape,
    centre: Array,
    *,
    sizes: tuple[float, ...],
    turn: float,
    outline: Outline,
    spread: Array,
    size_sd: float,
    left: Array,
) -> RimFit:
    """Return a shape as a `RimFit` with the statistics of its residuals."""
    spare = len(left) - PARAMETERS[shape]
    worst = int(np.argmax(np.abs(left)))
    return RimFit(
        shape=shape,
        centre=(float(centre[0]), float(centre[1])),
        sizes=sizes,
        turn=turn,
        outline=outline,
        spread=(float(spread[0, 0]), float(spread[0, 1]), float(spread[1, 1])),
        size_sd=size_sd,
        rms=float(np.sqrt(left @ left / spare)) if spare > 0 else 0.0,
        worst=float(abs(left[worst])),
        worst_at=worst,
    )


def _to_shape(points: Array, parameters: Array) -> Array:
    """Return points in the frame of a shape at parameters[:2], turned by parameters[2] radians."""
    c, s = np.cos(parameters[2]), np.sin(parameters[2])
    found: Array = (points - parameters[:2]) @ np.array([[c, -s], [s, c]])
    return found


def _principal_box(points: Array) -> tuple[Array, float, tuple[float, float]]:
    """Return middle, angle in radians and half sides of the box along the points' principal axes, longer side first."""
    centre = points.mean(axis=0)
    ways = np.linalg.svd(points - centre, full_matrices=False)[2]
    own = (points - centre) @ ways.T
    low, high = own.min(axis=0), own.max(axis=0)
    half = (high - low) / 2
    return centre + (low + high) / 2 @ ways, float(np.arctan2(ways[0, 1], ways[0, 0])), (float(half[0]), float(half[1]))


def _wrap_angle(turn: float, whole: float) -> float:
    """Return an angle that repeats every `whole` degrees, between minus half of that and half."""
    return (turn + whole / 2) % whole - whole / 2


def _wrap_quarter(turn: float) -> tuple[float, bool]:
    """Return a rectangle's angle between −45 and 45 degrees, and whether its sides change places for it."""
    least = _wrap_angle(turn, 90.0)
    return least, round((turn - least) / 90.0) % 2 == 1
