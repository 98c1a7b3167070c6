"""Clearances of the tweeter in its cup and of both behind the panel, in closed form or on exact points."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np

from mounts.design.body import Least, body_rings, body_sheet, least_on_body, least_on_lid
from mounts.design.measured_planes import things_standing
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL, Array
from mounts.geometry.planes import plate_distances
from mounts.geometry.ties import first_least_rows
from mounts.identity import BODY, BORE, CUP, REAR_FACE, ROOM_END, TWEETER, Role, called
from mounts.kinds.cup.body import far_side
from mounts.kinds.cup.job import CupJob
from mounts.kinds.cup.seat import FrontDisc, disc_outline, front_discs, grille_aperture, reach_behind
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.cup.way import way_gaps
from mounts.load.models.pins import Standing
from mounts.shape.primitives import Section
from mounts.shape.sheet import Sheet, least_gap, over


def cup_gaps(job: CupJob, plan: CupPlan) -> Iterator[Gap]:
    """Yield every clearance of a cup."""
    yield from _front(job, plan)
    yield from _behind(job, plan)
    yield from _standing(job, plan)
    yield from _bore(job, plan)
    yield from way_gaps(job, plan)


def _front(job: CupJob, plan: CupPlan) -> Iterator[Gap]:
    """Yield the clearances of flange, surround and dome to grille or rear face.

    Limits are those of a trim, which is measured as roughly.
    """
    sd = job.uncertainty("in_front")
    for front in front_discs(job, plan.seat.flange):
        gap, at = _before(job, plan, front)
        names = (front.ident, front.before)
        yield Gap("clear.grille", names, gap, front.limit, front.limit, PRACTICE, at, "panel.grille", sd)


def _before(job: CupJob, plan: CupPlan, front: FrontDisc) -> Least:
    """Return the least distance of a disc to what it looks at, and its place; the rear face ends at the aperture."""
    hole = grille_aperture(job) if front.before == REAR_FACE else None
    cost = partial(plate_distances, PANEL.lifted(front.plane), hole)
    return least_on_lid(plan.seat.frame.lifted(front.over), disc_outline(plan.seat, front), cost)


def _behind(job: CupJob, plan: CupPlan) -> Iterator[Gap]:
    """Yield the clearances of tweeter and cup to the end of the room behind."""
    sd, limit, room = job.uncertainty("behind"), job.limits.fixed, job.panel.room
    at = far_side(plan.seat, -job.speaker.depth, -body_rings(job.speaker, 0.0)[-1][1] / 2)
    deep = reach_behind(job, plan.seat.frame)
    yield Gap("clear.room", (TWEETER, ROOM_END), room - deep, limit, limit, PRACTICE, at, "panel.room", sd)
    back = (plan.levels[0].outline.box[2], 0.0, -plan.depth)
    yield Gap("clear.room", (CUP, ROOM_END), room - plan.depth, limit, limit, PRACTICE, back, "panel.room", sd)
    for stake in plan.stakes:
        yield Gap(
            "clear.room", (stake.pin_head, ROOM_END), room - stake.seat - stake.head.height,
            limit, limit, PRACTICE, (*stake.at, -stake.seat - stake.head.height), "panel.room", sd,
        )  # fmt: skip


def _standing(job: CupJob, plan: CupPlan) -> Iterator[Gap]:
    """Yield the clearances of the plate to ribs and stops on the face, which lie in its own plane."""
    sd, limit = job.uncertainty("holes"), job.limits.body_near_seat
    for index, (ident, thing) in enumerate(things_standing(job.panel)):
        gap, at = plate_distance(plan, thing)
        reading = f"panel.standing.{index}"
        yield Gap("clear.standing", (CUP, ident), gap, limit, limit, PRACTICE, (*at, 0.0), reading, sd)


def plate_distance(plan: CupPlan, thing: Standing) -> tuple[float, tuple[float, float]]:
    """Return the least distance of the plate from what stands beside it, mm, negative where they overlap; and where."""
    rim = np.array(plan.outline.points(1e-3, least=40))
    own = np.array(thing.outline().points(1e-3, least=40))
    outside, within = -depths(thing.outline(), rim), -depths(plan.outline, own)
    k, m = int(first_least_rows(outside)), int(first_least_rows(within))
    place = rim[k] if outside[k] < within[m] else own[m]
    return float(min(outside[k], within[m])), (float(place[0]), float(place[1]))


def _bore(job: CupJob, plan: CupPlan) -> Iterator[Gap]:
    """Yield the clearances of the body to the bore between its ribs, and to the floor of a closed back."""
    seat, limits = plan.seat, job.limits
    end = plan.back.bottom if plan.back else seat.grip
    sides = tuple(Section(seat.frame.lifted(z), seat.bore) for z in (-end, 0.0))
    body = body_sheet(seat.frame, body_rings(job.speaker, 0.0))
    gap = least_gap(Sheet(sides), body, (over(-end - 2e-9, seat.frame),))
    yield Gap(
        "clear.body-bore", (BODY, BORE), gap, limits.body_near_seat, limits.body_near_seat, PRACTICE,
        far_side(seat, 0.0, seat.bore.box[2]),
    )  # fmt: skip
    if plan.back is not None:
        deep = least_on_body(seat.frame, body_rings(job.speaker, 0.0), lambda points: _along(plan, points) + end)
        yield Gap("clear.body-bore", (BODY, called(Role.BORE, "floor")), deep[0], 0.5, 0.5, PRACTICE, deep[1])


def _along(plan: CupPlan, points: Array) -> Array:
    along: Array = plan.seat.frame.into(points)[:, 2]
    return along
