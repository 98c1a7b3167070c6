"""Walls of a cup that can be thin, as distances between its own surfaces."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from math import dist, hypot, inf

import numpy as np

from mounts.errors import InputError
from mounts.findings.report import PRACTICE
from mounts.findings.wall import Wall
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL, Array
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import Outline, circle, offset_outline
from mounts.identity import BORE, HUB, PLATE, Ident, Role
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.values import (
    BOTTOM,
    CUP_ROOM,
    FILLET,
    FIRST_LUG,
    FLOOR_PART,
    MOUTH,
    NUT_ROOM,
    Back,
    CupLevel,
    CupSeat,
    Fillet,
    Press,
    Stake,
    lean,
    on_axis,
    split_levels,
)
from mounts.shape.primitives import Section
from mounts.shape.sheet import Sheet, least_gap, over, under

GUIDES = "staking guides and print guides"
FAR, SMALL = 60.0, 0.01  # mm: beyond any cup, and as good as a point
LEANS = 0.75  # least cosine between a way and the normals of a wall, as on the mesh
EDGES = 0.7  # mm: broken edges at the front
LEAST_SCREW = "the screw maker's least wall"


@dataclass(frozen=True, slots=True)
class CupBody:
    """Material of a cup: what lies between air and air."""

    seat: CupSeat
    stakes: tuple[Stake, ...]
    levels: tuple[CupLevel, ...]
    fillet: Fillet
    depth: float
    back: Back | None


def cup_walls(job: CupJob, body: CupBody) -> tuple[Wall, ...]:
    """Return all walls, in the order of the report."""
    return (
        *_plate(job, body),
        *_wells(job, body),
        *_outside(job, body),
        *_screws(job, body),
        *_floor(job, body.seat, body.back, body.depth),
    )


def _plate(job: CupJob, body: CupBody) -> Iterator[Wall]:
    """Yield the walls of the plate: under each head, round each hole's mouth at the face, and between the wells."""
    limits, stakes, front = job.limits, body.stakes, body.levels[-1].outline
    for s in stakes:
        at = (*s.at, -s.seat)
        yield Wall("wall.seat", (_well(s), PLATE), s.seat, limits.plate_least, GUIDES, at)
        beside = float(depths(front, offset_outline(s.hole, MOUTH).points(0.01, least=8)).min())
        yield Wall("wall.pin-hole", (Ident(Role.HOLE, s.name), PLATE), beside, limits.cup_wall_least, PRACTICE, at)
    for one, other in combinations(stakes, 2):
        apart = dist(one.at, other.at) - (one.well + other.well) / 2
        names = (_well(one), _well(other))
        yield Wall("wall.wells", names, apart, limits.cup_web, PRACTICE, (*one.at, -one.seat))


def _well(stake: Stake) -> Ident:
    return Ident(Role.WELL, stake.name)


def _wells(job: CupJob, body: CupBody) -> Iterator[Wall]:
    """Yield the walls from each well and hole to the room for the flange and to the bore."""
    least, seat = job.limits.cup_web, body.seat
    for s in body.stakes:
        well, hole = Upright(circle(s.well, s.at), -body.depth, -s.seat), Upright(s.hole, -s.seat, 0.0)
        mouth = Upright(offset_outline(s.hole, MOUTH), -MOUTH, 0.0)
        for what, uprights in ((_well(s), (well,)), (Ident(Role.HOLE, s.name), (hole, mouth))):
            for name, inner, held in _inside(seat, body.depth):
                thick = min(prism_distance(upright, seat, inner, held) for upright in uprights)
                if name == NUT_ROOM and what.role is Role.HOLE:
                    thick = min(thick, prism_distance(mouth, seat, inner, held, end=True))
                if thick < inf:
                    yield Wall("wall.well", (what, name), thick, least, PRACTICE, (*s.at, uprights[0].high))


def _inside(seat: CupSeat, depth: float) -> list[tuple[Ident, Outline, tuple[float, float]]]:
    """Return what is cut along the tweeter's axis: identity, outline, and the levels between which it is cut."""
    found = [(CUP_ROOM, seat.room, (0.0, inf)), (BORE, seat.bore, (-inf, 0.0))]
    nut = seat.nut_room(depth)
    return found + ([(NUT_ROOM, nut, (-inf, -seat.grip))] if nut else [])


@dataclass(frozen=True, slots=True)
class Upright:
    """A prism along the panel's z."""

    outline: Outline
    low: float
    high: float


