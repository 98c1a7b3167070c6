"""Least squares under inequalities, against scipy's own solvers."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize, nnls

from mounts.geometry.quadratic import inequality_least_squares, nonnegative_least_squares


@pytest.mark.parametrize("seed", range(20))
def test_nonnegative_least_squares_are_scipys(seed: int) -> None:
    random = np.random.default_rng(seed)
    matrix, target = random.normal(size=(7, 30)), random.normal(size=7)
    assert nonnegative_least_squares(matrix, target) == pytest.approx(nnls(matrix, target)[0], abs=1e-8)


@pytest.mark.parametrize("seed", range(20))
def test_least_squares_within_limits_are_scipys(seed: int) -> None:
    random = np.random.default_rng(seed)
    matrix, target = random.normal(size=(8, 5)), random.normal(size=8)
    rows = random.normal(size=(20, 5))
    bounds = rows @ random.normal(size=5) - random.uniform(0.0, 1.0, 20)  # some x keeps them all
    found = inequality_least_squares(matrix, target, rows, bounds)
    assert found is not None
    assert (rows @ found - bounds).min() > -1e-7

    def cost(x: np.ndarray) -> float:
        return float(((matrix @ x - target) ** 2).sum())

    limits = {"type": "ineq", "fun": lambda x: rows @ x - bounds, "jac": lambda x: rows}
    theirs = minimize(cost, found + 0.3, method="SLSQP", constraints=[limits], options={"maxiter": 500, "ftol": 1e-12})
    assert cost(found) <= theirs.fun + 1e-6


def test_limits_that_contradict_each_other_have_no_answer() -> None:
    rows, bounds = np.array([[1.0, 0.0], [-1.0, 0.0]]), np.array([1.0, 1.0])
    assert inequality_least_squares(np.eye(2), np.zeros(2), rows, bounds) is None


def test_a_limit_that_binds_nothing_changes_nothing() -> None:
    found = inequality_least_squares(np.eye(2), np.array([3.0, 4.0]), np.array([[1.0, 1.0]]), np.array([-5.0]))
    assert found == pytest.approx([3.0, 4.0])
