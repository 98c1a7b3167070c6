"""Plan of a spacer: every dimension, in the order in which they depend on each other.

Template of the spacer at 1:1, to be laid on the panel's opening and held against the device.

Walls of a spacer in closed form.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import radians, tan

from mounts.design.drawing import Drawing, Layer, Note, Stroke, centre_lines
from mounts.design.lettering import slug
from mounts.errors import InputError
from mounts.findings.report import Pose
from mounts.findings.wall import Wall
from mounts.geometry.distance import inset_outline, least_clearance
from mounts.geometry.frames import Frame
from mounts.geometry.outline import Outline, Point, polygon
from mounts.geometry.ties import keeps, least_of, reaches
from mounts.identity import BACK, BORE, SLEEVE
from mounts.kinds.spacer.inside import (
    LEAST_SEAT,
    add_bore_ribs,
    bore_for,
    depth_with_stop,
    fit_on_device,
    stop_for,
    stop_reach,
)
from mounts.kinds.spacer.job import SpacerJob
from mounts.kinds.spacer.outside import bump_for, least_across, lip_for, outside_for
from mounts.kinds.spacer.values import LIP, Bore, Outside, SleeveLip, Slit, SpacerPlan, Stop

LINES = 2  # of the nozzle that the least wall has
GUIDES = "print guides: two lines of the nozzle at least"
LEAST_BODY = 0.2  # mm: a thinner wall is no body that can be drawn
WIDEST = 0.6  # of the device's width that a slit may take
FAR = 1000.0  # mm, beyond any sleeve


def draw_template(job: SpacerJob, outside: Outside, bore: Bore, lip: SleeveLip | None, slit: Slit | None) -> Drawing:
    """Draw the template of lip, opening and device, as seen from the cabin."""
    strokes = [Stroke(lip.levels[0][1], Layer.CUT, "lip")] if lip else []
    strokes += [Stroke(outside.opening, Layer.CUT, "opening"), Stroke(bore.device, Layer.CUT, "device")]
    outermost = (lip.levels[0][1] if lip else outside.opening).box
    captions = [
        "seen from the cabin; outermost the lip, then the panel's opening, inmost the device's body",
        f"the opening must show all round its line, and the device cover its own; {_sizes(job)}",
    ]
    if slit and slit.half is None:
        captions.append(
            f"slit of {job.units(slit.width)} towards {int(slit.clock // 30) or 12}:{int(slit.clock % 30 * 2):02d}"
        )
    if slit and slit.half:
        captions.append("in two halves, a and b; print one of each")
    return Drawing(
        title=job.name,
        captions=tuple(captions),
        items=(
            *strokes,
            centre_lines(outermost, ((outermost[0] + outermost[2]) / 2, (outermost[1] + outermost[3]) / 2)),
            Note("12:00", ((outermost[0] + outermost[2]) / 2, outermost[3] + 5.0), 3.0, on_paper=True),
            Note(f"{job.name} {job.side}".strip(), ((outermost[0] + outermost[2]) / 2, outermost[1] - 5.0), 2.5),
        ),
    )


def _sizes(job: SpacerJob) -> str:
    return f"{job.material.name} on {job.printer.name}"


def least_wall(outside: Outside, bore: Bore) -> tuple[float, Point]:
    """Return the least wall between outside and bore, mm, and its place on the bore.

    The wall stands upright or narrows behind, so that the place is where the bore ends, or at the rear edge's root.
    """
    rear = next((level for z, level in outside.levels[1:] if z >= bore.back - 1e-9), outside.wall)
    if bore.back > outside.levels[1][0]:
        slope = tan(radians(outside.taper))
        rear = inset_outline(outside.wall, max(0.0, -slope * bore.back))
    wide = next(outline for z, outline in bore.levels if z >= bore.back - 1e-9)
    return least_of((least_clearance(wide, rear), least_clearance(wide, outside.wall)), key=lambda one: one[0])


def walls_of(
    job: SpacerJob, sleeve: tuple[Outside, Bore], lip: SleeveLip | None, stop: Stop | None, least: tuple[float, Point]
) -> Iterator[Wall]:
    """Yield every wall that the mesh is measured against."""
    limit, (outside, bore), (thick, at) = LINES * job.printer.nozzle, sleeve, least
    yield Wall("wall.sleeve", (SLEEVE, BORE), thick, limit, GUIDES, (*at, max(bore.back, outside.levels[1][0])))
    if stop is not None:
        at = max(stop.passage.points(), key=lambda point: point[0])
        yield Wall("wall.stop", (BORE, BACK), stop.behind, limit, GUIDES, (*at, outside.back))
    if lip is not None:
        edge = lip.levels[0][1].box[2]
        yield Wall("wall.lip", (LIP, LIP), lip.thickness, limit, GUIDES, (edge, 0.0, lip.thickness / 2))


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
    if job.stop is None and (not keeps(needed, job.length or depth) or reach < LEAST_SEAT):
        return False, -_as_asked(job, 1.0, depth)
    if reach < LEAST_SEAT:
        what = (
            f"a stop could reach in by {job.units(reach, 2)} only, with the cable through it; "
            f"{job.units(LEAST_SEAT)} is needed"
        )
        raise InputError(job.problem("stop", f"{what}: give stop: false, or halves and a thinner cable"))
    if not keeps(needed, depth):
        what = f"device and stop reach {job.units(needed, 1)} behind the face and the depth is {job.units(depth)}; "
        most = given - (needed - depth)
        raise InputError(job.problem("stop", f"{what}a device of {job.units(most, 1)} would do, or stop: false"))
    return True, -_as_asked(job, needed, needed)


def _as_asked(job: SpacerJob, least: float, usual: float) -> float:
    """Return the sleeve's length behind the face, mm: the job's, or `usual`; refuse one that is impossible."""
    asked, depth = job.length, job.port.depth
    assert depth is not None
    if asked is not None and not (reaches(asked, least) and keeps(asked, depth)):
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
    return Frame((*plan.bore.device.middle, plan.front))


def slit_for(job: SpacerJob, device: Outline) -> Slit | None:
    """Return the slit, or the plane between two halves; None for a closed sleeve.

    Raises:
        InputError: where the slit would leave too little of the sleeve.
    """
    x0, y0, x1, y1 = device.box
    at = device.middle
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
