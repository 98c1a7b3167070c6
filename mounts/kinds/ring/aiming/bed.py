"""Printer's bed as a limit of a seat's place: how high a ring may reach, and how far round it.

A part that its printer does not hold is none, so this must hold where clearances may be missed: unless even the least
ring is too large, when the search goes on without it and the check of the bed says so.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from mounts.geometry.bounding_boxes import turned_box_sizes
from mounts.geometry.distance import support_values
from mounts.geometry.frames import Array, Frames
from mounts.geometry.outline import Outline, circle, offset_outline
from mounts.geometry.rims import sample_rim
from mounts.geometry.ties import first_most
from mounts.kinds.ring.halves.search import (
    NoLaps,
    best_split,
    cut_in_two,
    fits_by_far,
    outline_points,
    rooms_on,
)
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import RingSeat
from mounts.kinds.ring.values import RingPlan

AROUND = 8  # places on a rim

Lying = Callable[[RingPlan], float]  # room that a ring leaves on the bed when it lies in one certain way, mm
Lie = Callable[[RingJob, RingPlan], Lying | None]  # how a ring lies best; None where it cannot


@dataclass(frozen=True, eq=False)
class Top:
    """Highest point of a ring in closed form: on the seat's outer edge, or on a hard stop under the flange.

    Attributes:
        rims: outlines and their levels in the seat's frame: where the edge is broken, its upper end, and the stops.
    """

    rims: tuple[tuple[Outline, float], ...]

    @classmethod
    def of(cls, seat: RingSeat) -> Top:
        """Return the top of a ring without a collar."""
        edge = ((seat.outline, seat.rim - seat.edge), (offset_outline(seat.outline, -seat.edge), seat.rim))
        return cls((*edge, *((circle(seat.stop, at), seat.lift) for at in seat.stops)))

    @cached_property
    def places(self) -> Array:
        """Places on each rim, (rims · AROUND, 3) float.

        All of a level seat's rim is equally high, and a search that leans it must see each side rise.
        """
        return np.array([(*at, level) for outline, level in self.rims for at in sample_rim(outline, AROUND)[:, 0]])

    @property
    def rows(self) -> int:
        """Number of heights that `each` returns."""
        return len(self.rims) + len(self.places)

    def __call__(self, frames: Frames) -> Array:
        """Return the greatest height over the face, (n,) mm."""
        return np.asarray(self.each(frames).max(axis=1))

    def each(self, frames: Frames) -> Array:
        """Return the heights over the face of each rim's highest point and of the places round them, (n, rows) mm."""
        z = frames.z
        lean, uphill = np.hypot(z[:, 0], z[:, 1]), np.degrees(np.arctan2(-z[:, 1], -z[:, 0]))
        tops = [lean * support_values(outline, uphill) + level * z[:, 2] for outline, level in self.rims]
        highest = np.stack(tops, axis=1) + frames.origins[:, 2:]
        return np.concatenate([highest, frames.out(self.places)[..., 2]], axis=1)


def room_on_bed(job: RingJob, plan: RingPlan) -> float:
    """Return the room over a ring on its bed, and beside it if it must be in one piece, mm; negative if too large."""
    if plan.collar:
        top = Top(((plan.collar.outside, 0.0),))(Frames.of(plan.collar.rim))
    else:
        top = Top.of(plan.seat)(Frames.of(plan.seat.frame))
    over = job.printer.bed[2] - float(top[0])
    return min(over, in_one(job, plan)(plan)) if job.in_two is False else over


def ways_to_lie(job: RingJob) -> tuple[Lie, ...]:
    """Return how a ring may lie on its bed, the best first: in one piece, or in halves where the job allows.

    Returns:
        Nothing where it goes on with much room in any place.
    """
    if job.in_two == "as needed":
        return () if fits_by_far(job) else (in_one, in_halves)
    return (in_halves,) if job.in_two is not False else () if fits_by_far(job) else (in_one,)


def in_one(job: RingJob, plan: RingPlan) -> Lying:
    """Return the room on the bed of a whole ring, at the turn that leaves most, as a function of its plan."""
    turn = first_most(rooms_on(job, turned_box_sizes(outline_points(plan)[:, :2])))
    return lambda other: float(rooms_on(job, turned_box_sizes(outline_points(other)[:, :2]))[turn])


def in_halves(job: RingJob, plan: RingPlan) -> Lying | None:
    """Return the room on the bed of both halves, as a function of the plan; None where laps have no room."""
    split = best_split(job, plan)
    if isinstance(split, NoLaps):
        return None
    angles = (split.laps[0].angle, split.laps[1].angle)

    def rooms(other: RingPlan) -> list[Array]:
        return [rooms_on(job, turned_box_sizes(half)) for half in cut_in_two(outline_points(other), angles, split.long)]

    turns = [first_most(found) for found in rooms(plan)]
    return lambda other: min(float(found[turn]) for found, turn in zip(rooms(other), turns, strict=True))
