"""Choice of the two laps of a split ring, so that both halves have room on the bed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import islice
from math import ceil

import numpy as np

from mounts.geometry.frames import clock_to_angle
from mounts.geometry.ties import step_of
from mounts.kinds.ring.halves.bed import (
    COARSE,
    best_lie,
    cut_in_two,
    halves_of,
    is_in_b,
    outline_points,
    project_turned,
    projected_box_sizes,
    room_on,
    turned_box_sizes,
)
from mounts.kinds.ring.halves.laps import LapPlace, lap_at, place_at
from mounts.kinds.ring.halves.needs import LapSite, lap_obstacles, length_of, needs_of, obstacle_distance, seat_breadth
from mounts.kinds.ring.halves.values import Lap, Split
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job_kinds import RingJob

STEP = 3.0  # degrees between the directions in which a lap is tried
LOPSIDED = 40.0  # degrees that the second lap may be off straight across from the first
ASKED = 20.0  # degrees that a lap may be from where the job wants it
ABOUT = 0.05  # mm by which a coarse outline may err
ALIKE = 2.0  # mm of room on the bed, or of a tongue's thickness, that count as alike
COUNTS = (2, 1)  # screws of a lap, as many as find room
TRIED = 40  # pairs of places that are looked into


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
    return spare or NoLaps(_why_none(site, tried))


def _why_none(site: LapSite, free: Iterable[float]) -> str:
    """Return what keeps every lap from its place; `free` are the directions without obstacles."""
    broad = max((seat_breadth(site.plan, angle) for angle in free), default=None)
    needed = site.needs.head + 2 * site.needs.wall
    if broad is None:
        return f"nowhere between its fixings, screws and label are {length_of(site, COUNTS[-1]):.1f} free for a lap"
    if broad < needed:
        return f"its seat is {broad:.1f} broad where a lap has room, and a screw with its walls needs {needed:.1f}"
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
