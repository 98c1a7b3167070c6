"""Places all over what is free, for a search that ended where no ring can be drawn, and near one that misses limits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from mounts.geometry.frames import Array
from mounts.kinds.ring.aiming.drawn import Draw, Solved, is_drawable
from mounts.kinds.ring.aiming.freedom import Poses
from mounts.kinds.ring.aiming.problem import NEARBY, PoseProblem
from mounts.kinds.ring.aiming.search import DEAR
from mounts.kinds.ring.job import RingJob

SAMPLES = 2000
MEASURED = 300  # of those that stand high enough, whose clearances are measured
TRIED = 12  # rings that are drawn
APART, WIDENED = 2.0, 1.4  # degrees and mm from places where none can be drawn to the next, and its growth
HALVED = 4  # times that the way back to where the search ended is halved
WIDTHS = (0.1, 0.5, 2.0, 6.0)  # degrees and mm, standard deviations of places round one where limits are missed
AROUND = 100  # of each
WORTH = 1.0  # squared degrees that one of them must gain
AGAIN = 4  # times that the search goes on from the best of them
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
    missed, merit = _missed(problem, numbers), _merit(problem, numbers)
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


def settled_pose(found: Solved) -> Solved:
    """Return a place that misses limits, or a better one: where several are missed alike, slopes do not lead on."""
    problem, count = found.problem, len(found.numbers)
    steps = np.repeat(WIDTHS, AROUND)[:, None] * np.random.default_rng(0).normal(size=(AROUND * len(WIDTHS), count))
    for _ in range(AGAIN):
        numbers = np.concatenate([found.numbers[None], found.numbers + steps])
        held = problem.limits.hard(problem.freedom.poses(numbers)).min(axis=1, initial=np.inf) >= 0
        held[0] = True
        merit = _merit(problem, numbers[held])
        best = numbers[held][int(np.argmin(merit))]
        if merit[0] - merit.min() < WORTH:
            break
        there = replace(found, numbers=best, miss=float(_missed(problem, best[None])[0]))
        on = replace(found, numbers=(ended := problem.solved(best[None], NEARBY))[0], miss=ended[1])
        found = on if _merit(problem, on.numbers[None])[0] < merit.min() else there
    return found


def _missed(problem: PoseProblem, numbers: Array) -> Array:
    """Return by how much the worst clearance is missed at places (n, count), (n,) mm."""
    found: Array = np.maximum(0.0, -problem.limits.soft(problem.freedom.poses(numbers))[0].min(axis=1, initial=np.inf))
    return found


def _merit(problem: PoseProblem, numbers: Array) -> Array:
    """Return what the search makes least at places (n, count), (n,) squared degrees."""
    wanted: Array = (problem.wanted(problem.freedom.poses(numbers)) ** 2).sum(axis=1)
    return DEAR * _missed(problem, numbers) + wanted


def _towards(job: RingJob, good: Solved, found: Solved, draw: Draw) -> Solved:
    """Return the place nearest to where the search ended, on the line there from one that can be drawn."""
    problem, bad = found.problem, found.numbers
    for _ in range(HALVED):
        middle = (good.numbers + bad) / 2
        there = replace(good, numbers=middle, miss=float(_missed(problem, middle[None])[0]))
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
