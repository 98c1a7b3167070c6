"""Best place of a seat under its limits, by an active set: few limits first, until none of the others is missed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mounts.design.clearances import SpeakerRoom
from mounts.geometry.frames import Array
from mounts.kinds.ring.aiming.freedom import Freedom, Poses
from mounts.kinds.ring.aiming.limits import Limit, PoseLimits
from mounts.kinds.ring.aiming.search import FINE, WIDE, Teller, Told, search
from mounts.kinds.ring.aiming.search import NARROW as COARSE
from mounts.kinds.ring.aiming.search import SMALL as ROUGHLY

STEP = 1e-4  # of a difference, degrees and mm
# quickly evaluated, and nearly always the active constraints
QUICK = ("clear.trim", "clear.grille", "clear.glass", "proven.front", "proven.depth")
NEAR = 4.0  # mm: clearances that the first start keeps by more are looked at only where a search ended
KEPT = 3  # ends from which the search goes on with more clearances
NEARBY = 1.5  # degrees and mm that a search goes at first from where another ended
TALL = 200.0  # mm: higher than any seat
# Of places that face the listeners equally well, the one nearest to the grille is taken, then the most central one,
# whose tower leans least and so takes least material: of 18 jobs measured, at most 2.3 % more than the best of all ties
# within 0.1 degree and 0.1 mm; 6.4 % on one whose ties begin to have a flare, at limits: flare_below.
# 20 mm of height weigh as much as a degree at 1.5 degrees off.
NEARER, CENTRED = 0.02, 0.02  # weight of a millimetre against a degree
FINELY = 1e-6  # gain in squared degrees that ends a search, where the rough one ended it before
NARROW = 0.5  # degrees and mm that a search goes at first from where a rough one ended
TOUCHED = 0.01  # mm: a miss that is none, since limits are kept by more

Target = tuple[Array, float]  # a listener's ears (3,), and its share


@dataclass(frozen=True, slots=True, eq=False)
class PoseProblem:
    """Objective of the search and its limits.

    Attributes:
        targets: listeners to face; none where only the height counts.
        limits: all of them.
        freedom: what is free.
    """

    targets: tuple[Target, ...]
    limits: PoseLimits
    freedom: Freedom

    def off(self, poses: Poses) -> Array:
        """Return the angles from the axis to each listener as two numbers, weighted, (n, 2 · listeners) degrees."""
        frames, found = poses.frames, []
        for ears, share in self.targets:
            local = frames.into(ears)
            across = np.hypot(local[:, 0], local[:, 1])
            angle = np.degrees(np.arctan2(across, local[:, 2]))
            found.append(share**0.5 * (angle / np.maximum(across, 1e-9))[:, None] * local[:, :2])
        return np.concatenate(found, axis=1) if found else np.zeros((len(poses.tilts), 0))

    def angle(self, poses: Poses) -> Array:
        """Return the root of the weighted mean square of the angles to the listeners, (n,) degrees."""
        angle: Array = np.sqrt((self.off(poses) ** 2).sum(axis=1))
        return angle

    def wanted(self, poses: Poses) -> Array:
        """Return the residuals that are minimised, (n, rows)."""
        low = (TALL - poses.heights)[:, None] * (NEARER if self.targets else TALL**-0.5)
        return np.concatenate([self.off(poses), low, CENTRED * poses.offsets], axis=1)

    def teller(self, gives: Array | None = None) -> Teller:
        """Return the function by which the search evaluates numbers.

        Args:
            gives: by how much each start's limits are relaxed, (starts, soft and hard rows).
        """

        def tell(numbers: Array, which: NDArray[np.intp]) -> tuple[Told, Told]:
            n, count = numbers.shape
            beside = (numbers[:, None] + STEP * np.eye(count)).reshape(-1, count)
            here, there = self.freedom.poses(numbers), self.freedom.poses(beside)
            soft, picks = self.limits.soft(here)
            more, _ = self.limits.soft(there, [np.repeat(one, count, axis=0) for one in picks])
            both = self.freedom.poses(np.concatenate([numbers, beside]))
            rest = [(part[:n], part[n:]) for part in (self.wanted(both), self.limits.hard(both))]
            told, slopes = [], []
            for one, two in (rest[0], (soft, more), rest[1]):
                told.append(one)
                slopes.append(((two.reshape(n, count, -1) - one[:, None]) / STEP).transpose(0, 2, 1))
            if gives is not None:
                by, cut = gives[which], soft.shape[1]
                told[1:] = [told[1] + by[:, :cut], told[2] + by[:, cut:]]
            return (told[0], told[1], told[2]), (slopes[0], slopes[1], slopes[2])

        return tell

    def solved(self, starts: Array, wide: float = WIDE) -> tuple[Array, float]:
        """Return the best numbers (count,) from some starts, and by how much the worst clearance is missed, mm."""
        rooms = [room for room in self.limits.rooms if room.code in QUICK]
        rooms += [room for room in self._near(starts[:1], NEAR) if room.code not in QUICK]
        worth = ROUGHLY
        while True:
            few = replace(self, limits=self.limits.only(rooms))
            found = search(starts, few.teller(), wide, worth, narrow=FINE if worth == FINELY else COARSE)
            order = found.order()
            best = found.numbers[order[0]]
            missed = self._missed(best, float(found.miss[order[0]]), rooms)
            if not missed and worth == FINELY:
                return best, float(found.miss[order[0]])
            starts, wide = (found.numbers[order[:KEPT]], NEARBY) if missed else (best[None], NARROW)
            rooms, worth = rooms + missed, ROUGHLY if missed else FINELY

    def _near(self, numbers: Array, within: float) -> list[SpeakerRoom]:
        """Return the clearances that are kept by less than so many mm at one of some places."""
        poses = self.freedom.poses(numbers)
        return [room for room in self.limits.rooms if self.limits.only([room]).soft(poses)[0].min() < within]

    def _missed(self, numbers: Array, miss: float, known: list[SpeakerRoom]) -> list[SpeakerRoom]:
        """Return the clearances that the search did not know of and that are missed there."""
        return [room for room in self._near(numbers[None], -miss - TOUCHED) if not any(room is one for one in known)]

    def near(self, numbers: Array, within: float) -> PoseProblem:
        """Return the problem without the clearances that are kept by more than so many mm at a place."""
        return replace(self, limits=self.limits.only(self._near(numbers[None], within)))

    def margins(self, numbers: Array) -> tuple[Array, tuple[Limit, ...]]:
        """Return the margins of all limits at a place, (rows,), and the limits, clearances first."""
        poses = self.freedom.poses(numbers[None])
        soft, picks = self.limits.soft(poses)
        return np.concatenate([soft[0], self.limits.hard(poses)[0]]), self.limits.rows(picks) + self.limits.hard_rows()
