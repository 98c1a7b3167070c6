"""Obstacles to a lap round a ring: fixings, speaker screws, terminals, wire, steps and label."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, inf, radians, sin

import numpy as np

from mounts.geometry.frames import Array
from mounts.kinds.ring.values import Fixing, RingPlan
from mounts.load.models.limits import Limits

BESIDE_LABEL = 1.0  # mm from lettering


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
