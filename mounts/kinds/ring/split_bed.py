"""How a ring and its halves lie on a printer's bed, by the plan's outlines."""

from __future__ import annotations

import numpy as np

from mounts.geometry.boxes import TURNS
from mounts.geometry.frames import Array
from mounts.geometry.outline import Outline, Point
from mounts.kinds.ring.split_shape import across
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.resolved import Job


def seen(plan: RingPlan) -> Array:
    """Points (n, 2) of all outlines of a ring, seen from the front."""
    seat = plan.seat
    found = [_along(plan.base.outline)]
    for section in plan.tower.outside:
        local = _along(section.outline)
        found.append(section.frame.out(np.column_stack([local, np.zeros(len(local))]))[:, :2])
    inner = _along(seat.bore)
    found.append(seat.frame.out(np.column_stack([inner, np.zeros(len(inner))]))[:, :2])
    return np.concatenate(found)


def cut_in_two(points: Array, laps: tuple[float, float], long: float) -> tuple[Array, Array]:
    """Points of half a and of half b, each with its tongues."""
    (first, out_1), (last, out_2) = (_told(points, angle) for angle in laps)
    to_b = np.where(out_1 > out_2, first, -last)  # along the ring towards b, told by the nearer lap
    turned = (np.degrees(np.arctan2(points[:, 1], points[:, 0])) - laps[0]) % 360
    in_b = turned < (laps[1] - laps[0]) % 360
    near = np.abs(to_b) <= long / 2
    return points[~in_b | near], points[in_b | near]


def lies(job: Job, sizes: Array) -> tuple[float, Point]:
    """The turn that leaves most room on the printer's bed, and width and depth there."""
    width, depth, _ = job.printer.bed
    best = int(np.argmax(np.round(np.minimum(width - sizes[:, 0], depth - sizes[:, 1]), 3)))
    return float(TURNS[best]), (float(sizes[best, 0]), float(sizes[best, 1]))


def room_on(job: Job, sizes: Array) -> float:
    """Room that is left on the printer's bed at the best turn, mm, negative when there is none."""
    width, depth, _ = job.printer.bed
    return float(np.minimum(width - sizes[:, 0], depth - sizes[:, 1]).max())


def _told(points: Array, angle: float) -> tuple[Array, Array]:
    aside, out = across(angle, (points[:, 0], points[:, 1]))  # type: ignore[arg-type]
    return np.asarray(aside), np.asarray(out)


def _along(outline: Outline) -> Array:
    return np.array(outline.points(0.05, least=8))


def is_in_b(at: Point, laps: tuple[float, float]) -> bool:
    """Whether a place belongs to half b, which follows the first lap counter-clockwise."""
    turned = (np.degrees(np.arctan2(at[1], at[0])) - laps[0]) % 360
    return bool(turned < (laps[1] - laps[0]) % 360)
