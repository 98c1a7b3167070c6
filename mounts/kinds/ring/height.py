"""How low a tilted seat can be: its low side must still hold pockets, floors, bore and the screw heads below it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from math import ceil

import numpy as np

from mounts.design.fasteners import Fastening
from mounts.errors import InputError
from mounts.geometry.distance import depths, supports
from mounts.geometry.frames import Array, Frames
from mounts.geometry.outline import Outline, Point
from mounts.kinds.ring.base import FOOT, SPOT, recess_for
from mounts.kinds.ring.seat import EDGE, Layout, over_face, seat_at
from mounts.kinds.ring.tower import throats
from mounts.kinds.ring.values import Base, Seat, SpeakerScrew
from mounts.load.models.resolved import Aim, Job

SHOWN = 0.5  # mm: the seat's broken edge stands at least this far above the base
CLAMPED = 4.0  # mm: a through bolt clamps at least this much of the mount
UNDER_FLANGE = 0.5  # mm between a screw head and the flange above it

Bound = tuple[float, str]
Needed = tuple[str, Callable[[Frames], Array]]  # what sets it, and the height of the centre that it needs


def least_height(job: Job, layout: Layout, base: Base, screw: Fastening, aim: Aim) -> Bound:
    """Lowest height of the seat's centre at a tilt, rounded up to 0.1 mm, and what sets it."""
    seat = seat_at(job, layout, aim, 0.0)
    bounds = height_bounds(job, seat, base, screw)
    lowest, why = max(zip(bounds.of(Frames.of(seat.frame))[0].tolist(), bounds.why, strict=True))
    return rounded_up(lowest), why


def rounded_up(height: float) -> float:
    """The next tenth of a millimetre."""
    return ceil(height * 10 - 1e-6) / 10


def greatest_tilt(job: Job, layout: Layout, base: Base, screw: Fastening, height: float) -> float | None:
    """Greatest tilt at a height, rounded down to 0.1°, the direction as given; None when even a level seat fails."""

    def fits(tilt: float) -> bool:
        return least_height(job, layout, base, screw, replace(job.aim, tilt=tilt))[0] <= height

    if not fits(0.0):
        return None
    low, high = 0.0, 60.0
    for _ in range(12):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return int(low * 10) / 10


def height_of(job: Job, layout: Layout, base: Base, screw: Fastening) -> tuple[float, float]:
    """The seat's height that the job asks for, and the least at its tilt.

    Raises:
        InputError: when the height asked for is too low, with the nearest height and tilt that are not.
    """
    least, why = least_height(job, layout, base, screw, job.aim)
    if isinstance(job.height, str):
        return least, least
    if job.height < least:
        most = greatest_tilt(job, layout, base, screw, job.height)
        rest = f"greatest tilt at {job.height:g} is {most:g}" if most is not None else "no tilt at all fits under that"
        what = f"tilt {job.aim.tilt:g} needs a height of {least:g} ({why}); you gave {job.height:g}; {rest}"
        raise InputError(job.problem("height", what))
    return job.height, least


@dataclass(frozen=True, slots=True, eq=False)
class Bounds:
    """What keeps a seat up, wherever it is.

    Attributes:
        why: what sets each height.
        of: frames of n seats, their origins on the face → least heights of their centres, (n, len(why)); −inf where
            something sets none there.
    """

    why: tuple[str, ...]
    of: Callable[[Frames], Array]


def height_bounds(job: Job, seat: Seat, base: Base, screw: Fastening) -> Bounds:
    """Heights that each part of a seat asks for, wherever it is."""
    found = [*_rims(job, seat, base), *_pockets(job, seat, base, screw), *_heads(job, seat, base, screw)]

    def of(frames: Frames) -> Array:
        return np.stack([height(frames) for _, height in found], axis=-1)

    return Bounds(tuple(why for why, _ in found), of)


def _rims(job: Job, seat: Seat, base: Base) -> Iterator[Needed]:
    """The seat's edge, the band below it, and the straight part of the bore."""

    def edge(frames: Frames) -> Array:
        return base.thickness + EDGE + SHOWN + _hangs(seat.outline, 0.0, frames)

    def band(frames: Frames) -> Array:
        return FOOT + SHOWN + _hangs(seat.outline, seat.band, frames)

    def straight(frames: Frames) -> Array:
        return throats(base, seat, job.limits, frames) + 1.0 + _hangs(seat.bore, seat.straight, frames)

    yield "the seat's low edge above the base", edge
    yield "the wall beside the speaker's screws above the tower's foot", band
    yield "the bore's straight part above the face", straight


def _pockets(job: Job, seat: Seat, base: Base, screw: Fastening) -> Iterator[Needed]:
    floor = job.limits.floor
    for pocket in seat.screws:
        if pocket.nut:
            yield f"what the through bolt at speaker screw {pocket.name} clamps", partial(_clamped, pocket, seat)
            continue

        def under(frames: Frames, pocket: SpeakerScrew = pocket) -> Array:
            low = frames.out(np.array([*pocket.at, -pocket.depth]))
            below = _cut_into_back(job, base, screw, low[:, :2], pocket.hole / 2 + floor)
            return floor + below + pocket.hole / 2 * np.hypot(*frames.z[:, :2].T) - low[:, 2]

        yield f"the floor under speaker screw {pocket.name}", under


def _clamped(pocket: SpeakerScrew, seat: Seat, frames: Frames) -> Array:
    """Its nut bears at a level that the face sets, as far above that as it is high."""
    assert pocket.nut is not None
    own, there = (over_face(pocket.at, pocket.nut.diameter, where) for where in (Frames.of(seat.frame), frames))
    return CLAMPED + pocket.nut.bears - own + there


def _heads(job: Job, seat: Seat, base: Base, screw: Fastening) -> Iterator[Needed]:
    """Heights at which the flange clears the panel screws' heads that it covers."""
    top = base.thickness - SPOT + screw.stack + UNDER_FLANGE
    for name, at in job.panel.fixings.points.items():

        def over(frames: Frames, at: Point = at) -> Array:
            z = frames.z
            lean = np.hypot(z[:, 0], z[:, 1])
            flat = frames.into(np.array([*at, 0.0]))[:, :2]
            covered = depths(seat.flange, flat) > -screw.path / 2
            ahead = (np.array(at) - frames.origins[:, :2]) * z[:, :2]
            needed = top - seat.lift / z[:, 2] + (ahead.sum(axis=1) + lean * screw.path / 2) / z[:, 2]
            return np.where(covered, needed, -np.inf)

        yield f"the screw head at fixing {name} under the flange", over


def _hangs(outline: Outline, level: float, frames: Frames) -> Array:
    """How far below its seat's centre the lowest point of an outline lies that is `level` down the axis."""
    z = frames.z
    lean = np.hypot(z[:, 0], z[:, 1])
    hangs: Array = lean * supports(outline, np.degrees(np.arctan2(z[:, 1], z[:, 0]))) + level * z[:, 2]
    return hangs


def _cut_into_back(job: Job, base: Base, screw: Fastening, at: Array, reach: float) -> Array:
    """Depth of what is cut into the base's back within `reach` of places (n, 2)."""
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
