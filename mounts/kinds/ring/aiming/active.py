"""Active constraints of a chosen pose, and what each costs: found by searching again with it relaxed by one step."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from mounts.design.choice import Active
from mounts.geometry.frames import Array
from mounts.geometry.ties import least_of
from mounts.kinds.ring.aiming.limits import ROUNDED, Limit
from mounts.kinds.ring.aiming.problem import TOUCHED, PoseProblem
from mounts.kinds.ring.aiming.search import search

NEAR = 0.1  # mm or degrees: a limit that is kept by no more than this holds the place
REACH = 8.0  # mm: clearances that are kept by more than this do not come into play when another gives way
ROUNDS = 12  # of each search: the rough one, and the one that goes on until it gains no more than SLIGHT
SLIGHT = 1e-4  # squared degrees
MUCH = 1.0  # mm or degrees that a limit gives way by


def active_limits(problem: PoseProblem, numbers: Array, miss: float) -> tuple[Active, ...]:
    """Return the limits that hold a place, the one that would bring most first.

    Args:
        problem: what was asked.
        numbers: of its best place.
        miss: by how much the worst clearance is missed, mm.
    """
    few = problem.near(numbers, REACH)
    margins, limits = few.margins(numbers)
    clearances = np.arange(len(limits)) < len(limits) - len(few.limits.hard_rows())
    touched = margins < np.where(clearances, NEAR - miss, NEAR)  # what must hold holds where clearances are missed
    causes = list(dict.fromkeys(limit.cause for limit, held in zip(limits, touched, strict=True) if held))
    if not causes:
        return ()
    gives = MUCH * np.array([[limit.cause == cause for limit in limits] for cause in causes])
    tell = few.teller(gives)
    found = search(np.tile(numbers, (len(causes), 1)), tell, MUCH, rounds=ROUNDS, alone=False)
    found = search(found.numbers, tell, MUCH / 2, SLIGHT, rounds=ROUNDS, alone=False)
    gained = _gains(few, numbers, found.numbers, found.miss, miss)
    told = [_active(cause, gain, margins, limits, touched) for cause, gain in zip(causes, gained, strict=True)]
    return tuple(sorted(told, key=lambda one: -one.gives))


def _gains(problem: PoseProblem, numbers: Array, wider: Array, missed: Array, miss: float) -> list[float]:
    """Return what relaxing each limit brings, per mm or degree."""
    before, after = (problem.freedom.poses(one) for one in (numbers[None], wider))
    if miss > TOUCHED:
        gained = miss - missed
    elif problem.targets:
        gained = problem.angle(before) - problem.angle(after)
    else:
        gained = after.heights - before.heights
    return [max(0.0, float(gain)) / MUCH for gain in gained]


def _active(cause: str, gain: float, margins: Array, limits: tuple[Limit, ...], touched: NDArray[np.bool_]) -> Active:
    """Return one cause with the tightest of the limits that rest on it."""
    rows = [k for k, limit in enumerate(limits) if limit.cause == cause and touched[k]]
    row = least_of(rows, key=lambda k: float(margins[k]))
    limit = limits[row]
    gap = float(margins[row]) + limit.wanted + limit.spare + ROUNDED
    return Active(limit.code, limit.between, gap, limit.wanted, limit.spare, limit.reading, limit.unit, gain)
