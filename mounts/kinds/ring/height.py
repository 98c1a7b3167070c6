"""Least height of a tilted seat: its low side must hold pockets, floors, bore and the screw heads below it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from math import ceil

import numpy as np

from mounts.design.fasteners import Fastening
from mounts.errors import InputError
from mounts.geometry.distance import depths, support_values
from mounts.geometry.frames import Array, Frames
from mounts.geometry.outline import Outline, Point
from mounts.geometry.ties import most_of
from mounts.kinds.ring.base import FOOT, SPOT, recess_for
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Base, RingSeat, SpeakerScrew
from mounts.kinds.ring.seat import EDGE, SeatLayout, over_face, seat_at
from mounts.kinds.ring.tower import throat_of, within_opening
from mounts.load.models.job import AimAngles

SHOWN = 0.5  # mm: the seat's broken edge stands at least this far above the base
CLAMPED = 4.0  # mm: a through bolt clamps at least this much of the mount
UNDER_FLANGE = 0.5  # mm between a screw head and the flange above it


def lowest_height(job: RingJob, layout: SeatLayout, base: Base, screw: Fastening, aim: AimAngles) -> tuple[float, str]:
    """Return the least height of the seat's centre at a tilt, mm, and what sets it."""
    seat = seat_at(job, layout, aim, 0.0)
    bounds = height_bounds(job, seat, base, screw)
    heights = bounds.least(Frames.of(seat.frame))[0].tolist()
    return most_of(zip(heights, (bound.why for bound in bounds.each), strict=True), lambda found: found[0])


def rounded_up(height: float) -> float:
    """Return a height rounded up to 0.1 mm."""
    return ceil(height * 10 - 1e-6) / 10


def greatest_tilt(job: RingJob, layout: SeatLayout, base: Base, screw: Fastening, height: float) -> float | None:
    """Return the greatest tilt at a height, rounded down to 0.1°; None when even a level seat fails."""

    def fits(tilt: float) -> bool:
        return rounded_up(lowest_height(job, layout, base, screw, replace(job.aim, tilt=tilt))[0]) <= height

    if not fits(0.0):
        return None
    low, high = 0.0, 60.0
    for _ in range(12):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return int(low * 10) / 10


def seat_height(
    job: RingJob, layout: SeatLayout, base: Base, screw: Fastening, *, strict: bool = True
) -> tuple[float, float]:
    """Return the seat's height that the job asks for, and the least at its tilt, mm.

    Raises:
        InputError: when `strict` and the height asked for is too low, with the nearest height and tilt that are not.
    """
    lowest, why = lowest_height(job, layout, base, screw, job.aim)
    least = rounded_up(lowest)
    if isinstance(job.height, str):
        return least, least
    if strict and job.height < lowest - 1e-6:
        most = greatest_tilt(job, layout, base, screw, job.height)
        rest = (
            f"greatest tilt at {job.units(job.height)} is {most:g}"
            if most is not None
            else "no tilt at all fits under that"
        )
        what = (
            f"tilt {job.aim.tilt:g} needs a height of {job.units.key(least, up=True)} ({why}); "
            f"you gave {job.units(job.height)}; {rest}"
        )
        raise InputError(job.problem("height", what))
    return job.height, least


@dataclass(frozen=True, slots=True, eq=False)
class Bound:
    """One constraint that keeps a seat up.

    Attributes:
        why: its name.
        height: frames of n seats, their origins on the face → heights that their centres need, (n,).
        spared: by how much it does not apply there, (n,); at 0 or more it does not. None where it always applies.
    """

    why: str
    height: Callable[[Frames], Array]
    spared: Callable[[Frames], Array] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Bounds:
    """All constraints that keep a seat up, wherever it is."""

    each: tuple[Bound, ...]

    def least(self, frames: Frames) -> Array:
        """Return the heights that n seats on the face need, (n, bounds) mm; −inf where one needs none."""
        found = []
        for bound in self.each:
            height = bound.height(frames)
            found.append(height if bound.spared is None else np.where(bound.spared(frames) >= 0, -np.inf, height))
        return np.stack(found, axis=-1)

    def margins(self, frames: Frames, heights: Array) -> Array:
        """Return by how much each constraint is kept, (n, bounds) mm, continuous where one ceases to apply."""
        found = []
        for bound in self.each:
            margin = heights - bound.height(frames)
            found.append(margin if bound.spared is None else np.maximum(margin, bound.spared(frames)))
        return np.stack(found, axis=-1)


def height_bounds(job: RingJob, seat: RingSeat, base: Base, screw: Fastening) -> Bounds:
    """Return the constraints that the parts of a seat put on its height, wherever it is."""
    return Bounds((*_rims(job, seat, base), *_pockets(job, seat, base, screw), *_heads(job, seat, base, screw)))


