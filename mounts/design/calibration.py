"""Calibration of a printer from readings of a coupon: weighted least squares with the covariance of the result.

Model. A bar drawn L long at the angle a from x, printed with the shrinks sx and sy along the axes, the shear g (rad,
positive where the angle between +x and +y has closed) and an outside that spreads by e, reads

    L (1 − sx cos²a − sy sin²a + g sin a cos a) + e.

Ribs and pegs read the same with their own size for L, and so part e from the shrink. A hole drawn d reads
d (1 − s) − (a + b/d): holes print small, small ones more so. The shapes of e and of a + b/d are common practice, no
source; the method is ordinary linear least squares.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import degrees, hypot, sqrt

import numpy as np

from mounts.geometry.frames import Array

USUAL_SPREAD = 0.1  # mm, one standard deviation of an outside's spread where neither rib nor peg was read
GAUGE = 120.0  # mm over which scale and squareness are given in mm


@dataclass(frozen=True, slots=True)
class Estimated:
    """A value with its standard deviation."""

    value: float
    sd: float


@dataclass(frozen=True, slots=True)
class Length:
    """One outside length: its size as drawn, its angle from x in degrees (None: all ways alike), the reading."""

    size: float
    angle: float | None
    reading: float


@dataclass(frozen=True, slots=True)
class Scale:
    """Scale of printed lengths.

    Attributes:
        x, y, shrink: linear shrink along the axes and in the mean, per cent.
        skew: by how much the angle between +x and +y is less than 90, degrees; None where no diagonal was read.
        outside: spread of an outside, mm.
        residual: root mean square of what the model leaves, mm; None where nothing is left over to tell it.
    """

    x: Estimated
    y: Estimated
    shrink: Estimated
    skew: Estimated | None
    outside: Estimated
    residual: float | None


@dataclass(frozen=True, slots=True)
class Growth:
    """Growth of holes, the mm by which they print small: a + b / diameter.

    Attributes:
        a, b: coefficients of the curve; b is 0 where fewer than three sizes were read.
        covariance: ((a, a), (a, b)), ((b, a), (b, b)), mm² and so on.
        sizes: least and greatest diameter that were read.
        residual: root mean square of what the curve leaves, mm; None where nothing is left over.
    """

    a: float
    b: float
    covariance: tuple[tuple[float, float], tuple[float, float]]
    sizes: tuple[float, float]
    residual: float | None

    def at(self, diameter: float) -> Estimated:
        """Return the growth of a hole of a diameter."""
        row = np.array([1.0, 1.0 / diameter])
        return Estimated(self.a + self.b / diameter, sqrt(float(row @ np.array(self.covariance) @ row)))


def fit_scale(lengths: Sequence[Length], sd: float) -> Scale | None:
    """Return the shrink, squareness and spread from outside lengths; None where x or y is unknown.

    Args:
        lengths: bars, ribs and pegs.
        sd: one standard deviation of a reading, mm; what the readings scatter more than that counts instead.
    """
    rows = np.array([_row(one) for one in lengths]).reshape(-1, 4)
    skewed = bool(np.any(np.abs(rows[:, 2]) > GAUGE / 4))
    left = np.array([one.reading - one.size for one in lengths])
    kept = [0, 1, 2, 3] if skewed else [0, 1, 3]
    prior = np.zeros(4)
    prior[3] = sd / USUAL_SPREAD
    system = np.vstack([rows, prior])[:, kept]
    if len(lengths) < 2 or np.linalg.matrix_rank(system) < len(kept):
        return None
    found, covariance, residual = _least_squares(system, np.append(left, 0.0), sd, len(lengths))
    value = {
        k: Estimated(float(v), sqrt(float(covariance[i, i]))) for i, (k, v) in enumerate(zip(kept, found, strict=True))
    }
    mean = sqrt(float(covariance[:2, :2].sum())) / 2
    return Scale(
        x=_times(value[0], 100.0),
        y=_times(value[1], 100.0),
        shrink=Estimated(50.0 * (value[0].value + value[1].value), 100.0 * mean),
        skew=_times(value[2], degrees(1.0)) if skewed else None,
        outside=value[3],
        residual=residual,
    )


def fit_growth(holes: Sequence[tuple[float, float]], shrink: Estimated, sd: float) -> Growth | None:
    """Return the hole growth from (drawn, read) diameters; None where none was read.

    Args:
        holes: diameters, mm.
        shrink: shrinkage of the material, per cent, which the growth leaves out.
        sd: one standard deviation of a reading, mm.
    """
    if not holes:
        return None
    drawn, read = np.array(holes).T
    small = drawn * (1 - shrink.value / 100) - read
    curved = len(set(drawn)) >= 3
    system = np.column_stack([np.ones(len(drawn)), 1 / drawn])[:, : 1 + curved]
    found, covariance, residual = _least_squares(system, small, sd, len(holes))
    along = np.linalg.lstsq(system, drawn * shrink.sd / 100, rcond=None)[0]  # what an error of the shrink shifts
    whole = np.zeros((2, 2))
    whole[: 1 + curved, : 1 + curved] = covariance + np.outer(along, along)
    a, b = (*map(float, found), 0.0)[:2]
    (aa, ab), (ba, bb) = whole.tolist()
    return Growth(a, b, ((aa, ab), (ba, bb)), (float(drawn.min()), float(drawn.max())), residual)


def middle_step(steps: Sequence[float], apart: float, others: float = 0.0) -> Estimated:
    """Return a size known by the steps that did: their middle, uncertain as anything between two steps is, uniformly.

    Args:
        steps: sizes that did.
        apart: distance from one step to the next.
        others: standard deviation of what it is counted from.
    """
    return Estimated(float(np.mean(steps)), hypot(apart / sqrt(12.0), others))


def _row(one: Length) -> list[float]:
    """Return what a unit of sx, sy, g and e adds to a reading."""
    if one.angle is None:
        return [-one.size / 2, -one.size / 2, 0.0, 1.0]
    c, s = np.cos(np.radians(one.angle)), np.sin(np.radians(one.angle))
    return [-one.size * c * c, -one.size * s * s, one.size * s * c, 1.0]


def _least_squares(system: Array, left: Array, sd: float, readings: int) -> tuple[Array, Array, float | None]:
    """Return the solution, its covariance, and the root mean square of the readings' residuals."""
    found, *_ = np.linalg.lstsq(system, left, rcond=None)
    over = readings - system.shape[1]
    off = (left - system @ found)[:readings]
    scatter = sqrt(float(off @ off) / over) if over > 0 else None
    covariance = max(sd, scatter or 0.0) ** 2 * np.linalg.inv(system.T @ system)
    rms = None if scatter is None else sqrt(float(off @ off) / readings)
    return np.asarray(found, dtype=np.float64), np.asarray(covariance, dtype=np.float64), rms


def _times(known: Estimated, by: float) -> Estimated:
    return Estimated(known.value * by, known.sd * by)
