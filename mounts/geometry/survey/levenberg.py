"""Damped least squares (Levenberg, Marquardt) of a survey, from many starts or for many sets of readings at once."""

from __future__ import annotations

import numpy as np

from mounts.geometry.frames import Array
from mounts.geometry.survey.model import SurveyModel

ROUNDS = 60
STILL = 1e-7  # mm: a step that changes nothing
FIRST, LEAST, MOST = 1e-3, 1e-12, 1e8  # damping, as a share of the normal matrix's diagonal


def fit_states(model: SurveyModel, start: Array, read: Array, weight: Array) -> tuple[Array, Array]:
    """Return the states that fit best, each from its own start.

    Args:
        model: predicts the figures of a state.
        start: (k, u) states.
        read: (m,) or (k, m), what was read.
        weight: (m,) or (k, m), one over the standard deviation of each; 0 leaves a reading out.

    Returns:
        States (k, u), and the sum of squared weighted residuals of each, (k,).
    """
    state, damping = start.copy(), np.full(len(start), FIRST)
    reads, weights = (np.broadcast_to(a, (len(start), model.count)) for a in (read, weight))
    cost = _sum_of_squares(model, state, reads, weights)
    at_work = np.arange(len(start))
    for _ in range(ROUNDS):
        here, w, y = state[at_work], weights[at_work], reads[at_work]
        step = _step(model, here, y, w, damping[at_work])
        tried = here + step
        new = _sum_of_squares(model, tried, y, w)
        better = new <= cost[at_work]
        state[at_work[better]], cost[at_work[better]] = tried[better], new[better]
        factor = np.where(better, 0.1, 10.0)
        damping[at_work] = np.clip(damping[at_work] * factor, LEAST, MOST)
        at_work = at_work[~(np.abs(step).max(axis=1) < STILL)]
        if not len(at_work):
            break
    return state, cost


def _sum_of_squares(model: SurveyModel, state: Array, read: Array, weight: Array) -> Array:
    """Return the sum of squared weighted residuals of each state, (k,)."""
    total: Array = ((model.residuals(state, read) * weight) ** 2).sum(axis=1)
    return total


def _step(model: SurveyModel, state: Array, read: Array, weight: Array, damping: Array) -> Array:
    """Return the damped Gauss-Newton step of each state, (k, u)."""
    slopes = model.jacobian(state) * weight[:, :, None]
    turned = slopes.transpose(0, 2, 1)
    normal = np.asarray(turned @ slopes, dtype=float)
    here = np.arange(model.unknowns)
    normal[:, here, here] += damping[:, None] * normal[:, here, here] + 1e-9
    right = turned @ (model.residuals(state, read) * weight)[:, :, None]
    found: Array = np.linalg.solve(normal, right)[:, :, 0]
    return found
