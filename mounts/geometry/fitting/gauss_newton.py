"""Damped Gauss-Newton on signed distances: the orthogonal fit of any outline that gives the distance of a point."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from mounts.geometry.frames import Array

Distance = Callable[[Array], tuple[Array, Array]]  # parameters → distances (n,) and their slopes (n, p)
ROUNDS = 100
STILL = 1e-9


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
