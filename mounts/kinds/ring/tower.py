"""Tower of the ring: ruled from a foot in the base to the tilted seat, with the bore ruled inside it."""

from __future__ import annotations

from math import ceil, cos, hypot, inf, radians, tan

import numpy as np

from mounts.design.body import body_rings
from mounts.design.fasteners import Fastening
from mounts.errors import InputError
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL, Array, Frames, clock_to_angle
from mounts.geometry.hull import hull, match_spans, rounded_intersection
from mounts.geometry.outline import Outline, Point, circle, offset_outline
from mounts.kinds.ring.base import FOOT
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Base, Collar, RingSeat, Tower
from mounts.kinds.ring.walls.rods import nut_rod, sheet_distances
from mounts.load.models.limits import Limits
from mounts.shape.primitives import Section
from mounts.shape.sheet import Sheet, least_gap, over

CORNER = 2.0  # mm, least rounding where opening and tower cut across each other
WIDER = 6  # times that the foot is widened where the bore's slope makes the wall thinner than it is wide


def tower_between(job: RingJob, fastening: Fastening, base: Base, seat: RingSeat, collar: Collar | None) -> Tower:
    """Return the tower between a base and a seat, its wall as thick as the limits want it."""
    limits = job.limits
    below = seat.frame.lifted(-seat.straight).origin
    bore = seat.bore.moved(below[0], below[1])
    mouth, throat = mouth_of(job, fastening, base, seat)
    inside = bore_between(seat, mouth, throat)
    thick, round_nuts = limits.wall, limits.wall_least
    for _ in range(WIDER + 1):
        foot = hull(
            [
                offset_outline(mouth, thick),
                offset_outline(bore, limits.wall),
                _under(job, seat),
                *_nuts(seat, round_nuts),
            ]
        )
        outside = _outside(seat, foot, collar)
        wall, beside = _wall(inside, outside, base.thickness), _beside_nuts(seat, outside, base.thickness)
        if wall >= limits.wall - 0.01 and beside >= limits.wall_least:
            break
        thick += _tenths(limits.wall - wall) if wall < limits.wall - 0.01 else 0.0
        round_nuts += _tenths(limits.wall_least - beside)
    return Tower(foot, mouth, throat, outside, inside, wall)


def mouth_of(job: RingJob, fastening: Fastening, base: Base, seat: RingSeat) -> tuple[Outline, float]:
    """Return the bore's outline at the face, and the height up to which it keeps it."""
    limits = job.limits
    below = seat.frame.lifted(-seat.straight).origin
    narrows = float(within_opening(base, seat, limits, Frames.of(seat.frame))[0]) < 0
    throat = throat_of(base, limits) if narrows else 0.0
    try:
        room = _room(job, fastening, seat, seat.bore.moved(below[0], below[1]), throat)
        return rounded_intersection(base.opening, room, CORNER), throat
    except ValueError as error:
        away = f"[{job.units(job.seat_offset[0])}, {job.units(job.seat_offset[1])}] puts the seat beside the opening"
        raise InputError(job.problem("seat_offset", f"{away}; give a smaller one")) from error


def throat_of(base: Base, limits: Limits) -> float:
    """Return the height up to which a bore that narrows to the opening keeps its mouth's outline, mm."""
    cut = max((groove.depth for groove in (base.seal, base.bead) if groove), default=0.0)
    return cut + limits.floor if cut else 0.0


def within_opening(base: Base, seat: RingSeat, limits: Limits, frames: Frames) -> Array:
    """Return by how much the straight bores of n seats lie within the opening less its lip, (n,) mm."""
    below = frames.origins[:, :2] - seat.straight * frames.z[:, :2]
    rim = np.array(seat.bore.points(0.1, least=8)) + below[:, None]
    inside: Array = depths(base.opening, rim.reshape(-1, 2)).reshape(len(below), -1).min(axis=1) - limits.lip
    return inside


def _room(job: RingJob, fastening: Fastening, seat: RingSeat, bore: Outline, throat: float) -> Outline:
    """Return how wide the bore may open to the rear at the flare's slope, clear of paths, recesses and bolts."""
    limits = job.limits
    below = seat.frame.lifted(-seat.straight)
    lean = hypot(*below.z[:2]) * seat.bore.support(clock_to_angle(seat.toward))
    deep = below.origin[2] - lean - throat  # on the low side, where the slope is steepest
    growth = deep * tan(radians(limits.flare)) if seat.frame.origin[2] > limits.flare_below else 0.0
    growth = max(growth, _round_body(job, seat, deep))
    for screw in seat.screws:
        if screw.nut:
            beside = -float(depths(bore, [_on_face(seat, screw.at)])[0])
            wall = limits.wall_least / cos(radians(limits.flare))  # measured square to the slope it is thinner
            growth = min(growth, beside - screw.nut.diameter / 2 / seat.frame.z[2] - wall)
    flared = offset_outline(bore, max(growth, 0.0))
    beside = max(fastening.path, fastening.proud[0] + limits.recess_across if fastening.proud else 0.0) / 2
    free = min(2 * (hypot(*at) - beside - limits.wall) for at in job.panel.fixings.points.values())
    clear = hull([bore, circle(free)]) if free > 0 else bore
    return rounded_intersection(flared, clear, CORNER)


