"""Least squares under linear inequalities, for a handful of unknowns.

By Lawson and Hanson, Solving Least Squares Problems (1974), chapter 23: the problem is turned into one of least
distance, and that into one of least squares with nothing negative. Written here because importing scipy's costs a
fifth of what importing the CAD kernel does; the tests hold it against scipy's.
"""

from __future__ import annotations

import numpy as np

from mounts.geometry.frames import Array

SMALL = 1e-10
MOST = 200  # rounds of the inner method


def nonnegative_least_squares(matrix: Array, target: Array) -> Array:
    """x ≥ 0 that makes |matrix · x − target| least (their algorithm NNLS, 23.10).

    Args:
        matrix: (m, n) float.
        target: (m,) float.
    """
    held = np.zeros(matrix.shape[1], dtype=bool)
    found = np.zeros(matrix.shape[1])
    for _ in range(MOST):
        slope = matrix.T @ (target - matrix @ found)
        slope[held] = -np.inf
        if held.all() or slope.max() <= SMALL:
            break
        held[int(slope.argmax())] = True
        while True:
            wanted = np.zeros(len(found))
            wanted[held] = _normal_equations(matrix[:, held], target)
            short = held & (wanted <= SMALL)
            if not short.any():
                break
            share = np.min(found[short] / np.maximum(found[short] - wanted[short], 1e-300))
            found = found + share * (wanted - found)
            held &= found > SMALL
            found[~held] = 0.0
        found = wanted
    return found


def _normal_equations(matrix: Array, target: Array) -> Array:
    """x that makes |matrix · x − target| least, by its normal equations where they are well enough told apart."""
    try:
        found = np.linalg.solve(matrix.T @ matrix, matrix.T @ target)
    except np.linalg.LinAlgError:
        found = np.linalg.lstsq(matrix, target, rcond=None)[0]
    return np.asarray(found, dtype=float)


def inequality_least_squares(matrix: Array, target: Array, rows: Array, bounds: Array) -> Array | None:
    """x that makes |matrix · x − target| least where rows · x ≥ bounds; None where no x keeps them all.

    Args:
        matrix: (m, n) float of rank n.
        target: (m,) float.
        rows: (k, n) float.
        bounds: (k,) float.
    """
    q, r = np.linalg.qr(matrix)
    free = q.T @ target
    inverse = np.linalg.inv(r)
    turned = rows @ inverse
    nearest = _least_distance(turned, bounds - turned @ free)
    return None if nearest is None else inverse @ (nearest + free)


def _least_distance(rows: Array, bounds: Array) -> Array | None:
    """The z of least length with rows · z ≥ bounds (their algorithm LDP, 23.27); None where there is none."""
    if not len(rows) or bounds.max() <= 0:
        return np.zeros(rows.shape[1])
    scale = np.maximum(np.linalg.norm(rows, axis=1), np.abs(bounds)) + 1e-300
    matrix = np.vstack([(rows / scale[:, None]).T, bounds / scale])
    target = np.zeros(len(matrix))
    target[-1] = 1.0
    rest = matrix @ nonnegative_least_squares(matrix, target) - target
    if np.linalg.norm(rest) < 1e-9 or abs(rest[-1]) < 1e-12:
        return None
    nearest: Array = -rest[:-1] / rest[-1]
    return nearest
