"""Placement of a mount on its panel's fixings: what is off, what has play, and how wide its holes have to be."""

from __future__ import annotations

from math import ceil, floor

from mounts.design.chance import Errors, chance, needed_gap
from mounts.design.fasteners import thread_diameter, widest_borne
from mounts.load.models.job_kinds import RingJob

STEP = 0.1  # mm, in which holes are drawn, as drills are sold


def choose_hole(job: RingJob) -> float:
    """Return the diameter of the holes in the mount as they come out.

    As wide as the wanted chance asks for, but no narrower than the fine hole of ISO 273 and no wider than washer or
    head covers; or as `limits.hole` has it.
    """
    if job.limits.hole is not None:
        return thread_diameter(job.fix_to_panel.screw.thread) + job.limits.hole
    return max(min(wanted_hole(job), largest_hole(job)), job.fix_to_panel.fine)


def wanted_hole(job: RingJob) -> float:
    """Return the least diameter, a full tenth, with which the mount goes on as surely as is asked for."""
    gap = needed_gap(tuple(job.panel.fixings.points.values()), _floats(job), fixing_errors(job), job.sure)
    wanted = thread_diameter(job.fix_to_panel.screw.thread) + 2 * gap
    return max(round(ceil(wanted / STEP - 1e-6) * STEP, 1), job.fix_to_panel.fine)


def largest_hole(job: RingJob) -> float:
    """Return the greatest diameter, a full tenth, that washer or head covers wherever the screw stands in it."""
    return round(floor(widest_borne(job.fix_to_panel) / STEP + 1e-6) * STEP, 1)


def fit_chance(job: RingJob, hole: float, errors: Errors | None = None) -> float:
    """Return the chance, 0 to 1, that all screws go in at once through holes of a diameter."""
    return chance(tuple(job.panel.fixings.points.values()), gaps(job, hole), errors or fixing_errors(job))


def gaps(job: RingJob, hole: float) -> tuple[float, ...]:
    """Return the gap of each screw, a side: in the mount's hole, and in the panel where it floats there, mm."""
    play = (hole - thread_diameter(job.fix_to_panel.screw.thread)) / 2
    return tuple(play + more for more in _floats(job))


def fixing_errors(job: RingJob) -> Errors:
    """Return the errors between screws and holes: readings, printer or saw, and nuts set loosely in their holes.

    A material's shrink is told by itself and is taken as corrected.
    """
    made = job.printer.error if job.make == "print" else job.limits.cut_error
    item, fixings = job.fix_to_panel.hardware, job.panel.fixings
    plays = tuple(item.play(fixings.size(name) or 0.0) for name in fixings.points)
    return Errors(job.fixings_covariance(), made, plays)


def _floats(job: RingJob) -> tuple[float, ...]:
    """Return how much screws play in the panel's own holes, a side, mm."""
    item, fixings = job.fix_to_panel.hardware, job.panel.fixings
    return tuple(item.floats(fixings.size(name) or 0.0) for name in fixings.points)