def _round_body(job: RingJob, seat: RingSeat, deep: float) -> float:
    """Return how much wider the bore is at the face so that it clears a body that is fat behind the seat, mm a side.

    It is no more than the printer can lean in again towards the seat.
    """
    half, most = seat.bore.depth((0.0, 0.0)), deep * tan(radians(job.printer.overhang))
    behind = [(-level - seat.straight, across / 2) for level, across in body_rings(job.speaker, seat.lift)]
    wider = [(wide + job.limits.body - half) * deep / min(away, deep) for away, wide in behind if away > 0]
    return min(max(0.0, *wider, 0.0), max(most, 0.0))


def _on_face(seat: RingSeat, at: Point) -> Point:
    """Return where the line along the axis through a point of the seat meets the face."""
    x, y, z = (float(value) for value in seat.frame.out((*at, 0.0)))
    dx, dy, dz = seat.frame.z
    return (x - z * dx / dz, y - z * dy / dz)


def _under(job: RingJob, seat: RingSeat) -> Outline:
    """Return the seat's outline drawn in by what the printer can lean out again between foot and band."""
    band = seat.frame.lifted(-seat.band)
    lowest = band.origin[2] - hypot(*band.z[:2]) * seat.outline.support(clock_to_angle(seat.toward))
    lean = max(0.0, lowest - FOOT) * tan(radians(job.printer.overhang))
    least = min(arc.diameter for arc in seat.outline.arcs) / 2
    return offset_outline(seat.outline, -min(lean, least)).moved(band.origin[0], band.origin[1])


def _nuts(seat: RingSeat, wall: float) -> list[Outline]:
    """Return the discs of material round the nuts of through bolts, where they sit in the base."""
    found = []
    for screw in seat.screws:
        if screw.nut:
            x, y, _ = seat.frame.out((*screw.at, screw.nut.bears))
            found.append(circle(screw.nut.diameter + 2 * wall, (float(x), float(y))))
    return found


def _tenths(lack: float) -> float:
    """Return what is lacking, rounded up to 0.1 mm; 0 where nothing is."""
    return max(0.0, ceil(lack * 10 - 1e-6) / 10) if lack > -inf else 0.0


def _beside_nuts(seat: RingSeat, outside: tuple[Section, ...], top: float) -> float:
    """Return the least wall between those nuts and the outside above the base, mm; inf without nuts."""
    rods = [nut_rod(seat, screw.nut, screw.at) for screw in seat.screws if screw.nut]
    return min(sheet_distances(outside[:3], rods, top), default=inf)


def _outside(seat: RingSeat, foot: Outline, collar: Collar | None) -> tuple[Section, ...]:
    """Return the sections of foot, band and broken top edge; with a collar, on up to its rim."""
    places = [
        (PANEL.lifted(FOOT), foot),
        (seat.frame.lifted(-seat.band), seat.outline),
        (seat.frame.lifted(seat.rim - (0.0 if collar else seat.edge)), seat.outline),
        (collar.rim, collar.outside)
        if collar
        else (seat.frame.lifted(seat.rim), offset_outline(seat.outline, -seat.edge)),
    ]
    outlines = match_spans(*(outline for _, outline in places))
    return tuple(Section(frame, outline) for (frame, _), outline in zip(places, outlines, strict=True))


def bore_between(seat: RingSeat, mouth: Outline, throat: float) -> tuple[Section, ...]:
    """Return the sections of the bore: mouth and throat, where it becomes straight, and its top at the seat."""
    at_face, below, above = match_spans(mouth, seat.bore, seat.bore)
    upper = (Section(seat.frame.lifted(-seat.straight), below), Section(seat.frame, above))
    lower = (Section(PANEL, at_face), Section(PANEL.lifted(throat), at_face)) if throat else (Section(PANEL, at_face),)
    return (*lower, *upper)


def _wall(inside: tuple[Section, ...], outside: tuple[Section, ...], top: float) -> float:
    """Return the least wall between bore and outside above the base, mm."""
    return least_gap(Sheet(inside), Sheet(outside[:3]), (over(top),))
