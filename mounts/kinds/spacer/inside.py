"""The sleeve's inside: the bore for the device, and the stop behind it that takes the plugging force."""

from __future__ import annotations

from mounts.design.fits import Fit, resolve
from mounts.errors import InputError
from mounts.geometry.nested import inset, room_round
from mounts.geometry.outline import Outline, circle, grown
from mounts.kinds.spacer.outside import least_across
from mounts.kinds.spacer.ribs import Standing, ribbed, ribs_on
from mounts.kinds.spacer.values import Bore, Hold, Rib, Slit, Stop
from mounts.load.models.resolved import SpacerJob

PAST = 1.0  # mm that a cutter overshoots
LEAST_SEAT = 0.5  # mm that a stop must reach in under the device, a side
LEAST_PASSAGE = 2.0  # mm across
SMALL = 1e-6


def hold_on_device(job: SpacerJob) -> Hold:
    """What holds the device: a press comes from ribs unless the job says otherwise."""
    hold: Hold | None = job.hold.device
    return hold or ("ribs" if job.fit.device == "press" else "wall")


def fit_on_device(job: SpacerJob, device: Outline) -> Fit:
    """The fit of the bore on the device; where ribs make a press, the bore itself slides on."""
    word = "slide" if job.fit.device == "press" and hold_on_device(job) != "wall" else job.fit.device
    given, material = job.device.tolerance, job.material.name
    return resolve(word, least_across(device), job.fits, job.printer, given=given, hole_in=material)


def stop_reach(job: SpacerJob, device: Outline) -> float:
    """How far a stop may reach in under the device, a side: as much as leaves a way for the cable."""
    cable = circle((job.device.cable or 0.0) + job.fits.cable, _middle(device))
    across = least_across(device)
    return min(job.fits.seat, (across - LEAST_PASSAGE) / 2, room_round(cable, device)[0])


def depth_with_stop(job: SpacerJob, fit: Fit, front: float, reach: float) -> float:
    """How far behind the face a sleeve with a stop must reach."""
    assert job.device.length is not None
    return job.recess + job.device.length + reach + job.fits.stop - front


def stop_for(job: SpacerJob, device: Outline, fit: Fit, front: float, back: float) -> Stop:
    """The seat of 45 degrees under the device's edge, and the passage behind it.

    Raises:
        InputError: where the device's outline cannot be moved in so far.
    """
    reach, gap = stop_reach(job, device), fit.drawn / 2
    assert job.device.length is not None
    meets = front - job.recess - job.device.length  # z at which the seat is as wide as the device
    try:
        passage = inset(device, reach)
    except ValueError:
        what = f"a stop of {reach:.1f} does not follow this outline; give stop: false, or fits: {{seat: 0.5}}"
        raise InputError(job.problem("device.body", what)) from None
    bore = grown(device, gap)
    behind = meets - reach - back
    levels = ((back - PAST, passage), (meets - reach, passage), (meets + gap, bore))
    return Stop(levels, passage, reach, behind)


def bore_for(job: SpacerJob, device: Outline, fit: Fit, ends: tuple[float, float], slit: Slit | None) -> Bore:
    """The bore from the front to the seat or the sleeve's rear end.

    Args:
        job: what was measured and wanted.
        device: its body's outline, in its place.
        fit: of the bore on it.
        ends: z of the front and of the bore's rear end.
        slit: where there are no ribs.
    """
    (front, back), hold = ends, hold_on_device(job)
    outline = grown(device, fit.drawn / 2)
    start = front - job.recess
    end = start - job.device.length if job.device.length else back
    ribs: tuple[Rib, ...] = ()
    if hold == "ribs":
        how = Standing("inner rib", True, fit.drawn / 2, fit.growth, back, front, 0.0)
        ribs = ribs_on(job, device, slit, how)
    deep = job.fits.rib + fit.clearance / 2 + SMALL if ribs else 0.0
    edge = job.fits.edge
    mouth = ((front - edge - deep, inset(outline, deep)), (front + PAST, grown(outline, edge + PAST)))
    contact = start - max(end, back)
    path = _ribbed(job, outline, ribs)
    return Bore(device, outline, path, front, back, mouth, start, end, fit, hold, contact, ribs)


def _ribbed(job: SpacerJob, outline: Outline, ribs: tuple[Rib, ...]) -> Outline:
    try:
        return ribbed(outline, ribs)
    except ValueError as error:
        what = f"{error}; give hold: {{device: wall}}, or fits: {{rib_across: 1.5}}"
        raise InputError(job.problem("hold.device", what)) from None


def _middle(outline: Outline) -> tuple[float, float]:
    x0, y0, x1, y1 = outline.box
    return ((x0 + x1) / 2, (y0 + y1) / 2)
