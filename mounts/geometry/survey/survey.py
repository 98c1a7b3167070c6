"""Result of a survey: hole positions with covariance, checks of the readings, and errors.

survey = solve_survey(readings, sd=0.25)  # a few ms for six holes
survey.at                                 # centres in the panel frame
survey.covariance(0.25, 0.5)              # (2n, 2n), of a caliper and a level

Error ellipses: the uncertainty of one point's position.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import atan2, degrees, hypot, log
from statistics import NormalDist

from mounts.geometry.fitting.values import RimFit
from mounts.geometry.outline import Point
from mounts.lengths import Units

ONE = 0.3934693402873666  # 1 − exp(−1/2): share of cases inside the 1-σ ellipse
OPENING = ""  # among the rims, that of the opening: no fixing is called so
FALSE_ALARMS = 0.01  # share of faultless patterns of which some reading is called wrong

Matrix = tuple[tuple[float, ...], ...]


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


class SurveyError(ValueError):
    """Readings from which no pattern follows; the text says what to measure next, `at` where in the readings.

    Attributes:
        at: path below `fixings`, such as ("distances", "readings", "A-B").
    """

    def __init__(self, what: str, *at: str) -> None:
        super().__init__(what)
        self.at = at


@dataclass(frozen=True, slots=True)
class ReadingCheck:
    """Check of one figure that was read against all the others.

    Attributes:
        label: what it is, such as "A-C".
        where: its path below `fixings`, such as ("distances", "readings", "A-C").
        read: the figure.
        residual: what was read less what the solved pattern gives.
        expected: its prediction from the others alone; None where nothing else determines it.
        expected_sd: one standard deviation of `read` − `expected`.
    """

    label: str
    where: tuple[str, ...]
    read: float
    residual: float
    expected: float | None
    expected_sd: float

    def write(self, units: Units) -> str:
        """Return what was read, and what the others make it, in words."""
        if units is Units.MM or self.where[-1] == "level":
            return f"{self.read:.4g}, the others make it {self.expected:.1f}"
        return f"{units(self.read)}, the others make it {units(self.expected or 0.0, 1)}"

    @property
    def sds(self) -> float:
        """Residual against the prediction from the others, in standard deviations; 0 where nothing checks it."""
        return 0.0 if self.expected is None else abs(self.read - self.expected) / self.expected_sd


def outlier_limit(count: int) -> float:
    """Return the standard deviations that the worst of `count` faultless readings exceeds in one pattern of a hundred.

    >>> round(outlier_limit(1), 2)
    2.58
    """
    return NormalDist().inv_cdf(1 - FALSE_ALARMS / 2 / max(count, 1))


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Readings that cannot all be right.

    Attributes:
        suspects: those of which one is wrong, the likeliest first; more than one where nothing decides which.
        others_agree: whether all would agree without it; else more than one is wrong.
    """

    suspects: tuple[ReadingCheck, ...]
    others_agree: bool = True

    @property
    def sds(self) -> float:
        """Residual of the likeliest suspect, in standard deviations."""
        return self.suspects[0].sds

    def describe(self, units: Units = Units.MM) -> str:
        """Return a message: what cannot be, and what each suspect should have read."""
        said = [f"{check.label} reads {check.write(units)}" for check in self.suspects]
        if not self.others_agree:
            what = "more than one reading is wrong, or a hole is called by another's name"
            return f"{what}; the worst: {said[0]}. Read all again"
        if len(said) == 1:
            needed = self.suspects[0].where in (("hole",), ("distances", "to_opening"))
            again = "read it again" if needed else "read it again, or leave it out"
            return f"{said[0]} ({self.sds:.1f} standard deviations off): {again}"
        also = f" and {len(said) - 3} more" if len(said) > 3 else ""
        return f"one of these is wrong, and no reading shows which: {'; or '.join(said[:3])}{also}. Read them again"


@dataclass(frozen=True, slots=True)
class Survey:
    """Positions of the holes and their covariance.

    Attributes:
        names: of the holes, in the order of `at`.
        at: their centres in the panel frame, mm.
        per_length: covariance (2n, 2n) of x, y of each in turn, for lengths read to 1 mm (one standard deviation).
        per_level: the same for a level read to 1 degree.
        checks: every figure against the others; empty where nothing was adjusted.
        disagreement: which of them cannot all be right, None when all agree.
        next: the reading between two holes that would improve the pattern most, such as "A-C"; empty when all are read.
        rims: fits through points, by the fixing's name, or OPENING for that of the opening.
    """

    names: tuple[str, ...]
    at: tuple[Point, ...]
    per_length: Matrix
    per_level: Matrix
    checks: tuple[ReadingCheck, ...] = ()
    disagreement: Disagreement | None = None
    next: str = ""
    rims: tuple[tuple[str, RimFit], ...] = ()

    @property
    def checked(self) -> tuple[ReadingCheck, ...]:
        """Figures that others check."""
        return tuple(check for check in self.checks if check.expected is not None)

    @property
    def allowed(self) -> float:
        """Limit of the worst of them in standard deviations before it counts as wrong."""
        return outlier_limit(len(self.checked))

    def covariance(self, length: float, level: float) -> Matrix:
        """Return the covariance (2n, 2n), mm², of x, y of each hole in turn.

        Args:
            length: one standard deviation of a distance, mm.
            level: one standard deviation of a direction read with a level, degrees.
        """
        rows = zip(self.per_length, self.per_level, strict=True)
        return tuple(tuple(length**2 * a + level**2 * b for a, b in zip(*row, strict=True)) for row in rows)

    def ellipses(self, length: float, level: float) -> dict[str, Ellipse]:
        """Return the 1-σ error ellipse of each hole, by its name; arguments as for `covariance`."""
        whole = self.covariance(length, level)
        own = [(whole[k][k], whole[k][k + 1], whole[k + 1][k + 1]) for k in range(0, len(whole), 2)]
        return {name: error_ellipse(*one) for name, one in zip(self.names, own, strict=True)}

    def mirrored(self) -> Survey:
        """Return the survey in a mirror, x → −x."""
        return replace(
            self,
            at=tuple((-x if x else 0.0, y) for x, y in self.at),
            per_length=_mirror_covariance(self.per_length),
            per_level=_mirror_covariance(self.per_level),
        )


def unadjusted_survey(points: Mapping[str, Point], spread: Matrix | None = None) -> Survey:
    """Return the survey of points read directly, each coordinate with the instrument's error or a given spread.

    Args:
        points: centres by name, mm.
        spread: covariance (2n, 2n) for points read to 1 mm.

    >>> unadjusted_survey({"A": (1.0, 2.0)}).covariance(0.5, 0.0)
    ((0.25, 0.0), (0.0, 0.25))
    """
    count = 2 * len(points)
    none = tuple((0.0,) * count for _ in range(count))
    each = tuple(tuple(1.0 if i == j else 0.0 for j in range(count)) for i in range(count))
    return Survey(tuple(points), tuple(points.values()), spread or each, none)


def _mirror_covariance(covariance: Matrix) -> Matrix:
    """Return the covariance in the mirror: between an x and a y the sign changes."""
    return tuple(tuple(-v if (i + j) % 2 else v for j, v in enumerate(row)) for i, row in enumerate(covariance))
