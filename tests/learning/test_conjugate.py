"""Conjugate updates against a textbook's example and against closed forms."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest

from mounts.learning.conjugate import Linear, Variance, prior_variance, update_linear, update_variance

# P. D. Hoff, A First Course in Bayesian Statistical Methods (2009), section 5.3: wing lengths of nine midges, mm.
# Data and prior mean checked against rstudio-pubs 1408938 (STA 145); posterior figures from memory of the book.
MIDGES = (1.64, 1.70, 1.72, 1.74, 1.82, 1.82, 1.82, 1.90, 2.08)


def test_midges_of_hoff():
    prior = Linear(np.array([1.9]), np.eye(1), Variance(0.5, 0.005))  # κ0 = 1, ν0 = 1, σ0² = 0.01
    found = update_linear(prior, np.ones((9, 1)), np.array(MIDGES))
    assert found.mean[0] == pytest.approx(1.814, abs=5e-4)
    assert 1 / found.spread[0, 0] == pytest.approx(10)  # κn
    assert 2 * found.noise.shape == pytest.approx(10)  # νn
    assert found.noise.scale / found.noise.shape == pytest.approx(0.015, abs=5e-4)  # σn²


def test_readings_at_once_and_one_by_one_give_the_same():
    rng = np.random.default_rng(1)
    rows, values = rng.normal(size=(12, 3)), rng.normal(size=12)
    prior = Linear(np.zeros(3), np.diag((1.0, 2.0, 3.0)), Variance(3.0, 1.0))
    whole, one = update_linear(prior, rows, values), prior
    for row, value in zip(rows, values, strict=True):
        one = update_linear(one, row[None], np.array([value]))
    assert one.mean == pytest.approx(whole.mean)
    assert one.spread == pytest.approx(whole.spread)
    assert (one.noise.shape, one.noise.scale) == pytest.approx((whole.noise.shape, whole.noise.scale))


def test_a_wide_prior_gives_least_squares():
    rng = np.random.default_rng(2)
    rows, values = rng.normal(size=(20, 2)), rng.normal(size=20)
    found = update_linear(Linear(np.zeros(2), np.eye(2) * 1e12, Variance(1.0, 1e-9)), rows, values)
    assert found.mean == pytest.approx(np.linalg.lstsq(rows, values, rcond=None)[0])


def test_a_variance_has_the_mean_of_prior_and_readings():
    prior = prior_variance(0.25, 4.0)
    assert prior.sd == pytest.approx(0.25)
    found = update_variance(prior, [0.16] * 96, [1.0] * 96)
    assert found.sd**2 == pytest.approx((4 * 0.0625 + 96 * 0.16) / 100)
    assert found.sd_error == pytest.approx(found.sd / sqrt(2 * 98), rel=1e-6)  # a shape of 51
    assert update_variance(prior, [-1.0], [4.0]).scale == pytest.approx(0.1 * prior.scale)
