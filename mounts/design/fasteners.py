"""Geometry that a fastener needs in the plastic: hole, bearing face, tool path, room for what stands proud.

Sizes of screws, washers, nuts and inserts are the library's; the allowances are the job's limits.

Length of screw that a joint needs: what it passes, how much thread must hold it, and where its tip would bottom.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from mounts.geometry.ties import keeps
from mounts.load.models.job import PanelFixing
from mounts.load.models.limits import Limits

ROUNDING = 1e-6  # mm
MOST_WASHERS = 3.5  # mm of washers under a head that a person would still stack

# how far a length may be off, js15 (ISO 4759-1 for product grade A; IT15 of ISO 286-1): up to a length, by half of IT15
TOLERANCES = ((3.0, 0.2), (6.0, 0.24), (10.0, 0.29), (18.0, 0.35), (30.0, 0.42), (50.0, 0.5), (80.0, 0.6), (120.0, 0.7))
COVER = 0.5  # mm of bearing that stays on the narrow side, wherever the screw stands in its hole: common practice


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
    return next((half for upto, half in TOLERANCES if keeps(length, upto)), TOLERANCES[-1][1])


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


@dataclass(frozen=True, slots=True)
class Fastening:
    """One panel screw in the base.

    Attributes:
        hole: diameter through the base.
        washer: diameter that bears on the base, of the washer or of the bare head.
        stack: height of washer and head together.
        path: diameter of the tool path.
        disc: diameter of the base round the hole, for its distance to the edge.
        sink: diameter of the countersink for a countersunk head, 0 for a head that stands on the base.
        proud: (diameter, height) of the hardware that stands on the face, None when nothing does.
    """

    hole: float
    washer: float
    stack: float
    path: float
    disc: float
    sink: float
    proud: tuple[float, float] | None


def thread_diameter(thread: str) -> float:
    """Return the outside diameter of a thread from its designation: "M5" is 5, "ST4.2" is 4.2 (nominal), mm."""
    found = re.search(r"\d+(\.\d+)?", thread)
    assert found, thread
    return float(found.group())


def fastening(fixing: PanelFixing, limits: Limits, hole: float, growth: float) -> Fastening:
    """Return a panel fixing's sizes.

    Args:
        fixing: hardware, screw and washer.
        limits: allowances.
        hole: diameter of the hole in the mount as it comes out.
        growth: added to the hole's diameter so that it comes out true on this printer, mm.
    """
    screw, washer = fixing.screw, fixing.washer
    sunk = screw.head == "countersunk"
    bears = washer.outside if washer else screw.head_diameter
    return Fastening(
        hole=hole + growth,
        washer=bears,
        stack=0.0 if sunk else screw.head_height + (washer.thickness if washer else 0.0),
        path=max(bears, screw.head_diameter) + max(limits.tool_path, hole - thread_diameter(screw.thread)),
        disc=max(2 * limits.edge * (hole + growth), bears + limits.wall_least),
        sink=screw.head_diameter if sunk else 0.0,
        proud=fixing.hardware.proud,
    )


def widest_borne(fixing: PanelFixing) -> float:
    """Return the widest hole that washer or head covers by COVER all round, screw and washer each at its hole's edge.

    A countersunk head stands in its cone, of which COVER has to stay round the hole.
    """
    screw, washer = fixing.screw, fixing.washer
    thread = thread_diameter(screw.thread)
    if screw.head == "countersunk":
        return screw.head_diameter - 2 * COVER
    across, slack = (washer.outside, (washer.inside - thread) / 2) if washer else (screw.head_diameter, 0.0)
    return (across + thread) / 2 - slack - COVER


def washer_for(fixing: PanelFixing, hole: float) -> float:
    """Return the least width of a washer, with a hole as the given one has or without slack, that covers a hole."""
    thread = thread_diameter(fixing.screw.thread)
    slack = (fixing.washer.inside - thread) / 2 if fixing.washer else 0.0
    return 2 * (hole + slack + COVER) - thread
