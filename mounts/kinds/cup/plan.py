"""Plan of a cup from its job; what fails here cannot be drawn, and the message says what could."""

from __future__ import annotations

from mounts.design.slug import slug
from mounts.geometry.hull import hull
from mounts.geometry.outline import circle
from mounts.kinds.cup.back import back_for, bottom_of, notch_for, refuse_too_deep
from mounts.kinds.cup.body import EDGE, back_depth, levels, round_extent, thickness_of
from mounts.kinds.cup.fillet import filleted
from mounts.kinds.cup.label import labels_for
from mounts.kinds.cup.paper import paper_for
from mounts.kinds.cup.seat import seat_for
from mounts.kinds.cup.stakes import pattern, refuse_line, seated, stakes
from mounts.kinds.cup.values import CupPlan, on_axis
from mounts.kinds.cup.walls import Body, cup_walls, refuse_broken
from mounts.load.models.resolved import CupJob

MOUTH = 0.4  # mm


def plan_cup(job: CupJob) -> CupPlan:
    """Plan a cup.

    Raises:
        InputError: for what cannot be drawn, with the nearest that can.
    """
    refuse_line(job)
    seats = seated(job)
    held = pattern(job, seats)
    seat = seat_for(job, seats)
    thickness = thickness_of(seats)
    bottom = bottom_of(job, seat)
    depth = back_depth(job, seat, thickness, bottom)
    refuse_too_deep(job, seat, depth)
    pins = stakes(job, seats, held, on_axis(seat.frame, -depth))
    bare = levels(job, seat, pins, thickness, depth)
    outside, fillet = filleted(bare, job.limits.fillet, job.printer.layer)
    back = back_for(job, seat, bottom, depth)
    outline = outside[-2].outline
    room = round_extent(seat, seat.room)
    taken = hull([circle(room, on_axis(seat.frame, 0.0)), circle(room, on_axis(seat.frame, -1.0))])
    walls = cup_walls(job, Body(seat, pins, outside, fillet, depth, back))
    refuse_broken(job, walls)
    return CupPlan(
        name=slug(f"{job.name}-{job.side}"),
        side=job.side,
        stakes=pins,
        thickness=thickness,
        edge=EDGE,
        mouth=MOUTH,
        seat=seat,
        levels=outside,
        fillet=fillet,
        depth=depth,
        back=back,
        wire=notch_for(job, seat, depth),
        labels=labels_for(job, outline, seat, pins, taken),
        chance=held.chance,
        sd=held.sd,
        walls=walls,
        genus=1 + len(pins) + (back is not None and back.wire is not None),  # the bore or a vent, and what is beside it
        paper=paper_for(job, outline, seat, pins),
    )
