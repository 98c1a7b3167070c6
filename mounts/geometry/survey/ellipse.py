"""Error ellipses: how well the place of one point is known."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees, hypot, log

ONE = 0.3934693402873666  # 1 − exp(−1/2): share of cases inside the 1-σ ellipse


@dataclass(frozen=True, slots=True)
class Ellipse:
    """The 1-σ ellipse of a point: half its axes are standard deviations along and across `turn`.

    Attributes:
        long, short: whole axes, mm.
        turn: of the long axis, degrees counter-clockwise from +x, from −90 up to 90.
    """

    long: float
    short: float
    turn: float

    @property
    def sd(self) -> float:
        """The greatest standard deviation in any direction, mm."""
        return self.long / 2


def error_ellipse(xx: float, xy: float, yy: float) -> Ellipse:
    """The 1-σ ellipse of a point from its variances and covariance in mm² (Mohr's circle)."""
    middle, off = (xx + yy) / 2, hypot((xx - yy) / 2, xy)
    long, short = (2 * max(value, 0.0) ** 0.5 for value in (middle + off, middle - off))
    turn = degrees(atan2(2 * xy, xx - yy)) / 2
    return Ellipse(long, short, (turn + 90.0) % 180.0 - 90.0)


def confidence_scale(share: float) -> float:
    """How many times the 1-σ ellipse holds a point with a probability: Rayleigh's law, 2.45 for 0.95, 1 for 39 %."""
    return float((-2.0 * log(1.0 - share)) ** 0.5)
