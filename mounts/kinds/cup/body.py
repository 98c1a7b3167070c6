"""Outside of the cup: the plate, and the hub behind it, which narrows no faster than a printer can follow."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, hypot, pi, radians, tan

from mounts.geometry.hull import hull, match_spans
from mounts.geometry.outline import Outline, Point, circle, offset_outline
from mounts.kinds.cup.stakes import PinHead
from mounts.kinds.cup.values import CupLevel, CupSeat, Stake, lean, on_axis
from mounts.load.models.job_kinds import CupJob

EDGE = 0.6  # mm: broken edge of the plate's front
STANDS = 0.3  # of the plate's area that stands on the bed; under a quarter a part wants a brim
SURE = 3.0  # degrees that the hub narrows less than the printer can
BED = 0.4  # mm: first-layer chamfer
SHARP = 2.0  # mm: least diameter of a corner
STRAIGHT = 0.4  # mm less than the plate, over which its side is upright
BELOW = 0.3  # mm under the room for the flange before the hub narrows
LEAST_HUB = 3.0  # mm that the back lies behind the plate


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
