"""How low a tilted seat can be: its low side must still hold pockets, floors, bore and the screw heads below it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil, cos, radians, sin, tan

from mounts.design.fasteners import Fastening
from mounts.errors import InputError
from mounts.geometry.distance import depths
from mounts.geometry.frames import angle_of, heading
from mounts.geometry.outline import Outline
from mounts.kinds.ring.base import FOOT, SPOT, recess_for
from mounts.kinds.ring.seat import EDGE, Layout, seat_at
from mounts.kinds.ring.tower import throat_of
from mounts.kinds.ring.values import Base, Seat
from mounts.load.models.resolved import Aim, Job

SHOWN = 0.5  # mm: the seat's broken edge stands at least this far above the base
CLAMPED = 4.0  # mm: a through bolt clamps at least this much of the mount
UNDER_FLANGE = 0.5  # mm between a screw head and the flange above it

Bound = tuple[float, str]


def least_height(job: Job, layout: Layout, base: Base, screw: Fastening, aim: Aim) -> Bound:
    """Lowest height of the seat's centre at a tilt, rounded up to 0.1 mm, and what sets it."""
    seat = seat_at(job, layout, aim, 0.0)
    lowest, why = max(_bounds(job, seat, base, screw))
    return ceil(lowest * 10 - 1e-6) / 10, why


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


def _bounds(job: Job, seat: Seat, base: Base, screw: Fastening) -> Iterator[Bound]:
    """Heights that each part of the seat asks for, told on a seat whose centre lies at height 0."""
    limits, lean = job.limits, sin(radians(seat.tilt))
    yield base.thickness + EDGE + SHOWN - _lowest(seat, seat.outline, 0.0), "the seat's low edge above the base"
    band = "the wall beside the speaker's screws above the tower's foot"
    yield FOOT + SHOWN - _lowest(seat, seat.outline, -seat.band), band
    throat = throat_of(base, seat, limits)
    yield throat + 1.0 - _lowest(seat, seat.bore, -seat.straight), "the bore's straight part above the face"
    for pocket in seat.screws:
        if pocket.nut:
            yield CLAMPED - pocket.depth, f"what the through bolt at speaker screw {pocket.name} clamps"
            continue
        x, y, z = (float(v) for v in seat.frame.out((*pocket.at, -pocket.depth)))
        below = _cut_into_back(job, base, screw, (x, y), pocket.hole / 2 + limits.floor)
        needed = limits.floor + below + pocket.hole / 2 * lean - z
        yield needed, f"the floor under speaker screw {pocket.name}"
    yield from _heads(job, seat, base, screw)


def _heads(job: Job, seat: Seat, base: Base, screw: Fastening) -> Iterator[Bound]:
    """Heights at which the flange clears the panel screws' heads that it covers."""
    top = base.thickness - SPOT + screw.stack + UNDER_FLANGE
    steep, (hx, hy) = tan(radians(seat.tilt)), heading(seat.toward)
    ox, oy = seat.frame.origin[:2]
    for name, (x, y) in job.panel.fixings.points.items():
        u, v, _ = (float(value) for value in seat.frame.into((x, y, 0.0)))
        if depths(seat.flange, [(u, v)])[0] > -screw.path / 2:
            ahead = (x - ox) * hx + (y - oy) * hy + screw.path / 2
            needed = top - seat.lift / cos(radians(seat.tilt)) + steep * ahead
            yield needed, f"the screw head at fixing {name} under the flange"


def _lowest(seat: Seat, outline: Outline, level: float) -> float:
    """z of the lowest point of an outline at a level of the seat's frame."""
    reach = outline.support(angle_of(seat.toward))
    return seat.frame.origin[2] - sin(radians(seat.tilt)) * reach + level * cos(radians(seat.tilt))


def _cut_into_back(job: Job, base: Base, screw: Fastening, at: tuple[float, float], reach: float) -> float:
    """Depth of what is cut into the base's back within `reach` of a place."""
    found = [0.0]
    for groove in (base.seal, base.bead):
        if groove and groove.outside.depth(at) > -reach and (not groove.inside or groove.inside.depth(at) < reach):
            found.append(groove.depth)
    found += [step.height for step in base.steps if step.outline.depth(at) > -reach]
    recess = recess_for(job, screw)
    for name, (x, y) in job.panel.fixings.points.items():
        if recess and ((x - at[0]) ** 2 + (y - at[1]) ** 2) ** 0.5 < recess.diameter / 2 + reach:
            found.append(recess.depth + job.panel.fixings.heights.get(name, 0.0))
    return max(found)
