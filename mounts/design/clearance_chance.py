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
from mounts.geometry.ties import most_of, reaches
from mounts.identity import Ident

DRAWS = 4000  # of all readings' errors together
NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class ReadingGap:
    """A gap and what it rests on.

    Attributes:
        gap: as planned, mm.
        shares: by how much one standard deviation of each reading, by its identity, moves it, mm, with its sign.
    """

    gap: float
    shares: Mapping[Ident, float]

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
        return self.gap / self.sd if self.sd > 0 else inf if reaches(self.gap, 0.0) else -inf


def chance_clear(resting: Sequence[ReadingGap], exact: Ident | None = None) -> float:
    """Return the chance that gaps stay open all together, 0 to 1; one reading may be taken as exact.

    One gap has its closed form; of several the share of drawn cases, and never more than the least likely alone.
    """
    left = [
        ReadingGap(one.gap, {read: share for read, share in one.shares.items() if read != exact}) for one in resting
    ]
    least = min((one.alone for one in left), default=1.0)
    if len(left) < 2 or least == 0.0:
        return least
    reads = list(dict.fromkeys(read for one in resting for read in one.shares))
    shares = np.array([[one.shares.get(read, 0.0) for read in reads] for one in left]).reshape(len(left), len(reads))
    drawn = np.random.default_rng(SEED).normal(size=(DRAWS, len(reads)))
    gaps = np.array([one.gap for one in left]) + drawn @ shares.T
    return min(least, float((gaps >= 0).all(axis=1).mean()))


def worst_reading(resting: Sequence[ReadingGap]) -> tuple[Ident | None, float]:
    """Return the reading that would help most were it exact, and the chance that all gaps then stay open."""
    reads = dict.fromkeys(read for one in resting for read in one.shares)
    found = [(read, chance_clear(resting, read)) for read in reads]
    return most_of(found, key=lambda one: one[1]) if found else (None, 1.0)
