"""Ring in two halves: whether it must be split, the plan of each half, and how they lie on the bed."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, radians

import numpy as np

from mounts.design.lettering import slug
from mounts.errors import InputError, MountsError
from mounts.findings.report import AS_BUILT, Pose
from mounts.geometry.bounding_boxes import turned_box_sizes
from mounts.kinds.remembered import remembered
from mounts.kinds.ring.halves.laps import lap_walls
from mounts.kinds.ring.halves.search import (
    NoLaps,
    best_lie,
    best_split,
    fits_by_far,
    outline_points,
    room_on,
    split_bed_room,
)
from mounts.kinds.ring.halves.values import Split
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.values import RingPlan


def plan_part(job: RingJob) -> RingPlan:
    """Plan a ring, or one half of it, which the whole ring's plan decides.

    Raises:
        InputError: as `plan_ring`; and when a half is asked for and the ring has no room for laps.
    """
    whole = replace(job, half="")
    plan = plan_ring(whole)
    if not job.half:
        return plan
    split = _split_of(whole)
    if isinstance(split, NoLaps):
        x, y = best_lie(job, turned_box_sizes(outline_points(plan)[:, :2]))[1]
        larger = f"in one it needs a bed of {ceil(x)} × {ceil(y)}: take a larger printer"
        told = f"it cannot be made in two: {split.why}; {', or '.join(filter(None, (larger, _instead(job, split))))}"
        raise InputError(job.problem(split.key, told))
    return replace(
        plan,
        name=slug(f"{job.name}-{job.part}"),
        walls=(*plan.walls, *lap_walls(plan, split, job.limits)),
        genus=split.genus[0 if job.half == "a" else 1],
        split=split,
        half=job.half,
    )


@remembered(2)  # of both sides: it is asked for whether there are halves, and for each of them
def _split_of(whole: RingJob) -> Split | NoLaps:
    """Return the best split of a whole ring, or why there is none."""
    return best_split(whole, plan_ring(whole))


def parts_of(job: RingJob) -> tuple[RingJob, ...]:
    """Return the job of a ring, or of its two halves where it asks for them or only they go on the bed."""
    if job.half or job.in_two is False or (job.in_two == "as needed" and fits_by_far(job)):
        return (job,)
    halves = (replace(job, half="a"), replace(job, half="b"))
    if job.in_two != "as needed":
        return halves
    try:
        plan = plan_ring(job)
    except MountsError:
        return (job,)  # it is reported when the part is made
    if room_on(job, turned_box_sizes(outline_points(plan)[:, :2])) >= 0:
        return (job,)
    split = _split_of(job)
    return halves if not isinstance(split, NoLaps) and split_bed_room(job, split) >= 0 else (job,)


def half_pose(plan: RingPlan) -> Pose:
    """Return the print pose of a ring; a half is turned about z so that it lies best on the bed."""
    if plan.split is None:
        return AS_BUILT
    turn = radians(plan.split.turns[0 if plan.half == "a" else 1])
    x, y = float(np.cos(turn)), float(np.sin(turn))
    return ((x, -y, 0.0, 0.0), (y, x, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))


def split_advice(job: RingJob, plan: RingPlan) -> str:
    """Return advice for a ring too large for its bed, where two halves do not help or were not wanted.

    It is empty where the ring is only too high, which its halves are as well.
    """
    if plan.split is not None or job.half or room_on(job, turned_box_sizes(outline_points(plan)[:, :2])) >= 0:
        return ""
    split = best_split(job, plan)
    if isinstance(split, NoLaps):
        return "; ".join(filter(None, (f"it cannot be made in two: {split.why}", _instead(job, split))))
    if split_bed_room(job, split) >= 0:
        return "in two halves it fits: leave in_two out, or give in_two: true"
    return f"in two halves it goes on a bed of {_bed_of(split)}"


def _instead(job: RingJob, why: NoLaps) -> str:
    """Return what else can be done with a ring that its collar keeps in one, besides a larger printer."""
    if why.key != "collar":
        return ""
    cut = "have a level ring without a collar cut from sheet (make: cut)"
    bare = replace(job, collar=False, gaskets=job.gaskets.model_copy(update={"trim": None}))
    try:
        split = best_split(bare, plan_ring(bare))
    except MountsError:
        return cut
    if isinstance(split, NoLaps):
        return cut
    bed = f"a bed of {_bed_of(split)}" if split_bed_room(job, split) < 0 else "this bed"
    return f"give collar: false, with which it comes in two halves on {bed}, or {cut}"


def _bed_of(split: Split) -> str:
    """Return the size of the bed on which either half goes, in words."""
    x, y = (max(sides) for sides in zip(*split.sizes, strict=True))
    return f"{ceil(x)} × {ceil(y)}"
