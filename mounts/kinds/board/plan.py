"""Plan of a board: every dimension, in the order in which they depend on each other."""

from __future__ import annotations

from mounts.design.slug import slug
from mounts.errors import InputError
from mounts.findings.report import AS_BUILT, Pose
from mounts.geometry.clearance import inset_outline
from mounts.geometry.distance import depths
from mounts.geometry.outline import Outline
from mounts.kinds.board.devices import spots_of, stand_of
from mounts.kinds.board.feet import feet_of
from mounts.kinds.board.plate import bare_outline, finished_outline, plate_levels, slots_of
from mounts.kinds.board.template import draw_template
from mounts.kinds.board.values import BoardPlan
from mounts.kinds.board.walls import cuts_of, walls_of
from mounts.load.models.job_kinds import BoardJob


def plan_board(job: BoardJob) -> BoardPlan:
    """Plan a board.

    Raises:
        InputError: where what is asked for cannot be drawn; it names what could be.
    """
    bottom = job.feet.height
    top = bottom + job.thickness
    on = top + (job.wrap.thickness if job.wrap else 0.0)
    stands = tuple(stand_of(job, placed, on) for placed in job.devices)
    spots = tuple(spot for placed in job.devices for spot in spots_of(job, placed))
    finished = finished_outline(job, stands)
    outline = bare_outline(job, finished)
    for spot in spots:
        if (inside := float(depths(outline, [spot.at])[0])) <= spot.hole / 2:
            what = (
                f"the screw of {spot.name} lies {job.units(spot.hole / 2 - inside, 1)} outside "
                "the board; move the device"
            )
            raise InputError(job.problem(f"devices.{spot.device}.at", what))
    fold = _fold(job, outline)
    slots = tuple(slots_of(job, bottom, top))
    feet = feet_of(job, outline, spots, slots)
    cuts = cuts_of(job, spots, slots, feet)
    return BoardPlan(
        name=slug(job.name),
        side="",
        make=job.make,
        outline=outline,
        finished=finished,
        fold=fold,
        bottom=bottom,
        top=top,
        levels=plate_levels(job, outline, bottom, top),
        stands=stands,
        spots=spots,
        slots=slots,
        feet=feet,
        walls=tuple(walls_of(job, outline, spots, cuts, (bottom, top))),
        genus=len(cuts),
        paper=draw_template(job, (finished, outline, fold), stands, (spots, slots, feet)),
    )


def _fold(job: BoardJob, outline: Outline) -> Outline | None:
    """Return the inner edge of the carpet folded below; None without carpet, or where it covers the underside."""
    if job.wrap is None:
        return None
    try:
        return inset_outline(outline, job.wrap.fold)
    except ValueError:
        return None


def board_pose(plan: BoardPlan) -> Pose:
    """Return the print pose: a printed board lies on its top, so that its feet rise and nothing overhangs."""
    if plan.make == "cut":
        return AS_BUILT
    return ((1.0, 0.0, 0.0, 0.0), (0.0, -1.0, 0.0, 0.0), (0.0, 0.0, -1.0, plan.top), (0.0, 0.0, 0.0, 1.0))
