"""Conjugate updates of a normal model with unknown variance: linear coefficients, or a variance alone.

Model. y = X β + noise of the variance v; v is inverse-gamma of shape a and scale b; β given v is normal about m with
the covariance v V. The posterior is of the same form: A. Gelman et al., Bayesian Data Analysis, 3rd ed., sections 2.6,
3.3 and 14.8; P. D. Hoff, A First Course in Bayesian Statistical Methods, section 5.3.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt

import numpy as np

from mounts.geometry.frames import Array

LEAST_SCALE = 0.1  # of the prior's: estimates of a variance may be negative one by one, their sum is not let below this


@dataclass(frozen=True, slots=True)
class Variance:
    """A variance, inverse-gamma.

    Attributes:
        shape, scale: of the distribution; the variance's mean is scale / (shape − 1).
    """

    shape: float
    scale: float

    @property
    def sd(self) -> float:
        """Standard deviation of a reading: the root of the variance's mean."""
        return sqrt(self.scale / (self.shape - 1))

    @property
    def sd_error(self) -> float:
        """One standard deviation of that, by the variance's own (which needs a shape above 2)."""
        return self.sd / (2 * sqrt(self.shape - 2))


def prior_variance(sd: float, readings: float) -> Variance:
    """Return the variance that counts like so many readings, more than 2, with this standard deviation as its mean."""
    shape = readings / 2 + 1
    return Variance(shape, sd**2 * (shape - 1))


def update_variance(prior: Variance, squares: Sequence[float], weights: Sequence[float]) -> Variance:
    """Return the variance after estimates of it, each worth so many squared deviations from a known mean.

    Args:
        prior: before them.
        squares: estimates of the variance.
        weights: degrees of freedom of each.
    """
    added = sum(one * weight for one, weight in zip(squares, weights, strict=True))
    scale = max(prior.scale + added / 2, LEAST_SCALE * prior.scale)
    return Variance(prior.shape + sum(weights) / 2, scale)


@dataclass(frozen=True, slots=True, eq=False)
class Linear:
    """Coefficients of a linear model and the variance of its noise.

    Attributes:
        mean: of the coefficients, (k,).
        spread: their covariance over the noise's variance, (k, k).
        noise: the noise's variance.
    """

    mean: Array
    spread: Array
    noise: Variance

    @property
    def sd(self) -> Array:
        """One standard deviation of each coefficient, (k,)."""
        found: Array = self.noise.sd * np.sqrt(np.diag(self.spread))
        return found


def update_linear(prior: Linear, rows: Array, values: Array) -> Linear:
    """Return the model after some values.

    Args:
        prior: before them.
        rows: what each coefficient adds to each value, (n, k).
        values: as read, (n,).
    """
    before = np.linalg.inv(prior.spread)
    spread: Array = np.asarray(np.linalg.inv(before + rows.T @ rows), dtype=np.float64)
    mean: Array = spread @ (before @ prior.mean + rows.T @ values)
    off, moved = values - rows @ mean, mean - prior.mean
    scale = prior.noise.scale + float(off @ off + moved @ before @ moved) / 2
    return Linear(mean, spread, replace(prior.noise, shape=prior.noise.shape + len(values) / 2, scale=scale))
