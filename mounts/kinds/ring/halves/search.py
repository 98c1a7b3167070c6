"""Choice of the two laps of a split ring, so that both halves have room on the bed.

Placement of a ring and of its halves on a printer's bed, by the plan's outlines.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import islice
from math import ceil

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.bounding_boxes import TURNS, project_turned, projected_box_sizes, turned_box_sizes
from mounts.geometry.frames import Array, clock_to_angle
from mounts.geometry.outline import Outline, Point
from mounts.geometry.ties import first_most, step_of
from mounts.kinds.ring.halves.laps import (
    LapPlace,
    LapSite,
    lap_at,
    lap_obstacles,
    length_of,
    needs_of,
    obstacle_distance,
    place_at,
    seat_breadth,
)
from mounts.kinds.ring.halves.values import Lap, Split
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.values import RingPlan
from mounts.lengths import Units

FINE, COARSE = 0.5, 4.0  # mm between the points of an outline
SAME = 1e-3  # mm of room that two turns may differ by and still be as good as each other
WIDER = 40.0  # mm that a ring may reach beyond its fixings and flange: tab, lean and lands
STEP = 3.0  # degrees between the directions in which a lap is tried
LOPSIDED = 40.0  # degrees that the second lap may be off straight across from the first
ASKED = 20.0  # degrees that a lap may be from where the job wants it
ABOUT = 0.05  # mm by which a coarse outline may err
ALIKE = 2.0  # mm of room on the bed, or of a tongue's thickness, that count as alike
COUNTS = (2, 1)  # screws of a lap, as many as find room
TRIED = 40  # pairs of places that are looked into


def outline_points(plan: RingPlan, step: float = FINE) -> Array:
    """Return points of all outlines of a ring, about `step` mm apart, seen from the front.

    Returns:
        (n, 3) float: x, y, and 1 for points of the base, else 0.
    """
    base = _along(plan.base.outline, step)
    found = [np.column_stack([base, np.ones(len(base))])]
    for frame, outline in [(one.frame, one.outline) for one in plan.tower.outside] + [
        (plan.seat.frame, plan.seat.bore)
    ]:
        local = _along(outline, step)
        flat = frame.out(np.column_stack([local, np.zeros(len(local))]))[:, :2]
        found.append(np.column_stack([flat, np.zeros(len(flat))]))
    return np.concatenate(found)


def cut_in_two(points: Array, laps: tuple[float, float], long: float) -> tuple[Array, Array]:
    """Return the points (n, 2) of half a and of half b with their tongues: a's in the base, b's over it."""
    in_a, in_b = halves_of(points, laps, long)
    return points[in_a, :2], points[in_b, :2]


def halves_of(points: Array, laps: tuple[float, float], long: float) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return which of some points (n, 3) belong to half a, and which to half b; where tongues lie, both may."""
    (first, out_1), (last, out_2) = (_lap_coordinates(points, angle) for angle in laps)
    to_b = np.where(out_1 > out_2, first, -last)  # along the ring towards b, from the nearer lap
    turned = (np.degrees(np.arctan2(points[:, 1], points[:, 0])) - laps[0]) % 360
    in_b = turned < (laps[1] - laps[0]) % 360
    near = np.abs(to_b) <= long / 2 + FINE
    upper = near & (points[:, 2] == 0)
    return ~in_b | near, (in_b & ~near) | upper


def best_lie(job: RingJob, sizes: Array) -> tuple[float, Point]:
    """Return the turn that leaves most room on the printer's bed, degrees, and width and depth there."""
    best = first_most(rooms_on(job, sizes), SAME)
    return float(TURNS[best]), (float(sizes[best, 0]), float(sizes[best, 1]))


def room_on(job: RingJob, sizes: Array) -> float:
    """Return the room that is left on the printer's bed at the best turn, mm, negative when there is none."""
    return float(rooms_on(job, sizes).max())


