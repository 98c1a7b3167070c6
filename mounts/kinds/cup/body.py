"""Outside of the cup: the plate, and the hub behind it, which narrows no faster than a printer can follow.

Back of the cup: open, or closed with a vent; and the outlet for the wire.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, hypot, pi, radians, sin, tan

from mounts.errors import InputError
from mounts.geometry.frames import Frame, Vector, clock_vector
from mounts.geometry.hull import hull, match_spans
from mounts.geometry.outline import Outline, Point, circle, offset_outline, rectangle
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.seat import reach_behind
from mounts.kinds.cup.stakes import PinHead
from mounts.kinds.cup.values import Back, CupLevel, CupSeat, Notch, Stake, lean, on_axis

BEHIND = 1.0  # mm that a closed back leaves behind the tweeter
VENT = 3.0  # mm: diameter of the vent
RIM = 1.0  # mm of bore between a notch and the seat
OUT = 60.0  # mm: a notch reaches outside at any rate
APART = 3.0  # mm between vent, wire's hole and the bore's wall
EDGE = 0.6  # mm: broken edge of the plate's front
STANDS = 0.3  # of the plate's area that stands on the bed; under a quarter a part wants a brim
SURE = 3.0  # degrees that the hub narrows less than the printer can
BED = 0.4  # mm: first-layer chamfer
SHARP = 2.0  # mm: least diameter of a corner
STRAIGHT = 0.4  # mm less than the plate, over which its side is upright
BELOW = 0.3  # mm under the room for the flange before the hub narrows
LEAST_HUB = 3.0  # mm that the back lies behind the plate


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
        most = job.units(2 * high, 1)
        what = f"a notch of {job.units(job.wire.across)} is wider than the rim is high; give {most} at most"
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


def level_extent(outline: Outline, frame_lean: float, upright: float) -> float:
    """Return the diameter of a level circle that holds the level section of a leaning prism, mm."""
    across = 2 * max(hypot(*point) for point in outline.points(0.01, least=8))
    return across / upright if frame_lean > 0 else across


def seat_extent(seat: CupSeat, outline: Outline) -> float:
    """Return `extent` of an outline in a seat's frame, mm."""
    return level_extent(outline, lean(seat.frame), seat.frame.z[2])


def lowest_z(seat: CupSeat, outline: Outline, level: float) -> float:
    """Return the lowest z of an outline at a level of the seat's frame, mm."""
    return (
        seat.frame.origin[2]
        + level * seat.frame.z[2]
        - lean(seat.frame) * max(hypot(*point) for point in outline.points(0.01, least=8))
    )


def back_depth(job: CupJob, seat: CupSeat, thickness: float, bottom: float | None) -> float:
    """Return the depth of the back behind the face, mm, in whole layers."""
    widest = circle(seat.nut) if seat.nut else seat.bore
    deep = [-lowest_z(seat, widest, -seat.grip), thickness + LEAST_HUB]
    deep += [-lowest_z(seat, _round(screw.at, screw.hole), -seat.grip) for screw in seat.screws]
    if bottom is not None:
        deep.append(-lowest_z(seat, seat.bore, -bottom) + job.limits.floor)
    layer = job.printer.layer
    return ceil(max(deep) / layer - 1e-6) * layer


def _round(at: Point, hole: float) -> Outline:
    return circle(2 * (hypot(*at) + hole / 2))


def plate_thickness(seats: dict[str, PinHead]) -> float:
    """Return the plate's thickness, mm: that under its thickest head."""
    return max(one.seat for one in seats.values())


def cup_levels(
    job: CupJob, seat: CupSeat, stakes: Sequence[Stake], thickness: float, depth: float
) -> tuple[CupLevel, ...]:
    """Return the levels of the outside from the back to the front, matched span to span."""
    wall, slope = 2 * job.limits.cup_wall, tan(radians(job.printer.overhang - SURE))
    top, low = -(thickness - STRAIGHT), lowest_z(seat, seat.room, 0.0) - BELOW
    # the hub may narrow only where room for the flange ends and there is something left to narrow
    waist = min(low, top - STRAIGHT)
    waist = max(waist, -depth + BED + STRAIGHT)
    room = seat_extent(seat, seat.room) + wall
    plate = hull(
        [
            *(circle(across, at) for at, across in (s.corner for s in stakes)),
            circle(room, on_axis(seat.frame, 0.0)),
            circle(room, on_axis(seat.frame, top)),
        ]
    )
    inner = seat_extent(seat, circle(seat.nut) if seat.nut else seat.bore) + wall
    wide = max(room, inner) if seat.nut else room
    at_waist = _narrowed(seat, stakes, waist, (top - waist) * slope, [circle(wide, on_axis(seat.frame, waist))])
    bosses, waists = (
        [_boss(seat, screw.at, screw.hole + 2 * screw.wall, z) for screw in seat.screws] for z in (-depth, waist)
    )
    stands = (seat_extent(seat, seat.bore) ** 2 + 4 / pi * STANDS * plate.area) ** 0.5
    narrow = max(inner, room - 2 * (waist + depth) * slope, min(stands, room))
    last = [circle(narrow, on_axis(seat.frame, -depth)), *bosses]
    at_back = _narrowed(seat, stakes, -depth, (top + depth) * slope, last)
    at_waist = hull([at_waist, *waists])
    plate = hull([plate, at_waist, at_back])  # nothing behind it stands out beyond it
    outlines = match_spans(offset_outline(at_back, -BED), at_back, at_waist, plate, plate, offset_outline(plate, -EDGE))
    heights = (-depth, -depth + BED, waist, top, -EDGE, 0.0)
    return tuple(CupLevel(z, outline) for z, outline in zip(heights, outlines, strict=True))


def _boss(seat: CupSeat, at: Point, across: float, z: float) -> Outline:
    """Return a level disc round a screw's boss at height `z`."""
    centre = seat.frame.shifted(*at)
    return circle(across / seat.frame.z[2], on_axis(centre, z))


def _narrowed(seat: CupSeat, stakes: Sequence[Stake], z: float, by: float, members: list[Outline]) -> Outline:
    """Return the hull of the plate's discs, moved `by` mm towards the axis, and the given members."""
    middle = on_axis(seat.frame, z)
    discs = []
    for stake in stakes:
        (x, y), across = stake.corner
        less = min(by, (across - SHARP) / 2)
        away = hypot(x - middle[0], y - middle[1])
        share = max(0.0, 1 - (by - less) / away) if away > 1e-9 else 0.0
        at = (middle[0] + share * (x - middle[0]), middle[1] + share * (y - middle[1]))
        discs.append(circle(across - 2 * less, at))
    return hull([*discs, *members])
