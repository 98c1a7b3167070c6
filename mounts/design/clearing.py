"""The chance that gaps stay open: each rests on readings that are off by their instruments' errors, some on the same.

A gap is taken as linear in its readings' errors, which is exact to a few thousandths for errors of millimetres on
planes a hundred wide; the errors are normal and independent of each other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf
from statistics import NormalDist

import numpy as np

from mounts.design.chance import SEED
from mounts.geometry.ties import at_least, most_of

DRAWS = 4000  # of all readings' errors together
NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Resting:
    """A gap and what it rests on.

    Attributes:
        gap: as planned, mm.
        shares: by how much one standard deviation of each reading, by its name, moves it, mm, with its sign.
    """

    gap: float
    shares: Mapping[str, float]

    @property
    def sd(self) -> float:
        """One standard deviation of the gap, mm."""
        return float(np.hypot.reduce(list(self.shares.values()), initial=0.0))

    @property
    def alone(self) -> float:
        """Chance that it stays open, 0 to 1."""
        return NORMAL.cdf(self.sigmas)

    @property
    def sigmas(self) -> float:
        """Standard deviations by which it is open."""
        return self.gap / self.sd if self.sd > 0 else inf if at_least(self.gap, 0.0) else -inf


def stay_open(resting: Sequence[Resting], exact: str = "") -> float:
    """Chance that gaps stay open all together, 0 to 1; one reading may be taken as exact.

    One gap has its closed form; of several the share of drawn cases, and never more than the least likely alone.
    """
    left = [Resting(one.gap, {name: share for name, share in one.shares.items() if name != exact}) for one in resting]
    least = min((one.alone for one in left), default=1.0)
    if len(left) < 2 or least == 0.0:
        return least
    names = list(dict.fromkeys(name for one in resting for name in one.shares))
    shares = np.array([[one.shares.get(name, 0.0) for name in names] for one in left]).reshape(len(left), len(names))
    drawn = np.random.default_rng(SEED).normal(size=(DRAWS, len(names)))
    gaps = np.array([one.gap for one in left]) + drawn @ shares.T
    return min(least, float((gaps >= 0).all(axis=1).mean()))


def worst_reading(resting: Sequence[Resting]) -> tuple[str, float]:
    """The reading that would help most were it exact, and the chance that all gaps then stay open."""
    names = dict.fromkeys(name for one in resting for name in one.shares)
    return most_of([(name, stay_open(resting, name)) for name in names] or [("", 1.0)], key=lambda found: found[1])
