"""Back of the cup: open, or closed with a vent; and the outlet for the wire."""

from __future__ import annotations

from math import hypot, radians, sin

from mounts.errors import InputError
from mounts.geometry.frames import Frame, Vector, clock_vector
from mounts.geometry.outline import Point, rectangle
from mounts.kinds.cup.seat import reach_behind
from mounts.kinds.cup.values import Back, CupSeat, Notch, on_axis
from mounts.load.models.job_kinds import CupJob

BEHIND = 1.0  # mm that a closed back leaves behind the tweeter
VENT = 3.0  # mm: diameter of the vent
RIM = 1.0  # mm of bore between a notch and the seat
OUT = 60.0  # mm: a notch reaches outside at any rate
APART = 3.0  # mm between vent, wire's hole and the bore's wall


def bottom_of(job: CupJob, seat: CupSeat) -> float | None:
    """Return how far behind the seat a closed bore goes along the axis, mm; None for an open back."""
    if job.back == "open":
        return None
    deepest = max([job.speaker.depth, *(terminal.depth[1] for terminal in job.speaker.terminals)])
    return max(deepest + BEHIND, seat.grip)


def back_for(job: CupJob, seat: CupSeat, bottom: float | None, depth: float) -> Back | None:
    """Return the closed back with its vent in the middle and the wire's hole beside it; None for an open one."""
    if bottom is None:
        return None
    middle, vent = on_axis(seat.frame, -depth), job.vent or VENT
    wire = None
    if job.wire is not None:
        x, y = clock_vector(job.wire.at)
        out = seat.bore.box[2] - APART - job.wire.across / 2
        if out < (vent + job.wire.across) / 2 + APART / 2:
            most = seat.bore.box[2] - 1.5 * APART - vent / 2
            what = (
                f"a hole of {job.units(job.wire.across)} finds no room beside the vent of "
                f"{job.units(vent)}; {job.units(most, 1)} is the most"
            )
            raise InputError(job.problem("wire.across", what))
        wire = ((middle[0] + out * x, middle[1] + out * y), job.wire.across)
    rise = 2 * hypot(*seat.frame.z[:2]) * seat.bore.box[2]
    return Back(job.limits.floor, bottom, (middle, vent), wire, rise)


def notch_for(job: CupJob, seat: CupSeat, depth: float) -> Notch | None:
    """Return the wire's notch in the rim of an open back; None without one."""
    if job.wire is None or job.back == "closed":
        return None
    x, y = clock_vector(job.wire.at)
    at = on_axis(seat.frame, -depth)
    frame = Frame((at[0], at[1], -depth), (y, -x, 0.0), (x, y, 0.0))
    high = min(job.wire.across, seat.grip - RIM)
    if high < job.wire.across / 2:
        what = (
            f"a notch of {job.units(job.wire.across)} is wider than the rim is high; {job.units(2 * high, 1)} would go"
        )
        raise InputError(job.problem("wire.across", what))
    return Notch(frame, rectangle(job.wire.across, 2 * high, 0.9 * job.wire.across / 2), OUT)


def refuse_too_deep(job: CupJob, seat: CupSeat, depth: float) -> None:
    """Refuse a tweeter, or its cup, that is deeper than the room behind the face."""
    deep = max(reach_behind(job, seat.frame), depth)
    if deep <= job.panel.room:
        return
    who = "the cup" if depth >= deep else job.speaker.name
    over = deep - job.panel.room
    path = "height" if job.height != "best" else "panel.room"
    flat = deep - sin(radians(job.aim.tilt)) * job.speaker.flange.across
    less = f"; untilted it would reach about {job.units(flat, 1)}" if job.aim.tilt > 0 else ""
    what = (
        f"{who} reaches {job.units(deep, 1)} behind the face and the room is "
        f"{job.units(job.panel.room)}: {job.units(over, 1)} too much{less}"
    )
    raise InputError(
        job.problem(path, f"{what}; a tweeter {job.units(job.speaker.depth - over, 1)} deep would just go in")
    )


def axis_point(seat: CupSeat, level: float) -> Vector:
    """Return the point of the tweeter's axis at a level of the seat's frame, in the panel frame."""
    x, y, z = (float(v) for v in seat.frame.out((0.0, 0.0, level)))
    return (x, y, z)


def far_side(seat: CupSeat, level: float, radius: float) -> Vector:
    """Return the highest point of a disc about the axis, or the lowest for a negative radius."""
    lean = hypot(*seat.frame.z[:2])
    x, y, z = axis_point(seat, level)
    if lean == 0:
        return (x + radius, y, z)
    up: Point = (-seat.frame.z[0] / lean * seat.frame.z[2], -seat.frame.z[1] / lean * seat.frame.z[2])
    return (x + radius * up[0], y + radius * up[1], z + radius * lean)
