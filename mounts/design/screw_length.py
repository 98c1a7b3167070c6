"""Length of screw that a joint needs: what it passes, how much thread must hold it, and where its tip would bottom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

ROUNDING = 1e-6  # mm
MOST_WASHERS = 3.5  # mm of washers under a head that a person would still stack

# how far a length may be off, js15 (ISO 4759-1 for product grade A; IT15 of ISO 286-1): up to a length, by half of IT15
TOLERANCES = ((3.0, 0.2), (6.0, 0.24), (10.0, 0.29), (18.0, 0.35), (30.0, 0.42), (50.0, 0.5), (80.0, 0.6), (120.0, 0.7))


@dataclass(frozen=True, slots=True)
class Joint:
    """Joint that one screw holds, measured from under its head (from the top of a countersunk one).

    Attributes:
        clamped: length to where the thread that holds it begins, mm.
        engages: least length of thread that must hold it.
        thread: length of the thread that is there.
        room: length to where its tip would bottom, mm; infinite where the way is open.
    """

    clamped: float
    engages: float
    thread: float
    room: float

    @property
    def least(self) -> float:
        """Shortest length that engages enough."""
        return self.clamped + self.engages

    def engaged(self, length: float) -> float:
        """Return how much thread holds a screw of a length."""
        return min(length - self.clamped, self.thread)

    def clear(self, length: float) -> float:
        """Return how far a screw as long as its tolerance allows ends before it bottoms, negative when it does."""
        return self.room - length - length_tolerance(length)


def length_tolerance(length: float) -> float:
    """Return by how much a screw may be longer or shorter than its nominal length, mm."""
    return next((half for upto, half in TOLERANCES if length <= upto), TOLERANCES[-1][1])


def choose_sold_length(joint: Joint, lengths: Sequence[float]) -> float | None:
    """Return the shortest of the lengths sold that engages enough and does not bottom; None when there is none."""
    return next((one for one in sorted(lengths) if _fits(joint, one)), None)


def with_washers(joint: Joint, lengths: Sequence[float]) -> tuple[float, float, float] | None:
    """Return (length, least, greatest thickness of the washers) of a screw that fits with washers, or None."""
    for one in sorted(lengths):
        least, most = -joint.clear(one), one - joint.least
        if 0 < least <= min(most, MOST_WASHERS):
            return one, least, most
    return None


def _fits(joint: Joint, length: float) -> bool:
    return length >= joint.least - ROUNDING and joint.clear(length) >= -ROUNDING
