"""Plan of a cup from its job; what fails here cannot be drawn, and the message says what could."""

from __future__ import annotations

from mounts.design.slug import slug
from mounts.findings.report import Pose
from mounts.geometry.hull import hull
from mounts.geometry.outline import circle
from mounts.kinds.cup.back import back_for, bottom_of, notch_for, refuse_too_deep
from mounts.kinds.cup.body import EDGE, back_depth, cup_levels, plate_thickness, seat_extent
from mounts.kinds.cup.fillet import add_fillet
from mounts.kinds.cup.label import labels_for
from mounts.kinds.cup.seat import seat_for
from mounts.kinds.cup.stakes import pin_heads, pin_pattern, refuse_line, stakes
from mounts.kinds.cup.template import draw_template
from mounts.kinds.cup.values import CupPlan, on_axis
from mounts.kinds.cup.walls import CupBody, cup_walls, refuse_broken
from mounts.kinds.cup.way import choose_way
from mounts.load.models.job_kinds import CupJob

MOUTH = 0.4  # mm


def plan_cup(job: CupJob) -> CupPlan:
    """Plan a cup.

    Raises:
        InputError: for what cannot be drawn, with the nearest that can.
    """
    refuse_line(job)
    seats = pin_heads(job)
    held = pin_pattern(job, seats)
    seat = seat_for(job, seats)
    thickness = plate_thickness(seats)
    bottom = bottom_of(job, seat)
    depth = back_depth(job, seat, thickness, bottom)
    refuse_too_deep(job, seat, depth)
    pins = stakes(job, seats, held, on_axis(seat.frame, -depth))
    bare = cup_levels(job, seat, pins, thickness, depth)
    outside, fillet = add_fillet(bare, job.limits.fillet, job.printer.layer)
    back = back_for(job, seat, bottom, depth)
    outline = outside[-2].outline
    room = seat_extent(seat, seat.room)
    taken = hull([circle(room, on_axis(seat.frame, 0.0)), circle(room, on_axis(seat.frame, -1.0))])
    walls = cup_walls(job, CupBody(seat, pins, outside, fillet, depth, back))
    refuse_broken(job, walls)
    return CupPlan(
        name=slug(f"{job.name}-{job.side}"),
        side=job.side,
        stakes=pins,
        thickness=thickness,
        edge=EDGE,
        mouth=MOUTH,
        seat=seat,
        way=choose_way(job, seat),
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
        paper=draw_template(job, outline, seat, pins),
    )


def cup_pose(plan: CupPlan) -> Pose:
    """Return the print pose: as it hangs behind the panel, lifted by its depth so that its back is on the bed."""
    return ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, plan.depth), (0.0, 0.0, 0.0, 1.0))
