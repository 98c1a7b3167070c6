"""Least squares under linear inequality constraints, for a handful of unknowns.

Source: Lawson and Hanson, Solving Least Squares Problems (1974), chapter 23: the problem (LSI) is turned into one of
least distance (LDP), and that into nonnegative least squares (NNLS). Written here because importing scipy's costs a
fifth of what importing the CAD kernel does; the tests compare it with scipy's.
"""

from __future__ import annotations

import numpy as np

from mounts.geometry.frames import Array

SMALL = 1e-10
INNER_ROUNDS = 200  # rounds of the inner method


def nonnegative_least_squares(matrix: Array, target: Array) -> Array:
    """Return the x ≥ 0 that minimises |matrix · x − target| (algorithm NNLS, 23.10).

    Args:
        matrix: (m, n) float.
        target: (m,) float.

    >>> nonnegative_least_squares(np.eye(2), np.array([3.0, -1.0]))
    array([3., 0.])
    """
    held = np.zeros(matrix.shape[1], dtype=bool)
    found = np.zeros(matrix.shape[1])
    for _ in range(INNER_ROUNDS):
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
    """Return the x that minimises |matrix · x − target|, by normal equations unless they are singular."""
    try:
        found = np.linalg.solve(matrix.T @ matrix, matrix.T @ target)
    except np.linalg.LinAlgError:
        found = np.linalg.lstsq(matrix, target, rcond=None)[0]
    return np.asarray(found, dtype=float)


def inequality_least_squares(matrix: Array, target: Array, rows: Array, bounds: Array) -> Array | None:
    """Return the x that minimises |matrix · x − target| subject to rows · x ≥ bounds; None where there is none.

    Args:
        matrix: (m, n) float of rank n.
        target: (m,) float.
        rows: (k, n) float.
        bounds: (k,) float.

    >>> inequality_least_squares(np.eye(2), np.zeros(2), np.array([[1.0, 0.0]]), np.array([2.0]))
    array([2., 0.])
    """
    q, r = np.linalg.qr(matrix)
    free = q.T @ target
    inverse = np.linalg.inv(r)
    turned = rows @ inverse
    nearest = _least_distance(turned, bounds - turned @ free)
    return None if nearest is None else inverse @ (nearest + free)


def _least_distance(rows: Array, bounds: Array) -> Array | None:
    """Return the shortest z with rows · z ≥ bounds (algorithm LDP, 23.27); None where there is none."""
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
