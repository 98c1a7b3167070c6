"""Collar of the ring: a wall from the seat up to the trim that carries the front wave to the grille."""

from __future__ import annotations

import numpy as np

from mounts.design.measured_planes import trim_plane
from mounts.errors import InputError
from mounts.geometry.frames import Frame
from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline, offset_outline
from mounts.geometry.planes import Plane, disc_gap_below
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Collar, RingSeat

UNSHADED = 1.0  # mm: the collar stays this far outside the trim's opening, so that it throws no shadow on the cone


def collar_for(job: RingJob, seat: RingSeat) -> Collar | None:
    """Return the collar that a job asks for; None when it asks for none.

    Raises:
        InputError: when the trim or its opening was not measured, or lies too low to leave a wall before the flange.
    """
    if not job.collar:
        return None
    front = job.panel.in_front
    if front is None or front.trim is None or front.trim.opening is None:
        need = "a collar needs the trim's height and opening; give in_front: {trim: {at_clock: …, opening: {round: …}}}"
        raise InputError(job.problem("panel.in_front", need))
    opening = front.trim.opening.outline()
    gap, plane = _foam_gap(job), rim_plane(job)
    assert plane is not None
    rim = plane.frame(*front.trim.at)
    top = seat.frame.lifted(seat.rim)
    room, _ = disc_gap_below(plane, top.origin, top.z, seat_diameter(seat))
    if room < seat.edge:
        need = f"the collar's rim needs {job.units(seat.edge - room, 1)} more in front of the flange"
        instead = f"lower height by {job.units(seat.edge - room, 1)}, or take less tilt, or leave out the collar"
        raise InputError(job.problem("collar", f"{need}: {instead}"))
    assert seat.let_in is not None
    inside = hull([offset_outline(opening, UNSHADED), _through(seat.let_in, seat.frame, rim)])
    return Collar(rim, inside, offset_outline(inside, job.limits.wall_least), gap)


def rim_plane(job: RingJob) -> Plane | None:
    """Return the plane of the collar's rim: the trim's, moved away for the foam; None where no trim was measured."""
    trim = trim_plane(job.panel)
    return trim and trim.moved(-_foam_gap(job) / trim.normal[2])


def seat_diameter(seat: RingSeat) -> float:
    """Return the diameter of the circle about the seat's axis that holds its outline, mm."""
    return 2 * max(seat.outline.support(angle) for angle in range(0, 360, 5))


def _foam_gap(job: RingJob) -> float:
    """Return the gap from rim to trim, mm: the foam half way between its limits, or the room without foam."""
    foam = job.gaskets.trim
    if foam is None:
        return job.limits.front
    return foam.thickness * (1 - (job.limits.foam_least_pct + job.limits.foam_most_pct) / 200)


def _through(let_in: Outline, seat: Frame, rim: Frame) -> Outline:
    """Return the flange's room, swept along the speaker's axis to the rim's plane, so that it goes in straight."""
    axis, normal, origin = np.asarray(seat.z), np.asarray(rim.z), np.asarray(seat.origin)
    steep = float(axis @ normal)
    meets = origin + axis * float((np.asarray(rim.origin) - origin) @ normal) / steep
    u, v, _ = rim.into(meets)
    reach = max(let_in.support(angle) for angle in range(0, 360, 5))
    return offset_outline(let_in, reach * (1 / steep - 1)).moved(float(u), float(v))
