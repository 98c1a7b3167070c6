"""Assembly fit of pins in holes: the least overlap when the part is moved as well as it can be, for many cases at once.

The least overlap over all rigid motions is a convex problem in three unknowns, as the pins' distances from their holes
are convex in a small motion. It is solved by its dual: weights on the pins, under which the best motion has a closed
form, grow where a pin misses (Lawson's minimax algorithm). Every round gives two certified bounds: a motion that brings
every pin so near, and forces on the pins in equilibrium, so that no motion does better.

Within, a point x, y is the number x + iy: a turn by a small angle a adds a times i times the arm to it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array

ROUNDS = 1000  # at most; one case in some thousands takes more than a hundred
TINY = 1e-9
SLOW = 0.3  # least factor in a round, so that a pin which slides freely for once is not forgotten

Plane = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, eq=False)
class PinHoles:
    """Holes of the part.

    Attributes:
        at: their middles, (n, 2) mm.
        gaps: of a pin in its hole, a side, (n,) mm.
        along: unit vector along each slot, (n, 2); any for a round hole.
        ways: free way along each slot, each side, (n,) mm; 0 for a round hole.
    """

    at: Array
    gaps: Array
    along: Array
    ways: Array


@dataclass(frozen=True, slots=True, eq=False)
class FitBounds:
    """Bounds of the least overlap of each case, mm, and the contact forces where one does not go on.

    Attributes:
        least, most: (m,) mm; a case goes on when `most` is 0 or less, it does not when `least` is more.
        force_shares: (m, n) share of the force on each pin, 0 to 1.
    """

    least: Array
    most: Array
    force_shares: Array


def fit_assembly(holes: PinHoles, errors: Array) -> FitBounds:
    """Return bounds of the least overlap, each case carried on until it is known whether it goes on.

    Args:
        holes: of the part.
        errors: of each pin from its hole's middle, (m, n, 2) mm.
    """
    at, along, off = (_as_complex(one) for one in (holes.at, holes.along, errors))
    least, most, pressing = np.full(len(off), -np.inf), np.full(len(off), np.inf), np.zeros(off.shape)
    room, ways = np.maximum(holes.gaps, TINY), holes.ways if holes.ways.any() else None
    weights, open_ = np.tile(1 / room**2, (len(off), 1)), np.arange(len(off))
    slid = np.zeros(off.shape) if ways is None else _slot_positions(off, along, ways)
    for _ in range(ROUNDS):
        if not len(open_):
            break
        weights = weights / weights.sum(axis=1, keepdims=True)
        left = _residuals(at, off if ways is None else off - slid * along, weights)
        if ways is not None:
            apart = left + slid * along
            slid = _slot_positions(apart, along, ways)
        missed = np.abs(left if ways is None else apart - slid * along)
        forces = weights * left
        size = np.abs(forces)
        most[open_] = np.minimum(most[open_], (missed - holes.gaps).max(axis=1))
        # forces in balance do no work by any motion, so what they do by the errors, less the gaps, is left to miss
        work = (forces.conj() * off).real.sum(axis=1) - (size * holes.gaps).sum(axis=1)
        if ways is not None:
            work = work - (np.abs((forces.conj() * along).real) * ways).sum(axis=1)
        least[open_] = np.maximum(least[open_], work / np.maximum(size.sum(axis=1), 1e-300))
        pressing[open_] = size
        keep = (most[open_] > 0) & (least[open_] <= 0)
        open_, off, slid = open_[keep], off[keep], slid[keep]
        weights = weights[keep] * np.maximum(missed[keep] / room, SLOW)
    return FitBounds(least, most, pressing / np.maximum(pressing.sum(axis=1, keepdims=True), TINY))


def _residuals(at: Plane, off: Plane, weights: Array) -> Plane:
    """Return what is left of errors after the motion of least weighted squares, (m, n)."""
    arms = at - (weights * at).sum(axis=1, keepdims=True)
    held = off - (weights * off).sum(axis=1, keepdims=True)
    turn = -(weights * (arms.conj() * held).imag).sum(axis=1)
    turn = turn / np.maximum((weights * np.abs(arms) ** 2).sum(axis=1), TINY)
    left: Plane = held + (1j * turn)[:, None] * arms
    return left


def _slot_positions(apart: Plane, along: Plane, ways: Array) -> Array:
    """Return the place of each pin along its slot, (m, n) mm from its middle."""
    found: Array = np.clip((apart * along.conj()).real, -ways, ways)
    return found


def _as_complex(points: Array) -> Plane:
    """Return points (…, 2) as complex numbers."""
    found: Plane = points[..., 0] + 1j * points[..., 1]
    return found
