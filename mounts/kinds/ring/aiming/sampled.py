"""Places all over what is free, for a search that ended where no ring can be drawn."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from mounts.geometry.frames import Array
from mounts.kinds.ring.aiming.drawn import Draw, Solved, is_drawable
from mounts.kinds.ring.aiming.freedom import Poses
from mounts.kinds.ring.aiming.search import DEAR
from mounts.kinds.ring.job import RingJob

SAMPLES = 2000
MEASURED = 300  # of those that stand high enough, whose clearances are measured
TRIED = 12  # rings that are drawn
APART, WIDENED = 2.0, 1.4  # degrees and mm from places where none can be drawn to the next, and its growth
HALVED = 4  # times that the way back to where the search ended is halved
STEEPEST, OVER = 40.0, 40.0  # degrees, and mm over the least height, up to which is looked


def sampled_pose(job: RingJob, found: Solved, draw: Draw) -> Solved:
    """Return the place that misses least among those sampled at which a ring can be drawn.

    It is moved towards where the search ended as far as a ring can still be drawn. Where none is found, it is where the
    search ended: the plan then says what cannot be drawn there.
    """
    limits = replace(found.problem.limits, cuts=(), bare=(), bed=())
    problem = replace(found.problem, limits=limits)
    found = replace(found, problem=problem)
    numbers = _samples(found)
    held = problem.limits.hard(problem.freedom.poses(numbers)).min(axis=1, initial=np.inf) >= 0
    numbers = numbers[held][:MEASURED]
    if not len(numbers):
        return found
    poses = problem.freedom.poses(numbers)
    missed = np.maximum(0.0, -problem.limits.soft(poses)[0].min(axis=1, initial=np.inf))
    merit = DEAR * missed + (problem.wanted(poses) ** 2).sum(axis=1)
    failed: list[Array] = [found.numbers]
    for k in np.argsort(merit, kind="stable"):
        if len(failed) > TRIED:
            break
        apart = APART * WIDENED ** (len(failed) - 1)
        if min(np.abs(numbers[k] - other).max(initial=0.0) for other in failed) < apart:
            continue
        there = replace(found, numbers=numbers[k], miss=float(missed[k]))
        if is_drawable(job, there, draw):
            return _towards(job, there, found, draw)
        failed.append(numbers[k])
    return found


def _towards(job: RingJob, good: Solved, found: Solved, draw: Draw) -> Solved:
    """Return the place nearest to where the search ended, on the line there from one that can be drawn."""
    problem, bad = found.problem, found.numbers
    for _ in range(HALVED):
        middle = (good.numbers + bad) / 2
        soft = problem.limits.soft(problem.freedom.poses(middle[None]))[0]
        there = replace(good, numbers=middle, miss=float(np.maximum(0.0, -soft.min(initial=np.inf))))
        if is_drawable(job, there, draw):
            good = there
        else:
            bad = middle
    return good


def _samples(found: Solved) -> Array:
    """Return numbers of places all over what is free, (SAMPLES, count), the same each time."""
    problem, freedom = found.problem, found.problem.freedom
    random = np.random.default_rng(0).random((SAMPLES, 5))
    steepest = min((most for most, _ in problem.limits.most), default=STEEPEST)
    tilts = np.full(SAMPLES, freedom.tilt) if freedom.tilt is not None else steepest * random[:, 0] ** 0.5
    towards = np.full(SAMPLES, freedom.toward) if freedom.toward is not None else 360 * random[:, 1]
    turns, away = 2 * np.pi * random[:, 3], problem.limits.aside * random[:, 4] ** 0.5
    offsets = np.tile(freedom.offset, (SAMPLES, 1))
    if freedom.aside:
        offsets = (away * np.array([np.cos(turns), np.sin(turns)])).T
    flat = Poses(tilts, towards, np.zeros(SAMPLES), offsets)
    least = problem.limits.bounds.least(flat.frames).max(axis=1)
    return freedom.numbers(replace(flat, heights=least + 0.1 + OVER * random[:, 2] ** 2))