def _rims(job: RingJob, seat: RingSeat, base: Base) -> Iterator[Bound]:
    """Yield the constraints of the seat's edge, the band below it, and the straight part of the bore."""
    limits, throat = job.limits, throat_of(base, job.limits)

    def over(level: float, outline: Outline, down: float) -> Callable[[Frames], Array]:
        return lambda frames: level + _hangs(outline, down, frames)

    yield Bound("the seat's low edge above the base", over(base.thickness + EDGE + SHOWN, seat.outline, 0.0))
    band = "the wall beside the speaker's screws above the tower's foot"
    yield Bound(band, over(FOOT + SHOWN, seat.outline, seat.band))
    yield Bound("the bore's straight part above the face", over(1.0, seat.bore, seat.straight))
    if throat:
        within, what = partial(within_opening, base, seat, limits), "the bore's straight part above the gasket groove"
        yield Bound(what, over(throat + 1.0, seat.bore, seat.straight), within)


def _pockets(job: RingJob, seat: RingSeat, base: Base, screw: Fastening) -> Iterator[Bound]:
    floor = job.limits.floor
    for pocket in seat.screws:
        if pocket.nut:
            what = f"what the through bolt at speaker screw {pocket.name} clamps"
            yield Bound(what, partial(_clamped, pocket, seat))
            continue

        def under(frames: Frames, pocket: SpeakerScrew = pocket) -> Array:
            low = frames.out(np.array([*pocket.at, -pocket.depth]))
            below = _cut_into_back(job, base, screw, low[:, :2], pocket.hole / 2 + floor)
            needed: Array = floor + below + pocket.hole / 2 * np.hypot(*frames.z[:, :2].T) - low[:, 2]
            return needed

        yield Bound(f"the floor under speaker screw {pocket.name}", under)


def _clamped(pocket: SpeakerScrew, seat: RingSeat, frames: Frames) -> Array:
    """Return the heights at which a nut bears that far above the face, (n,): its level is set by the face."""
    assert pocket.nut is not None
    own, there = (over_face(pocket.at, pocket.nut.diameter, where) for where in (Frames.of(seat.frame), frames))
    return CLAMPED + pocket.nut.bears - own + there


def _heads(job: RingJob, seat: RingSeat, base: Base, screw: Fastening) -> Iterator[Bound]:
    """Yield the heights at which the flange clears the panel screws' heads that it covers."""
    top = base.thickness - SPOT + screw.stack + UNDER_FLANGE
    for name, at in job.panel.fixings.points.items():

        def over(frames: Frames, at: Point = at) -> Array:
            z = frames.z
            ahead = ((np.array(at) - frames.origins[:, :2]) * z[:, :2]).sum(axis=1)
            reach = np.hypot(z[:, 0], z[:, 1]) * screw.path / 2
            needed: Array = top + (ahead + reach - seat.lift) / z[:, 2]
            return needed

        def beside(frames: Frames, at: Point = at) -> Array:
            away: Array = -depths(seat.flange, frames.into(np.array([*at, 0.0]))[:, :2]) - screw.path / 2
            return away

        yield Bound(f"the screw head at fixing {name} under the flange", over, beside)


def _hangs(outline: Outline, level: float, frames: Frames) -> Array:
    """Return how far the lowest point of an outline, `level` mm down the axis, lies below its seat's centre, (n,)."""
    z = frames.z
    lean = np.hypot(z[:, 0], z[:, 1])
    hangs: Array = lean * support_values(outline, np.degrees(np.arctan2(z[:, 1], z[:, 0]))) + level * z[:, 2]
    return hangs


def _cut_into_back(job: RingJob, base: Base, screw: Fastening, at: Array, reach: float) -> Array:
    """Return the depth of what is cut into the base's back within `reach` mm of places (n, 2)."""
    found = np.zeros(len(at))
    for groove in (base.seal, base.bead):
        if groove:
            near = depths(groove.outside, at) > -reach
            near &= depths(groove.inside, at) < reach if groove.inside else True
            found = np.maximum(found, np.where(near, groove.depth, 0.0))
    for step in base.steps:
        found = np.maximum(found, np.where(depths(step.outline, at) > -reach, step.height, 0.0))
    recess = recess_for(job, screw)
    for name, place in job.panel.fixings.points.items():
        if recess:
            near = np.hypot(*(np.array(place) - at).T) < recess.diameter / 2 + reach
            deep = recess.depth + job.panel.fixings.heights.get(name, 0.0)
            found = np.maximum(found, np.where(near, deep, 0.0))
    return found
