"""Degrees of freedom of a seat's pose, as numbers for the search: degrees and millimetres, of similar size."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mounts.geometry.frames import Array, Frames
from mounts.geometry.outline import Point
from mounts.kinds.ring.height import Bounds
from mounts.kinds.ring.job import RingJob


@dataclass(frozen=True, slots=True, eq=False)
class Poses:
    """Poses of n seats: tilts, clock directions, heights, each (n,), and offsets (n, 2)."""

    tilts: Array
    towards: Array
    heights: Array
    offsets: Array

    @property
    def frames(self) -> Frames:
        """Frames of the seats."""
        return Frames.tilted(np.column_stack([self.offsets, self.heights]), self.tilts, self.towards)


@dataclass(frozen=True, slots=True, eq=False)
class Freedom:
    """Free numbers of a pose, in this order: the lean (right and up, degrees), the height, the offset.

    Attributes:
        tilt, toward: as given, None where free. With one of them given, the other is the lean's only number.
        height: as given, or None where it is free, or the bounds whose greatest it is.
        offset: as given.
        aside: whether the offset is free.
        turns: whether anything of the lean is free.
    """

    tilt: float | None
    toward: float | None
    height: float | Bounds | None
    offset: Point
    aside: bool
    turns: bool

    @classmethod
    def of(cls, job: RingJob, bounds: Bounds) -> Freedom:
        """Return the degrees of freedom that a job leaves."""
        sought, height = job.sought, job.height
        tall = None if height == "best" else bounds if isinstance(height, str) else height
        if sought is None:
            return cls(job.aim.tilt, job.aim.toward, tall, job.seat_offset, aside=False, turns=False)
        return cls(sought.tilt, sought.toward, tall, job.seat_offset, sought.aside > 0, turns=True)

    @property
    def lean(self) -> int:
        """Number of the lean's free numbers."""
        return (2 if self.tilt is None and self.toward is None else 1) if self.turns else 0

    def poses(self, numbers: Array) -> Poses:
        """Return the poses of numbers (n, k), k of them free."""
        count, lean = len(numbers), numbers[:, : self.lean]
        if self.lean == 2:
            tilts, towards = np.hypot(*lean.T), np.degrees(np.arctan2(lean[:, 0], lean[:, 1]))
        elif self.lean == 1 and self.tilt is None:
            tilts, towards = np.abs(lean[:, 0]), np.full(count, self.toward)
        else:
            tilts = np.full(count, self.tilt)
            towards = lean[:, 0] if self.lean else np.full(count, self.toward)
        rest = numbers[:, self.lean :]
        offsets = rest[:, -2:] if self.aside else np.tile(self.offset, (count, 1))
        if self.height is None:
            heights = rest[:, 0]
        elif isinstance(self.height, Bounds):
            flat = Poses(tilts, towards, np.zeros(count), offsets)
            heights = self.height.least(flat.frames).max(axis=1)
        else:
            heights = np.full(count, self.height)
        return Poses(tilts, towards, heights, offsets)

    def numbers(self, poses: Poses) -> Array:
        """Return the free numbers of poses, (n, k), k of them free."""
        turn = np.radians(poses.towards)
        columns = []
        if self.lean == 2:
            columns += [poses.tilts * np.sin(turn), poses.tilts * np.cos(turn)]
        elif self.lean == 1:
            columns.append(poses.tilts if self.tilt is None else poses.towards)
        if self.height is None:
            columns.append(poses.heights)
        if self.aside:
            columns += list(poses.offsets.T)
        return np.stack(columns, axis=-1) if columns else np.zeros((len(poses.tilts), 0))
