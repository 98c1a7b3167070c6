"""Requirements of a lap on a ring: its screws, the room for their heads, its length.

Obstacles to a lap round a ring: fixings, speaker screws, terminals, wire, steps and label.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import cos, inf, radians, sin

import numpy as np

from mounts.design.fasteners import thread_diameter
from mounts.design.fits import resolve
from mounts.geometry.frames import Array
from mounts.geometry.outline import Outline
from mounts.kinds.ring.values import Fixing, RingPlan
from mounts.load.models.fits import Fits
from mounts.load.models.hardware import Screw
from mounts.load.models.job_kinds import RingJob
from mounts.load.models.limits import Limits
from mounts.load.models.spacer_file import FitWord

BESIDE_LABEL = 1.0  # mm from lettering
FIT: FitWord = "slide"  # how the tongues go together
USUAL = 30.0  # mm: about what a tongue is long and broad
CLEAR = 0.4  # mm: the hole in the upper tongue is wider than its screw, a medium clearance hole of ISO 273 for M3
HEAD = 0.5  # mm, room for the head wider than the head


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
    return outline_reach(plan.seat.let_in or plan.seat.outline, angle) - outline_reach(plan.seat.bore, angle)


def outline_reach(outline: Outline, angle: float) -> float:
    """Return how far an outline round the origin reaches in a direction, degrees counter-clockwise from +x."""
    x, y = cos(radians(angle)), sin(radians(angle))
    low, high = 0.0, max(outline.box[2:]) * 2
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if outline.depth((middle * x, middle * y)) > 0 else (low, middle)
    return low


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
