"""Outlier tests: each reading against its prediction from the others alone (leave-one-out residuals)."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from mounts.geometry.frames import Array
from mounts.geometry.survey.levenberg import fit_states
from mounts.geometry.survey.model import SurveyModel
from mounts.geometry.survey.readings import Readings
from mounts.geometry.survey.starts import starting_patterns
from mounts.geometry.survey.survey import Disagreement, ReadingCheck, outlier_limit

ALONE = 1e-6  # a figure whose own weight in its value is nearer than this to 1 is checked by no other
LOOK = 2.0  # standard deviations from which the others' value is found by leaving the reading out indeed
ENOUGH = 9.0  # of chi squared for each reading to spare: more is left by more than one wrong reading
HALF = 0.5  # of a size
ALIKE = 4.0  # of chi squared: readings that explain a disagreement this nearly as well as the best are suspects too


def check_readings(readings: Readings, model: SurveyModel, state: Array, weight: Array) -> tuple[ReadingCheck, ...]:
    """Return the check of every figure that was read against all the others, in the order of `readings.values`.

    Args:
        readings: what was read.
        model: of these readings.
        state: the best fit, (u,).
        weight: one over the standard deviation of each figure, (m,).
    """
    slopes = model.jacobian(state[None])[0] * weight[:, None]
    own = np.einsum("mu,uv,mv->m", slopes, np.linalg.inv(slopes.T @ slopes), slopes)
    free = np.maximum(1.0 - own, 0.0)
    read, miss = readings.values + readings.bases, model.residuals(state[None], readings.values)[0]
    tested = free > ALONE
    off = np.where(tested, miss / np.where(tested, free, 1.0), 0.0)
    sd = 1.0 / (weight * np.sqrt(np.where(tested, free, 1.0)))
    if float(np.abs(off / sd).max()) > LOOK:
        off = _leave_one_out(readings, model, state, weight, tested)
    return tuple(
        ReadingCheck(
            label, where, float(read[k]), float(miss[k]), float(read[k] - off[k]) if tested[k] else None, float(sd[k])
        )
        for k, (label, where) in enumerate(zip(readings.labels, readings.paths, strict=True))
    )


def _leave_one_out(readings: Readings, model: SurveyModel, state: Array, weight: Array, tested: Array) -> Array:
    """Return by how much each figure differs from what a fit without it gives, (m,)."""
    count = model.count
    without = np.tile(weight, (count, 1))
    without[np.arange(count), np.arange(count)] = np.where(tested, 0.0, weight)
    found, _ = fit_states(model, np.tile(state, (count, 1)), readings.values, without)
    missed: Array = np.where(tested, np.diagonal(model.residuals(found, readings.values)), 0.0)
    return missed


def find_disagreement(checks: tuple[ReadingCheck, ...]) -> Disagreement | None:
    """Return the readings that cannot all be right; None when the worst residual is within its limit."""
    tested = [check for check in checks if check.expected is not None]
    if not tested:
        return None
    worst = max(check.sds for check in tested)
    if worst <= outlier_limit(len(tested)):
        return None
    suspects = [check for check in tested if check.sds**2 > worst**2 - ALIKE]
    sound = [check for check in suspects if _is_plausible(check)]
    return Disagreement(tuple(sorted(sound or suspects, key=lambda check: -check.sds)))


def find_outliers(readings: Readings, model: SurveyModel, weight: Array, cost: float) -> Disagreement:
    """Return the readings that contradict all the others, where these contradict each other outright.

    A gross error bends the whole pattern, so each reading is left out from the start on, and the pattern solved again.

    Args:
        readings: what was read.
        model: of these readings.
        weight: one over the standard deviation of each figure, (m,).
        cost: sum of squares of the best fit to all readings.
    """
    found: list[tuple[float, ReadingCheck]] = []
    for k, (label, where) in enumerate(zip(readings.labels, readings.paths, strict=True)):
        if model.is_level[k]:
            continue
        reduced, without = _without_reading(readings, k), weight.copy()
        without[k] = 0.0
        states, costs = fit_states(model, model.state(starting_patterns(reduced), readings), readings.values, without)
        best = int(np.argmin(costs))
        miss = float(model.residuals(states[best : best + 1], readings.values)[0, k])
        read, sds = float(readings.values[k] + readings.bases[k]), float(max(cost - costs[best], 1e-12)) ** 0.5
        found.append((float(costs[best]), ReadingCheck(label, where, read, miss, read - miss, abs(miss) / sds)))
    least = min(rest for rest, _ in found)
    suspects = [check for rest, check in found if rest <= least + ALIKE]
    ordered = tuple(sorted(suspects, key=lambda check: -check.sds))
    return Disagreement(ordered, others_agree=least < ENOUGH * (model.count - model.unknowns + 1))


def _without_reading(readings: Readings, k: int) -> Readings:
    """Return the readings without the k-th distance between holes or to the opening; a size stays."""
    count = len(readings.between)
    return replace(
        readings,
        between=tuple(b for i, b in enumerate(readings.between) if i != k),
        to_opening=tuple(t for i, t in enumerate(readings.to_opening, count) if i != k),
    )


def _is_plausible(check: ReadingCheck) -> bool:
    """Return whether a reading can be as wrong as the others make it: nobody misreads a hole's size by half."""
    size = check.where in (("hole",), ("distances", "to_opening"))
    return not size or abs(check.read - (check.expected or 0.0)) < HALF * max(abs(check.read), 4.0)