def rooms_on(job: RingJob, sizes: Array) -> Array:
    """Return the room that is left on the printer's bed for each width and depth, (n,) mm."""
    width, depth, _ = job.printer.bed
    room: Array = np.minimum(width - sizes[:, 0], depth - sizes[:, 1])
    return room


def _lap_coordinates(points: Array, angle: float) -> tuple[Array, Array]:
    """Return the distances of points (n, 2) along the ring, counter-clockwise from a lap, and outward there."""
    x, y = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    return points[:, 1] * x - points[:, 0] * y, points[:, 0] * x + points[:, 1] * y


def _along(outline: Outline, step: float) -> Array:
    shares = [(span, np.arange(0.0, 1.0, min(1.0, step / max(span.length, step)))) for span in outline.spans]
    return np.array([span.at(float(share)) for span, held in shares for share in held])


def is_in_b(at: Point, laps: tuple[float, float]) -> bool:
    """Return whether a place belongs to half b, which follows the first lap counter-clockwise."""
    turned = (np.degrees(np.arctan2(at[1], at[0])) - laps[0]) % 360
    return bool(turned < (laps[1] - laps[0]) % 360)


def fits_by_far(job: RingJob) -> bool:
    """Return whether a ring goes on the bed with so much room that it need not be planned to know."""
    reach = [max(abs(x), abs(y)) for x, y in job.panel.fixings.points.values()]
    outlines = (job.panel.opening.outline(), job.speaker.flange.outline())
    reach += [max(map(abs, outline.box)) for outline in outlines]
    return 2 * (max(reach) + WIDER) <= min(job.printer.bed[:2])


@dataclass(frozen=True, slots=True)
class NoLaps:
    """Reason why a ring cannot be in two, and the key that could change it."""

    why: str
    key: str = "in_two"


@dataclass(frozen=True, slots=True)
class LapPair:
    """Two directions for laps.

    Attributes:
        one, other: degrees counter-clockwise from +x.
        level: z at which the tongues meet.
        stout: thickness of the thinnest tongue.
        beside: room to the nearest thing beside a lap.
        room: that is left on the bed, about, negative when there is none.
    """

    one: float
    other: float
    level: float
    stout: float
    beside: float
    room: float

    @property
    def rank(self) -> tuple[float, float, float, float]:
        """Sort key, lower is better: halves that go on the bed, then stout tongues, then room beside the laps."""
        lacks = ceil(-min(self.room + ABOUT, 0.0) / ALIKE - 1e-6)
        return (lacks, -step_of(self.stout, ALIKE), -step_of(self.beside, 1.0), -step_of(self.room, ABOUT))


def best_split(job: RingJob, plan: RingPlan) -> Split | NoLaps:
    """Return the best split of a whole ring: room on the bed, laps far from obstacles; or why there is none."""
    needs = needs_of(job)
    if needs is None:
        return NoLaps("nothing screws its halves together; give an insert or a pilot with its screw", "fix_halves")
    if plan.collar:
        return NoLaps("its collar is in the way of the screws", "collar")
    site, crowd, tried = LapSite(job, plan, needs), lap_obstacles(plan, job.limits), list[float]()
    spare: Split | None = None  # the best that does not go on the bed
    for count in COUNTS:
        long = length_of(site, count)
        rooms = {angle: obstacle_distance(crowd, angle) - long / 2 for angle in np.arange(0.0, 360.0, STEP).tolist()}
        free = {angle: room for angle, room in rooms.items() if room >= 0}
        places = [place for angle, room in free.items() if (place := place_at(site, angle, count, room))]
        tried += free
        lap = cache(partial(lap_at, site, count=count))
        for pair in islice(_pairs(site, long, places), TRIED):
            first, second = lap(pair.level, pair.one), lap(pair.level, pair.other)
            if first and second:
                split = _split(site, (first, _numbered(second, count)), pair.level, long)
                spare = split if spare is None or split_bed_room(job, split) >= 0 else spare
                break
        if spare is not None and split_bed_room(job, spare) >= 0:
            return spare
    return spare or NoLaps(_why_none(site, tried, job.units))