def prism_distance(
    upright: Upright, seat: CupSeat, inner: Outline, held: tuple[float, float], *, end: bool = False
) -> float:
    """Return the least distance of an upright prism's wall from a prism in the seat's frame, mm.

    It is measured at levels 0.2 mm apart, square to the seat's axis, since the nearest point of a prism without ends
    lies square to its axis. What lies beyond an end of it is measured aslant to its edge, but no more than along the
    normals of a wall.

    Args:
        upright: prism along the panel's z.
        seat: whose frame the other prism has.
        inner: its outline.
        held: lower and upper level of the other prism.
        end: whether a wall may run to an end of the other prism, as from a mouth, which is broken at 45 degrees.

    Returns:
        The distance; inf where the two do not pass each other.
    """
    levels = np.linspace(upright.low, upright.high, max(2, int((upright.high - upright.low) / 0.2) + 1))
    rim = np.array(upright.outline.points(5e-3, least=60))
    points = np.column_stack([np.repeat(rim, len(levels), axis=0), np.tile(levels, len(rim))])
    inside = seat.frame.into(points)
    aside, beyond = -depths(inner, inside[:, :2]), np.maximum(held[0] - inside[:, 2], inside[:, 2] - held[1])
    apart = np.hypot(np.maximum(aside, 0), np.maximum(beyond, 0))
    counts = (beyond if end else aside) >= LEANS * apart
    return float(np.where(counts, apart, np.where(beyond < 0, aside, inf)).min())


def _outside(job: CupJob, body: CupBody) -> Iterator[Wall]:
    """Yield the walls from room and bore to the outside."""
    least, seat = job.limits.cup_wall_least, body.seat
    sides, depth = _sides(body), PANEL.lifted(-body.depth)
    back = match_spans(circle(SMALL, on_axis(seat.frame, -body.depth)), body.levels[0].outline)
    under_room = {HUB: [Sheet(tuple(Section(depth, outline) for outline in back))]}  # all else goes through it
    within = (over(-body.depth - 2e-9), under(2e-9 - EDGES))  # behind the broken edge; cutters go on beyond it

    for name, inner in _cut_sheets(seat, body.back, body.depth):
        for side, sheets in sides.items():
            outer = [*sheets, *(under_room.get(side, ()) if name == CUP_ROOM else ())]
            thick = min(least_gap(one, sheet, within) for one in inner for sheet in outer)
            if (name, side) == (CUP_ROOM, HUB) and seat.press is not None:
                thick = min(thick, _over_keeper(seat, seat.press))
            if (name, side) == (NUT_ROOM, HUB):
                thick = min(thick, _nut_to_face(seat))
            if thick < inf:
                yield Wall("wall.cup", (name, side), thick, least, PRACTICE, _at(seat, seat.room))


def _cut_sheets(seat: CupSeat, back: Back | None, depth: float) -> Iterator[tuple[Ident, tuple[Sheet, ...]]]:
    """Yield what is cut along the tweeter's axis, each with its walls."""

    def along(low: float, high: float, outline: Outline, wider: Outline | None = None) -> Sheet:
        return Sheet((Section(seat.frame.lifted(low), outline), Section(seat.frame.lifted(high), wider or outline)))

    press, bore = seat.press, along(-FAR if back is None else FLOOR_PART - back.bottom, 0.0, seat.bore)
    floor = along(0.0, 0.0, *match_spans(seat.bore, seat.room))
    if press is None:
        yield CUP_ROOM, (floor, along(0.0, FAR, seat.room))
        yield BORE, (bore,)
    else:
        end = press.under + press.thick
        top = end + press.slope
        lip = (along(press.under, top, press.free), along(end, top, press.past, seat.room))
        yield CUP_ROOM, (floor, along(0.0, press.under, seat.room), *lip, along(top, FAR, seat.room))
        yield BORE, (Sheet(tuple(replace(section, outline=press.ribbed) for section in bore.sections)),)
    nut = seat.nut_room(depth)
    if nut is not None:
        ceiling = along(-seat.grip, -seat.grip, *match_spans(seat.bore, nut))
        yield NUT_ROOM, (ceiling, along(-FAR, -seat.grip, nut))


def _over_keeper(seat: CupSeat, press: Press) -> float:
    """Return the distance from the highest underside of lip or lugs to the plate's front, mm."""
    rim = np.array(seat.room.points(0.01, least=8))
    if press.lugs:  # they stand over a round flange only
        beside, each = np.linspace(-press.width / 2, press.width / 2, 25), 360 / press.lugs * np.arange(press.lugs)
        turns = np.radians(FIRST_LUG + beside + each[:, None]).ravel()
        rim = seat.room.box[2] * np.column_stack([np.cos(turns), np.sin(turns)])
    return -float(seat.frame.out(np.column_stack([rim, np.full(len(rim), press.under)]))[:, 2].max())


