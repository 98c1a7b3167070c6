"""Laps of a split ring: at which level their tongues can meet, and their screws in the wall.

Walls round the screws of a ring's laps.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import asin, cos, degrees, hypot, isfinite, radians, sin

from mounts.design.fasteners import Joint, choose_sold_length, length_tolerance
from mounts.findings.wall import Wall
from mounts.geometry.frames import PANEL
from mounts.geometry.outline import Point
from mounts.identity import BACK, BORE, OUTSIDE, Ident, Role
from mounts.kinds.ring.halves.needs import LapNeeds, LapSite, outline_reach, pitch_of, seat_breadth
from mounts.kinds.ring.halves.values import Lap, LapScrew, Split
from mounts.kinds.ring.values import RingPlan
from mounts.kinds.ring.walls.closed_form import floor_distance
from mounts.kinds.ring.walls.rods import Rod, outside_distances, sheet_distances
from mounts.load.models.limits import Limits

LONG = 30.0  # mm over the seat that a head's room is followed
SUNK = 0.5  # mm, heads lie deeper than the seat by this
TIP = 0.5  # mm under the tip of a screw as long as its tolerance allows


def lap_walls(plan: RingPlan, split: Split, limits: Limits) -> Iterator[Wall]:
    """Yield every wall round the lap screws of a ring in two."""
    for lap in split.laps:
        for screw in lap.screws:
            yield from screw_walls(plan, screw, split.level, limits)
        for one, other in zip(lap.screws, lap.screws[1:], strict=False):
            apart = hypot(one.at[0] - other.at[0], one.at[1] - other.at[1]) - one.head
            names = (Ident(Role.LAP_SCREW, one.name), Ident(Role.LAP_SCREW, other.name))
            yield Wall("wall.lap-screws", names, apart, one.wall, "the fastener's own least wall", (*one.at, one.seat))


def screw_walls(plan: RingPlan, screw: LapScrew, level: float, limits: Limits) -> Iterator[Wall]:
    """Yield the walls round one screw, with the tongues meeting at a level."""
    name, at, own = (
        Ident(Role.LAP_SCREW, screw.name),
        (*screw.at, screw.seat),
        "the fastener's own least wall, and gasket land",
    )
    rods = (
        Rod(PANEL, screw.at, screw.head, screw.seat, plan.seat.frame.origin[2] + LONG),
        Rod(PANEL, screw.at, screw.clear, level, screw.seat),
        Rod(PANEL, screw.at, screw.thread, screw.bottom, level),
    )
    inner = min(sheet_distances(plan.tower.inside, rods))
    yield Wall("wall.lap-bore", (name, BORE), inner, screw.wall, own, at)
    u, v, _ = (float(value) for value in plan.seat.frame.into(at))
    rim = plan.seat.outline.depth((u, v)) - screw.head / 2
    head, *others = outside_distances(plan.tower, plan.base, rods)
    outer = min(rim, head)
    for rod, outside in zip(rods[1:], others, strict=True):
        outer = min(outer, max((screw.boss - rod.diameter) / 2, outside))
    yield Wall("wall.lap-outside", (name, OUTSIDE), outer, screw.wall, own, at)
    below = floor_distance(plan, PANEL, (*screw.at, screw.bottom), screw.thread)
    if isfinite(below):
        yield Wall("wall.lap-floor", (name, BACK), below, limits.floor, "floor under a pocket", at)


@dataclass(frozen=True, slots=True)
class LapPlace:
    """A direction with room for a lap.

    Attributes:
        angle: degrees counter-clockwise from +x.
        room: to the nearest thing beside the lap, mm.
        levels: layers at which its tongues may meet, so that each of its screws has a length.
        top: z that the lower of its heads bears on.
    """

    angle: float
    room: float
    levels: frozenset[int]
    top: float

    def stout(self, layer: int, thick: float) -> float:
        """Return the thickness of the thinner tongue when they meet at a layer, `thick` mm each."""
        return min(layer * thick, self.top - layer * thick)


def place_at(site: LapSite, angle: float, count: int, room: float) -> LapPlace | None:
    """Return the place for a lap in a direction; None where the ring is too narrow or too low for its screws."""
    job, plan, needs = site.job, site.plan, site.needs
    if seat_breadth(plan, angle) < needs.head + 2 * needs.wall:
        return None
    thick = job.printer.layer
    first, last = (int(z / thick) for z in (plan.base.thickness, plan.seat.frame.origin[2]))
    heads = [_under_head(site, at) for at in _places(site, angle, count)]
    levels = frozenset(
        layer
        for layer in range(first + 1, last + 1)
        if all(_screwed(needs, layer * thick, head, _floor(site), job.limits.roof) for head in heads)
    )
    return LapPlace(angle, room, levels, min(heads)) if levels else None


def lap_at(site: LapSite, level: float, angle: float, count: int) -> Lap | None:
    """Return the lap in a direction, its tongues meeting at a level; None where the wall is too thin for its screws."""
    screws = []
    for number, at in enumerate(_places(site, angle, count), start=1):
        screw = _screw_at(site, level, at, str(number))
        walls = _walls(site, screw, level)
        if screw and not _enough(walls):
            screw = _balanced(site, level, screw, walls)
            walls = _walls(site, screw, level)
        if screw is None or not _enough(walls):
            return None
        screws.append(screw)
    return Lap(angle, tuple(screws))


def _walls(site: LapSite, screw: LapScrew | None, level: float) -> tuple[Wall, ...]:
    return tuple(screw_walls(site.plan, screw, level, site.job.limits)) if screw else ()


def _enough(walls: Iterable[Wall]) -> bool:
    return all(wall.is_enough for wall in walls)


def _places(site: LapSite, angle: float, count: int) -> tuple[Point, ...]:
    """Return where the screws of a lap stand: in the middle of the wall, side by side."""
    middle = _between(site.plan, angle)
    if count == 1:
        return (middle,)
    half = degrees(asin(min(1.0, pitch_of(site) / 2 / hypot(*middle))))
    return (_between(site.plan, angle - half), _between(site.plan, angle + half))


def _under_head(site: LapSite, at: Point) -> float:
    """Return the z of the face that a lap screw's head bears on: sunk below the lowest of the seat round it."""
    (ox, oy, oz), (nx, ny, nz) = site.plan.seat.frame.origin, site.plan.seat.frame.z
    lowest = oz - (nx * (at[0] - ox) + ny * (at[1] - oy)) / nz - hypot(nx, ny) / nz * site.needs.head / 2
    return lowest - SUNK - site.needs.screw.head_height