def _why_none(site: LapSite, free: Iterable[float], units: Units) -> str:
    """Return what keeps every lap from its place; `free` are the directions without obstacles."""
    broad = max((seat_breadth(site.plan, angle) for angle in free), default=None)
    needed = site.needs.head + 2 * site.needs.wall
    if broad is None:
        return (
            f"nowhere between its fixings, screws and label are {units(length_of(site, COUNTS[-1]), 1)} free for a lap"
        )
    if broad < needed:
        return (
            f"its seat is {units(broad, 1)} broad where a lap has room, and a screw with its "
            f"walls needs {units(needed, 1)}"
        )
    return "where laps have room it is too low for their screws, or its wall too thin; more height helps"


def _pairs(site: LapSite, long: float, places: Sequence[LapPlace]) -> list[LapPair]:
    """Return pairs of places for laps, the best first."""
    points = outline_points(site.plan, COARSE)
    places_turned = project_turned(points[:, :2])
    found = []
    for one in _first(site.job, places):
        for other in places:
            shared = one.levels & other.levels
            if shared and abs((other.angle - one.angle) % 360 - 180) <= LOPSIDED:
                halves = halves_of(points, (one.angle, other.angle), long)
                room = min(room_on(site.job, projected_box_sizes(places_turned, half)) for half in halves)
                found.append(_pair(site.job.printer.layer, one, other, shared, room))
    return sorted(found, key=lambda pair: pair.rank)


def _pair(thick: float, one: LapPlace, other: LapPlace, shared: Iterable[int], room: float) -> LapPair:
    """Return two places as a pair, their tongues meeting where the thinner is thickest."""
    stout, layer = max((min(one.stout(layer, thick), other.stout(layer, thick)), layer) for layer in shared)
    return LapPair(one.angle, other.angle, round(layer * thick, 6), stout, min(one.room, other.room), room)


def _first(job: RingJob, places: Sequence[LapPlace]) -> Sequence[LapPlace]:
    """Return the places where the first lap may be: anywhere, or near where the job wants it."""
    if isinstance(job.in_two, bool | str):
        return places
    wanted = clock_to_angle(job.in_two)
    return [place for place in places if abs((place.angle - wanted + 180) % 360 - 180) <= ASKED]


def _numbered(lap: Lap, after: int) -> Lap:
    screws = (replace(screw, name=str(after + number)) for number, screw in enumerate(lap.screws, start=1))
    return replace(lap, screws=tuple(screws))


def _split(site: LapSite, laps: tuple[Lap, Lap], level: float, long: float) -> Split:
    plan = site.plan
    angles = (laps[0].angle, laps[1].angle)
    lying = [best_lie(site.job, turned_box_sizes(half)) for half in cut_in_two(outline_points(plan), angles, long)]
    in_b = sum(is_in_b(fixing.at, angles) for fixing in plan.fixings)
    in_b += sum(is_in_b(screw.at, angles) for screw in plan.seat.screws if screw.nut)
    in_b += plan.wire is not None and is_in_b((plan.wire.frame.z[0], plan.wire.frame.z[1]), angles)
    through = sum(len(lap.screws) for lap in laps)
    genus = (plan.genus - 1 - in_b, in_b + through, plan.genus)
    turns, sizes = (lying[0][0], lying[1][0]), (lying[0][1], lying[1][1])
    return Split(laps, level, long, site.needs.gap, genus, turns, sizes)


def split_bed_room(job: RingJob, split: Split) -> float:
    """Return the room that the tighter of two halves leaves on the printer's bed, mm, negative when there is none."""
    width, depth, _ = job.printer.bed
    return min(min(width - x, depth - y) for x, y in split.sizes)
