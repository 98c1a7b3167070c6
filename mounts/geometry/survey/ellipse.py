"""Error ellipses: the uncertainty of one point's position."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees, hypot, log

ONE = 0.3934693402873666  # 1 − exp(−1/2): share of cases inside the 1-σ ellipse


@dataclass(frozen=True, slots=True)
class Ellipse:
    """1-σ error ellipse of a point: half its axes are standard deviations along and across `turn`.

    Attributes:
        long, short: whole axes, mm.
        turn: of the long axis, degrees counter-clockwise from +x, from −90 up to 90.
    """

    long: float
    short: float
    turn: float

    @property
    def sd(self) -> float:
        """Greatest standard deviation in any direction, mm."""
        return self.long / 2


def error_ellipse(xx: float, xy: float, yy: float) -> Ellipse:
    """Return the 1-σ ellipse of a point from its variances and covariance in mm² (Mohr's circle).

    >>> error_ellipse(4.0, 0.0, 1.0)
    Ellipse(long=4.0, short=2.0, turn=0.0)
    """
    middle, off = (xx + yy) / 2, hypot((xx - yy) / 2, xy)
    long, short = (2 * max(value, 0.0) ** 0.5 for value in (middle + off, middle - off))
    turn = degrees(atan2(2 * xy, xx - yy)) / 2
    return Ellipse(long, short, (turn + 90.0) % 180.0 - 90.0)


def confidence_scale(share: float) -> float:
    """Return the scale of the 1-σ ellipse that holds a point with a probability (Rayleigh): 1 for 39 %.

    >>> round(confidence_scale(0.95), 2)
    2.45
    """
    return float((-2.0 * log(1.0 - share)) ** 0.5)