def _nut_to_face(seat: CupSeat) -> float:
    """Return the distance aslant from a nut's room to the plate's front beside the flange, mm; inf if none."""
    rim, z = np.array(seat.room.points(0.01, least=8)), seat.frame.axes[2]
    far = np.hypot(*rim.T)
    aside, above = np.maximum(far - (seat.nut or 0.0) / 2, 0), seat.grip - (seat.frame.origin[2] + rim @ z[:2]) / z[2]
    rise, apart = above * z[2] + aside * (rim @ z[:2]) / far, np.hypot(aside, above)
    return float(np.where(np.minimum(above, rise) >= LEANS * apart, apart, inf).min())


def _screws(job: CupJob, body: CupBody) -> Iterator[Wall]:
    """Yield the walls round each screw of the flange: to bore, wells, outside and back."""
    seat, depth = body.seat, body.depth
    sheets = [sheet for sheets in _sides(body).values() for sheet in sheets]
    for screw in seat.screws:
        name = Ident(Role.SCREW, screw.name, f"screw {screw.name}")
        at = _vector(seat.frame.out((*screw.at, 0.0)))
        to_bore = -float(seat.bore.depth(screw.at)) - screw.hole / 2
        yield Wall("wall.screw-bore", (name, BORE), to_bore, screw.wall, LEAST_SCREW, at)
        pocket, bottom = circle(screw.hole, screw.at), seat.frame.lifted(-screw.depth)
        low = float(bottom.out((*screw.at, 0.0))[2]) - lean(seat.frame) * screw.hole / 2
        floor = Sheet(tuple(Section(bottom, circle(across, screw.at)) for across in (screw.hole, screw.hole / 100)))
        below = min(low + depth, *(least_gap(sheet, floor) for sheet in sheets))
        yield Wall("wall.floor", (name, HUB), below, job.limits.floor, PRACTICE, at)
        sides = Sheet(tuple(Section(seat.frame.lifted(z), pocket) for z in (-screw.depth, 0.0)))
        outside = min(least_gap(sides, sheet, (under(-EDGES),)) for sheet in sheets)
        yield Wall(
            "wall.screw-outside",
            (name, Ident(Role.OUTSIDE, "hub", "hub side")),
            outside,
            job.limits.cup_web,
            PRACTICE,
            at,
        )
        for s in body.stakes:
            thick = prism_distance(Upright(circle(s.well, s.at), -depth, -s.seat), seat, pocket, (-screw.depth, 0.0))
            if thick < inf:
                yield Wall("wall.well", (_well(s), name), thick, job.limits.cup_web, PRACTICE, at)


def refuse_broken(job: CupJob, walls: tuple[Wall, ...]) -> None:
    """Refuse walls that are cut through; one that is only thinner than its limit is a finding."""
    broken = [wall for wall in walls if wall.thickness <= 0 and wall.code in ("wall.well", "wall.wells", "wall.cup")]
    problems = []
    for wall in broken:
        one, other = wall.between
        missing = wall.limit - wall.thickness
        what = f"the {one} breaks into the {other} by {job.units(-wall.thickness, 1)}"
        if one.role in (Role.WELL, Role.HOLE):
            pin, tweeter = job.units.at_least(missing), job.units.at_least(2 * missing)
            how = f"a pin {pin} further out would do, or a tweeter {tweeter} narrower, or seat_offset"
            problems.append(job.problem(f"panel.pins.{one.name}.at", f"{what}; {how}"))
        else:
            problems.append(job.problem("aim.tilt", f"{what}; tilt less, or give limits: {{cup_wall: …}}"))
    if problems:
        raise InputError(*problems)


def _sides(body: CupBody) -> dict[Ident, list[Sheet]]:
    """Return the outside as it is drawn: hub with plate, and the fillet, if there is one."""
    sheets = [
        Sheet(tuple(Section(PANEL.lifted(level.z), level.outline) for level in part))
        for part in split_levels(body.levels, body.fillet)
    ]
    return {HUB: sheets[:1] + sheets[2:]} | ({FILLET: [sheets[1]]} if sheets[1:] else {})


def _floor(job: CupJob, seat: CupSeat, back: Back | None, depth: float) -> Iterator[Wall]:
    if back is not None:
        half = max(hypot(*point) for point in seat.bore.points(0.01, least=8))
        low = seat.frame.origin[2] - back.bottom * seat.frame.z[2] - lean(seat.frame) * half
        yield Wall("wall.floor", (BOTTOM, HUB), low + depth, job.limits.floor, PRACTICE, (*back.vent[0], -depth))


def _at(seat: CupSeat, outline: Outline) -> tuple[float, float, float]:
    return _vector(seat.frame.out((outline.box[2], 0.0, 0.0)))


def _vector(values: Array) -> tuple[float, float, float]:
    x, y, z = (float(v) for v in values)
    return (x, y, z)
