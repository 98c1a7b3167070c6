"""Openings in the tower's wall: room for the terminals, and the wire's passage."""

from __future__ import annotations

from math import cos, hypot, radians

from mounts.design.body import terminal_block
from mounts.errors import InputError
from mounts.geometry.frames import Frame, clock_to_angle, clock_vector
from mounts.geometry.outline import rectangle
from mounts.geometry.planes import rim_point
from mounts.kinds.ring.values import Base, Relief, RingSeat, Tower, WirePassage
from mounts.load.models.job_kinds import RingJob
from mounts.shape.sheet import Sheet, least_on

CORNER = 2.0  # mm, rounding of a relief's corners: no notch for a crack to start from
UNDER_SEAT = 3.0  # mm of seat left above a relief, for the gasket to lie on
BARELY = 1e-3  # mm, rounding
AWAY = 2.0  # mm of tower left round a wire's passage


def terminal_reliefs(job: RingJob, seat: RingSeat, tower: Tower) -> tuple[Relief, ...]:
    """Return the room for each terminal that would come nearer to the bore's wall than its clearance."""
    clear, bore = job.limits.terminals, Sheet(tower.inside)
    found = []
    for terminal in job.speaker.terminals:
        if least_on(bore, terminal_block(terminal, seat.frame, seat.turn, seat.lift).to) >= clear - BARELY:
            continue
        turned = terminal.at + seat.turn
        reach, half = terminal.reach + clear, terminal.width / 2 + clear
        slot = rectangle(reach, 2 * half, CORNER).moved(reach / 2, 0).turned(clock_to_angle(turned))
        top = min(seat.lift - terminal.depth[0] + clear, -UNDER_SEAT)
        found.append(Relief(slot, top))
    return tuple(found)


def wire_passage(job: RingJob, seat: RingSeat, tower: Tower, base: Base) -> WirePassage | None:
    """Return the wire's passage through the tower's wall just above the base; None when the job wants none.

    Raises:
        InputError: where the tower is too low or a fixing stands in the way.
    """
    if job.wire is None:
        return None
    hx, hy = clock_vector(job.wire.at)
    x, y = rim_point(tower.foot, job.wire.at)
    u, v, _ = (float(value) for value in seat.frame.into((x, y, 0.0)))
    roof = seat.frame.origin[2] - (u * seat.frame.z[0] + v * seat.frame.z[1])
    room = roof - UNDER_SEAT / cos(radians(seat.tilt)) - base.thickness - AWAY / 2
    if job.wire.across > room:
        what = (
            f"a passage {job.units(job.wire.across)} across needs a wall that high; here "
            f"{job.units(max(0.0, room), 1)} are left"
        )
        raise InputError(job.problem("wire.across", f"{what}; take a smaller one, another clock, or a greater height"))
    z = base.thickness + AWAY / 2 + job.wire.across / 2
    for name, (fx, fy) in job.panel.fixings.points.items():
        aside, ahead = abs(fx * hy - fy * hx), fx * hx + fy * hy
        if ahead > 0 and aside < job.wire.across / 2 + AWAY:
            raise InputError(job.problem("wire.at", f"the passage would run into fixing {name}; take another clock"))
    frame = Frame((0.0, 0.0, z), (hy, -hx, 0.0), (hx, hy, 0.0))
    return WirePassage(frame, job.wire.across, hypot(x, y) + seat.outline.support(clock_to_angle(job.wire.at)))
