"""A screw in its joint: where its head bears, what it passes, what holds its thread, and which length it takes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor

from mounts.design.fasteners import Joint, choose_sold_length, with_washers
from mounts.geometry.frames import Vector
from mounts.lengths import Units
from mounts.load.models.hardware import Screw


@dataclass(frozen=True, slots=True)
class PlacedJoint:
    """One screw in its joint.

    Attributes:
        name: of the fixing, or number of the speaker screw.
        head: point under the head on the screw's axis, panel frame.
        axis: unit vector from tip to head.
        joint: what it passes and holds in.
        holds: what its thread is taken to hold in.
    """

    name: str
    head: Vector
    axis: Vector
    joint: Joint
    holds: str

    def tip(self, length: float) -> Vector:
        """Return where a screw of a length ends."""
        x, y, z = (h - length * a for h, a in zip(self.head, self.axis, strict=True))
        return (x, y, z)


def choose_length(held: PlacedJoint, screw: Screw | None) -> float | None:
    """Return the length that a joint takes of those that its screw is sold in; None where none fits."""
    return choose_sold_length(held.joint, screw.lengths) if screw else None


def choose_washers(held: PlacedJoint, screw: Screw, units: Units) -> tuple[float, str] | None:
    """Return a length that is sold and the thickness of washers under its head that make it fit; None without such."""
    stacked = with_washers(held.joint, screw.lengths)
    if stacked is None:
        return None
    length, low, high = stacked
    low, high = ceil(low * 10 - 1e-6) / 10, floor(high * 10 + 1e-6) / 10
    return length, f"{units(low, 1)} to {units(high, 1)} thick in all"


def group_joints(joints: tuple[PlacedJoint, ...]) -> Iterator[tuple[PlacedJoint, ...]]:
    """Yield the screws whose joints are alike, together."""
    groups: dict[tuple[float, ...], list[PlacedJoint]] = {}
    for one in joints:
        joint = one.joint
        key = tuple(round(value, 3) for value in (joint.clamped, joint.engages, joint.thread, joint.room))
        groups.setdefault(key, []).append(one)
    yield from (tuple(group) for group in groups.values())
