"""Plan of a spacer: every dimension, in the order in which they depend on each other."""

from __future__ import annotations

from mounts.design.slug import slug
from mounts.errors import InputError
from mounts.findings.report import Pose
from mounts.geometry.frames import Frame
from mounts.geometry.outline import Outline, Point, polygon
from mounts.kinds.spacer.inside import (
    LEAST_SEAT,
    add_bore_ribs,
    bore_for,
    depth_with_stop,
    fit_on_device,
    stop_for,
    stop_reach,
)
from mounts.kinds.spacer.outside import bump_for, least_across, lip_for, outside_for
from mounts.kinds.spacer.template import draw_template
from mounts.kinds.spacer.values import Slit, SpacerPlan
from mounts.kinds.spacer.walls import LINES, least_wall, walls_of
from mounts.load.models.job_kinds import SpacerJob

LEAST_BODY = 0.2  # mm: a thinner wall is no body that can be drawn
WIDEST = 0.6  # of the device's width that a slit may take
FAR = 1000.0  # mm, beyond any sleeve


def plan_spacer(job: SpacerJob) -> SpacerPlan:
    """Plan a spacer, or one half of it.

    Raises:
        InputError: where what is asked for cannot be drawn; it names the nearest value that could be.
    """
    assert job.port.opening is not None
    assert job.device.body is not None
    opening, device = job.port.opening.outline(), job.device.body.outline().moved(*job.at)
    lip = lip_for(job, opening)
    front = lip.thickness if lip else 0.0
    fit = fit_on_device(job, device)
    slit = slit_for(job, device)
    stopped, back = _length(job, device, front)
    outside = outside_for(job, opening, back, slit)
    stop = stop_for(job, device, front, back) if stopped else None
    bore = bore_for(job, device, fit, stop, (front, back))
    _has_wall(job, least_wall(outside, bore), opening, device)
    bore = add_bore_ribs(job, bore, stop, back, slit)
    wall = least_wall(outside, bore)
    return SpacerPlan(
        name=slug(f"{job.name}-{job.side}" if job.side else job.name),
        side=job.side,
        front=front,
        outside=outside,
        lip=lip,
        bore=bore,
        stop=stop,
        bump=bump_for(job, outside),
        slit=slit,
        wall=wall[0],
        walls=tuple(walls_of(job, (outside, bore), lip, stop, wall)),
        genus=0 if slit else 1,
        paper=draw_template(job, outside, bore, lip, slit),
    )


def _length(job: SpacerJob, device: Outline, front: float) -> tuple[bool, float]:
    """Return whether there is a stop, and the z of the sleeve's rear end."""
    depth, given = job.port.depth, job.device.length
    assert depth is not None
    reach = stop_reach(job, device)
    if job.stop is False or given is None or (job.stop is None and job.device.bezel is not None):
        return False, -_as_asked(job, 1.0, depth)
    needed = depth_with_stop(job, front, reach)
    if job.stop is None and (needed > (job.length or depth) + 1e-9 or reach < LEAST_SEAT):
        return False, -_as_asked(job, 1.0, depth)
    if reach < LEAST_SEAT:
        what = (
            f"a stop could reach in by {job.units(reach, 2)} only, with the cable through it; "
            f"{job.units(LEAST_SEAT)} is needed"
        )
        raise InputError(job.problem("stop", f"{what}: give stop: false, or halves and a thinner cable"))
    if needed > depth + 1e-9:
        what = f"device and stop reach {job.units(needed, 1)} behind the face and the depth is {job.units(depth)}; "
        most = given - (needed - depth)
        raise InputError(job.problem("stop", f"{what}a device of {job.units(most, 1)} would do, or stop: false"))
    return True, -_as_asked(job, needed, needed)


def _as_asked(job: SpacerJob, least: float, usual: float) -> float:
    """Return the sleeve's length behind the face, mm: the job's, or `usual`; refuse one that is impossible."""
    asked, depth = job.length, job.port.depth
    assert depth is not None
    if asked is not None and not least - 1e-9 <= asked <= depth + 1e-9:
        what = (
            f"the sleeve is to reach {job.units(asked)} behind the face; here it can from "
            f"{job.units(least, 1)} to {job.units(depth)}"
        )
        raise InputError(job.problem("length", what))
    return asked if asked is not None else usual


def _has_wall(job: SpacerJob, wall: tuple[float, Point], opening: Outline, device: Outline) -> None:
    """Refuse a device that leaves no wall."""
    thick, limit = wall[0], LINES * job.printer.nozzle
    if thick >= LEAST_BODY:
        return
    less = 2 * (limit - thick)
    here, there = least_across(device), least_across(opening)
    what = (
        f"the device is {job.units(here)} across and the opening {job.units(there)}: "
        f"{job.units(max(thick, 0), 2)} is left for the wall; with the "
        f"fits asked for a device of {job.units(here - less, 2)} or an opening of "
        f"{job.units(there + less, 2)} leaves the {job.units(limit)} that "
        "prints"
    )
    raise InputError(job.problem("at" if job.at != (0.0, 0.0) else "device.body", what))


def spacer_pose(plan: SpacerPlan) -> Pose:
    """Return the print pose: half a turn about x, with the front on the bed."""
    return ((1.0, 0.0, 0.0, 0.0), (0.0, -1.0, 0.0, 0.0), (0.0, 0.0, -1.0, plan.front), (0.0, 0.0, 0.0, 1.0))


def device_frame(plan: SpacerPlan) -> Frame:
    """Return the device's frame, level with the panel, its origin on the sleeve's front."""
    x0, y0, x1, y1 = plan.bore.device.box
    return Frame(((x0 + x1) / 2, (y0 + y1) / 2, plan.front))


def slit_for(job: SpacerJob, device: Outline) -> Slit | None:
    """Return the slit, or the plane between two halves; None for a closed sleeve.

    Raises:
        InputError: where the slit would leave too little of the sleeve.
    """
    x0, y0, x1, y1 = device.box
    at = ((x0 + x1) / 2, (y0 + y1) / 2)
    if job.slit == "halves":
        clock = job.slit_at if job.slit_at is not None else 90.0 if x1 - x0 >= y1 - y0 else 0.0
        kerf = job.fits.kerf
        low, high = (-kerf / 2, FAR) if job.half == "a" else (-FAR, kerf / 2)
        cut = _box(low, high, -FAR, clock, at)
        return Slit(clock, at, kerf, cut, job.half)
    if job.slit is None:
        return None
    clock = job.slit_at if job.slit_at is not None else 180.0
    cable = job.device.cable
    width = job.slit_width or max(job.fits.slit, cable + job.fits.cable if cable else 0.0)
    most = WIDEST * least_across(device)
    if width > most:
        what = (
            f"a slit of {job.units(width, 1)} leaves too little of the sleeve; here it may be "
            f"{job.units(most, 1)} at most: halves go on"
        )
        raise InputError(job.problem("slit_width" if job.slit_width else "device.cable", what))
    return Slit(clock, at, width, _box(-width / 2, width / 2, 0.0, clock, at), None)


def _box(x0: float, x1: float, y0: float, clock: float, at: Point) -> Outline:
    """Return a box that is open upward, turned towards a clock direction and moved to a place."""
    corners = polygon([(x0, y0), (x1, y0), (x1, FAR), (x0, FAR)])
    return corners.turned(-clock).moved(*at)