def _floor(site: LapSite) -> float:
    """Return the lowest z of a pocket's end, mm."""
    base = site.plan.base
    return max((groove.depth for groove in (base.seal, base.bead) if groove), default=0.0) + site.job.limits.floor


def _screwed(needs: LapNeeds, level: float, under_head: float, floor: float, roof: float) -> tuple[float, float] | None:
    """Return the length of a lap's screw, and the thread that holds it, mm; None where no length fits."""
    clamped = under_head - (level - needs.gap / 2)
    if clamped < roof or level - needs.gap / 2 - needs.deep < floor:
        return None
    joint = Joint(clamped, needs.engages, needs.most, under_head - floor - TIP)
    length = choose_sold_length(joint, needs.screw.lengths)
    return None if length is None else (length, joint.engaged(length))


def _screw_at(site: LapSite, level: float, at: Point, name: str) -> LapScrew | None:
    needs, head, floor = site.needs, _under_head(site, at), _floor(site)
    found, boss = _screwed(needs, level, head, floor, site.job.limits.roof), needs.head + 2 * needs.wall
    if found is None or site.plan.base.outline.depth(at) < boss / 2:
        return None
    length, engaged = found
    bottom = max(floor, min(head - length - length_tolerance(length) - TIP, level - needs.gap / 2 - needs.deep))
    return LapScrew(name, at, needs.head, head, needs.clear, needs.thread, bottom, length, engaged, needs.wall, boss)


def _balanced(site: LapSite, level: float, screw: LapScrew, walls: Iterable[Wall]) -> LapScrew | None:
    """Return the screw moved so that its walls to the outside and to the bore are equal."""
    thick = {wall.code: wall.thickness for wall in walls}
    out = 1 + (thick["wall.lap-outside"] - thick["wall.lap-bore"]) / 2 / hypot(*screw.at)
    return _screw_at(site, level, (screw.at[0] * out, screw.at[1] * out), screw.name)


def _between(plan: RingPlan, angle: float) -> Point:
    """Return the point midway between the bore and the seat's edge, or the flange's room, in a direction."""
    seat = plan.seat
    x, y = cos(radians(angle)), sin(radians(angle))
    out = outline_reach(seat.bore, angle) + seat_breadth(plan, angle) / 2
    px, py, _ = (float(value) for value in seat.frame.out((out * x, out * y, 0.0)))
    return (px, py)
