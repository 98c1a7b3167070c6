"""Placement of a ring and of its halves on a printer's bed, by the plan's outlines.

Bounding boxes of points in the plane, turned step by step: how a part can lie on a bed.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array
from mounts.geometry.outline import Outline, Point
from mounts.geometry.ties import first_most
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job_kinds import RingJob

TURNS = np.arange(0.0, 180.0, 1.0)  # degrees, counter-clockwise
QUARTER = 90  # of them
FINE, COARSE = 0.5, 4.0  # mm between the points of an outline
SAME = 1e-3  # mm of room that two turns may differ by and still be as good as each other
WIDER = 40.0  # mm that a ring may reach beyond its fixings and flange: tab, lean and lands


def turned_box_sizes(points: Array) -> Array:
    """Return width and depth in mm of the bounding box of points (n, 2) turned by each of TURNS, (180, 2) float.

    >>> turned_box_sizes(np.array([[0.0, 0.0], [30.0, 10.0]]))[0]
    array([30., 10.])
    """
    return projected_box_sizes(project_turned(points))


def project_turned(points: Array) -> Array:
    """Return the places of points (n, 2) along the x axis, turned by −90 degrees and by each more to the last of TURNS.

    Returns:
        (270, n) float, mm. Turned by some degrees, x is told in that row, and y in that of a quarter turn less.
    """
    angle = np.radians(np.arange(-QUARTER, len(TURNS)))
    places: Array = np.column_stack([np.cos(angle), -np.sin(angle)]) @ points.T
    return places


def projected_box_sizes(places: Array, which: NDArray[np.bool_] | None = None) -> Array:
    """Return as `turned_box_sizes` from what `project_turned` gives, of some of the points (n,)."""
    some = places if which is None else places[:, which]
    across = some.max(axis=1) - some.min(axis=1)
    return np.stack([across[QUARTER:], across[: len(TURNS)]], axis=1)


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
