"""The speaker about its own axis: turned until its screws keep furthest from the tool paths of the panel's fixings.

Fixings and speaker screws often lie on nearly the same circle; which turn is best is a matter of a degree.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from mounts.geometry.frames import Array, Frame

STEP = 0.5  # degrees: finer than anyone can set a speaker by eye
EQUAL = 1e-3  # mm: scores closer than this are equal


def all_turns() -> Array:
    """Return every turn above −180 up to 180 in steps of half a degree, (720,) float."""
    return np.arange(-180 + STEP, 180 + STEP / 2, STEP)


def best_turn(turns: Array, scores: Array, first: int) -> float:
    """Return turn with the greatest score; of equal ones the smallest, of two opposite ones that of sign `first`."""
    best = turns[scores >= scores.max() - EQUAL]
    return float(min(best, key=lambda turn: (abs(turn), -first * turn)))


def turn_points(points: ArrayLike, turns: ArrayLike) -> Array:
    """Return the points (n, 2) turned clockwise by each of `turns` (t,) in degrees: (t, n, 2) float."""
    angle = -np.radians(np.asarray(turns, dtype=float))
    spin = np.stack([np.cos(angle), np.sin(angle), -np.sin(angle), np.cos(angle)], axis=-1).reshape(-1, 2, 2)
    placed: Array = np.einsum("nk,tkj->tnj", np.asarray(points, dtype=float), spin)
    return placed


def pockets_to_axes(seat: Frame, pockets: Array, hole: float, depth: float, axes: ArrayLike) -> Array:
    """Return the least distances from the surfaces of pockets to axes that run along the panel's z, mm.

    An axis passes the whole pocket, so the distance is the horizontal one to what the pocket covers seen along z: the
    ellipse of its mouth swept to that of its bottom. That is convex, so the distance is the greatest by which the axis
    lies beyond its reach in any direction. Every degree and square to the straight sides tell it to 1e-4 of distance
    and diameter, never too large.

    Args:
        seat: frame whose z is the pockets' axis; they go down from its plane.
        pockets: centres on the seat, (..., 2) float.
        hole, depth: of every pocket.
        axes: places on the face, (m, 2) float.

    Returns:
        (..., m) float, negative where an axis runs through a pocket.
    """
    basis = seat.axes[:2]  # rows: panel x and y of the seat's u, v, w
    square = np.arctan2(basis[1, 2], basis[0, 2]) + np.pi / 2
    around = np.append(np.radians(np.arange(360)), [square, square + np.pi])
    ways = np.stack([np.cos(around), np.sin(around)], axis=-1)
    flat = pockets @ basis[:, :2].T + np.asarray(seat.origin[:2])
    reach = hole / 2 * np.linalg.norm(ways @ basis[:, :2], axis=1) + np.maximum(ways @ (-depth * basis[:, 2]), 0)
    away = np.asarray(axes, dtype=float) - flat[..., None, :]
    beyond: Array = (away @ ways.T - reach).max(axis=-1)
    return beyond
