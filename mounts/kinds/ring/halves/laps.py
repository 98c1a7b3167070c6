"""Laps of a split ring: at which level their tongues can meet, and their screws in the wall.

Walls round the screws of a ring's laps.

Requirements of a lap on a ring: its screws, the room for their heads, its length.

Obstacles to a lap round a ring: fixings, speaker screws, terminals, wire, steps and label.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import asin, cos, degrees, hypot, inf, isfinite, radians, sin

import numpy as np

from mounts.design.fasteners import Joint, choose_sold_length, length_tolerance, thread_diameter
from mounts.design.fits import resolve
from mounts.findings.wall import Wall
from mounts.geometry.frames import PANEL, Array
from mounts.geometry.outline import Point
from mounts.identity import BACK, BORE, OUTSIDE, Ident, Role
from mounts.kinds.ring.halves.values import Lap, LapScrew, Split
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Fixing
from mounts.kinds.ring.values import RingPlan
from mounts.kinds.ring.walls.closed_form import floor_distance
from mounts.kinds.ring.walls.rods import Rod, outside_distances, sheet_distances
from mounts.load.models.hardware import Screw
from mounts.load.models.limits import Limits
from mounts.load.models.port import Fits, FitWord

BESIDE_LABEL = 1.0  # mm from lettering
FIT: FitWord = "slide"  # how the tongues go together
USUAL = 30.0  # mm: about what a tongue is long and broad
CLEAR = 0.4  # mm: the hole in the upper tongue is wider than its screw, a medium clearance hole of ISO 273 for M3
HEAD = 0.5  # mm, room for the head wider than the head
LONG = 30.0  # mm over the seat that a head's room is followed
SUNK = 0.5  # mm, heads lie deeper than the seat by this
TIP = 0.5  # mm under the tip of a screw as long as its tolerance allows


def lap_obstacles(plan: RingPlan, limits: Limits) -> Array:
    """Return every obstacle to a lap, (n, 3) float: x, y, and the distance to keep from there, mm."""
    rows = [*_fixed(plan.fixings, limits), *_seated(plan, limits)]
    if plan.wire:
        ahead = np.array(plan.wire.frame.z[:2])
        room = plan.wire.diameter / 2 + limits.wall_least
        rows += [(*(ahead * out), room) for out in np.linspace(plan.wire.length / 2, plan.wire.length, 20)]
    for step in plan.base.steps:
        rows += [(*point, limits.wall_least) for point in step.outline.points(1.0, least=8)]
    for label in plan.labels:
        for letter in label.letters:
            points = [span.start for solid, _ in letter.shapes for span in solid.spans]
            places = letter.frame.out(np.array([(*point, 0.0) for point in points]))
            rows += [(float(x), float(y), BESIDE_LABEL) for x, y, _ in places]
    return np.array(rows)


def obstacle_distance(crowd: Array, angle: float) -> float:
    """Return the distance along the ring from the middle of a lap to the nearest obstacle, mm."""
    x, y = cos(radians(angle)), sin(radians(angle))
    ahead = crowd[:, 0] * x + crowd[:, 1] * y > 0
    aside = np.abs(crowd[:, 1] * x - crowd[:, 0] * y) - crowd[:, 2]
    return float(aside[ahead].min(initial=inf))


def seat_breadth(plan: RingPlan, angle: float) -> float:
    """Return the breadth of the seat in a direction, mm, to its edge or to the room of a flange that is let in."""
    return (plan.seat.let_in or plan.seat.outline).reach(angle) - plan.seat.bore.reach(angle)


def _fixed(fixings: Sequence[Fixing], limits: Limits) -> Iterator[tuple[float, float, float]]:
    for one in fixings:
        back = one.recess.diameter if one.recess else one.hole
        yield (*one.at, max(one.path / 2 + limits.wall_least, back / 2 + limits.wall_least, limits.edge * one.hole))


def _seated(plan: RingPlan, limits: Limits) -> Iterator[tuple[float, float, float]]:
    seat = plan.seat
    discs = [(screw.at, screw.boss) for screw in seat.screws]
    discs += [(screw.at, screw.nut.diameter + 2 * limits.wall_least) for screw in seat.screws if screw.nut]
    discs += [(at, seat.stop) for at in seat.stops]
    for at, diameter in discs:
        for level in (0.0, -seat.band):  # a pocket leans with the seat
            x, y, _ = (float(value) for value in seat.frame.out((*at, level)))
            yield (x, y, diameter / 2)
    for relief in plan.terminals:
        in_wall = (point for point in relief.outline.points(0.5, least=8) if seat.bore.depth(point) < limits.wall_least)
        for point in in_wall:
            x, y, _ = (float(value) for value in seat.frame.out((*point, 0.0)))
            yield (x, y, limits.wall_least)


@dataclass(frozen=True, slots=True)
class LapNeeds:
    """Requirements of a lap, from the job alone.

    Attributes:
        screw: that holds it.
        thread, wall: pocket in the lower tongue, and least material round it.
        deep: least depth of the pocket.
        engages: least thread that must hold.
        most: thread that there can be; infinite for one that the screw forms.
        clear, head: diameters in the upper tongue.
        gap: on every face.
    """

    screw: Screw
    thread: float
    wall: float
    deep: float
    engages: float
    most: float
    clear: float
    head: float
    gap: float


@dataclass(frozen=True, slots=True)
class LapSite:
    """A whole ring and the requirements of its laps."""

    job: RingJob
    plan: RingPlan
    needs: LapNeeds


def needs_of(job: RingJob) -> LapNeeds | None:
    """Return the requirements of a job's laps; None where it has nothing to screw them with."""
    fixing = job.fix_halves
    if fixing is None or fixing.screw is None:
        return None
    growth = job.printer.growth(job.material.name)
    item, need = fixing.hardware, fixing.hardware.pocket(job.limits, growth)
    thread = item.thread_in(inf)
    return LapNeeds(
        screw=fixing.screw,
        thread=need.hole,
        wall=max(need.wall, job.limits.speaker_land),
        deep=need.depth if item.hot else 0.0,
        engages=thread.engages,
        most=thread.long,
        clear=thread_diameter(item.thread) + CLEAR + growth,
        head=fixing.screw.head_diameter + HEAD + growth,
        gap=resolve(FIT, USUAL, Fits(), job.printer).clearance / 2,
    )


def length_of(site: LapSite, count: int) -> float:
    """Return the length of a lap between tongue ends, mm: edge distances of the holes and the heads' pitch."""
    needs, limits = site.needs, site.job.limits
    return (count - 1) * pitch_of(site) + 2 * limits.edge * needs.clear + needs.gap


def pitch_of(site: LapSite) -> float:
    """Return the distance between the screws of a lap with two, mm."""
    return site.needs.head + site.job.limits.wall_least


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
    out = seat.bore.reach(angle) + seat_breadth(plan, angle) / 2
    px, py, _ = (float(value) for value in seat.frame.out((out * x, out * y, 0.0)))
    return (px, py)
