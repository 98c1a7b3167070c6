"""By how much pins miss their holes when the part is shifted and turned as well as it can be, for many cases at once.

The least excess over all rigid motions is a convex problem in three unknowns, as the pins' distances from their holes
are convex in a small shift and turn. It is solved by its dual: weights on the pins, under which the best motion has a
closed form, grow where a pin misses (Lawson's way to a minimax). Every round gives two bounds that prove themselves: a
motion that brings every pin so near, and forces on the pins that are in balance, so that no motion does better.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mounts.geometry.frames import Array

ROUNDS = 1000  # at most; one case in some thousands takes more than a hundred
TINY = 1e-9
SLOW = 0.3  # least factor in a round, so that a pin which slides freely for once is not forgotten


@dataclass(frozen=True, slots=True, eq=False)
class Holes:
    """The part's holes.

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
class Excess:
    """Bounds of the least excess of each case, mm, and how the pins press where one does not go on.

    Attributes:
        least, most: (m,) mm; a case goes on when `most` is 0 or less, it does not when `least` is more.
        pressing: (m, n) share of the force on each pin, 0 to 1.
    """

    least: Array
    most: Array
    pressing: Array


def excess(holes: Holes, errors: Array) -> Excess:
    """Bounds on the least excess, each case carried on until it is known whether it goes on.

    Args:
        holes: of the part.
        errors: of each pin from its hole's middle, (m, n, 2) mm.
    """
    cases, count = errors.shape[:2]
    least, most, pressing = np.full(cases, -np.inf), np.full(cases, np.inf), np.zeros((cases, count))
    room = np.maximum(holes.gaps, TINY)
    weights = np.tile(1 / room**2, (cases, 1))
    slid = np.clip((errors * holes.along).sum(axis=2), -holes.ways, holes.ways)
    open_ = np.arange(cases)
    for _ in range(ROUNDS):
        weights = weights / weights.sum(axis=1, keepdims=True)
        left, missed, slid = _moved(holes, errors, weights, slid)
        forces = weights[:, :, None] * left
        most[open_] = np.minimum(most[open_], (missed - holes.gaps).max(axis=1))
        least[open_] = np.maximum(least[open_], _proven(holes, errors, forces))
        pressing[open_] = np.hypot(forces[:, :, 0], forces[:, :, 1])
        keep = (most[open_] > 0) & (least[open_] <= 0)
        if not keep.any():
            break
        open_, errors, slid = open_[keep], errors[keep], slid[keep]
        weights = weights[keep] * np.maximum(missed[keep] / room, SLOW)
    return Excess(least, most, pressing / np.maximum(pressing.sum(axis=1, keepdims=True), TINY))


def _moved(holes: Holes, errors: Array, weights: Array, slid: Array) -> tuple[Array, Array, Array]:
    """The motion of least weighted squares, every slot's pin held where it slid to.

    Returns:
        What is left of each error, (m, n, 2); how far each pin then lies from its hole, (m, n); where it slides to.
    """
    held = errors - slid[:, :, None] * holes.along
    arms = holes.at[None] - (weights @ holes.at)[:, None]
    held = held - (weights[:, None] @ held)
    across = np.stack([-arms[:, :, 1], arms[:, :, 0]], axis=2)
    moment = (weights * (across * held).sum(axis=2)).sum(axis=1)
    turn = -moment / np.maximum((weights * (arms**2).sum(axis=2)).sum(axis=1), TINY)
    left = held + turn[:, None, None] * across
    apart = left + slid[:, :, None] * holes.along
    slides = np.clip((apart * holes.along).sum(axis=2), -holes.ways, holes.ways)
    off = apart - slides[:, :, None] * holes.along
    return left, np.hypot(off[:, :, 0], off[:, :, 1]), slides


def _proven(holes: Holes, errors: Array, forces: Array) -> Array:
    """What forces in balance prove: no motion does work against them, so some pin misses by so much at least, (m,)."""
    size = np.hypot(forces[:, :, 0], forces[:, :, 1])
    work = (forces * errors).sum(axis=(1, 2)) - (size * holes.gaps).sum(axis=1)
    work = work - (np.abs((forces * holes.along).sum(axis=2)) * holes.ways).sum(axis=1)
    found: Array = work / np.maximum(size.sum(axis=1), 1e-300)
    return found
