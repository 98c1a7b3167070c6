"""Inside of the sleeve: the bore for the device, and the stop behind it that takes the plugging force."""

from __future__ import annotations

from mounts.design.fits import Fit, resolve
from mounts.errors import InputError
from mounts.geometry.distance import inset_outline, least_clearance
from mounts.geometry.outline import Outline, circle, offset_outline
from mounts.kinds.spacer.job import SpacerJob
from mounts.kinds.spacer.outside import greatest_inset, least_across, offset_or_refuse
from mounts.kinds.spacer.ribs import RibLayout, add_ribs, ribs_on
from mounts.kinds.spacer.values import Bore, Hold, Level, Rib, Slit, Stop

PAST = 1.0  # mm that a cutter overshoots
LEAST_SEAT = 0.4  # mm that a stop must reach in under the device, a side
LEAST_PASSAGE = 2.0  # mm across
DEEPER = 0.1  # mm, how far a mouth's chamfer goes on inside the bore, so that the two cut each other cleanly
CLEAR = 0.3  # mm of bore that is left between ribs and seat
LEAST_RIB = 0.5  # mm that a rib must press along
RELIEF = 0.05  # mm by which the bore is wider, a side, below its ribs


def hold_on_device(job: SpacerJob) -> Hold:
    """Return what holds the device: ribs for a press fit, else the wall, unless the job says otherwise."""
    hold: Hold | None = job.hold.device
    return hold or ("ribs" if job.fit.device == "press" else "wall")


def fit_on_device(job: SpacerJob, device: Outline) -> Fit:
    """Return the fit of the bore on the device; where ribs make the press, the bore itself slides."""
    word = "slide" if job.fit.device == "press" and hold_on_device(job) != "wall" else job.fit.device
    given, material = job.device.tolerance, job.material.name
    return resolve(word, least_across(device), job.fits, job.printer, given=given, hole_in=material)


def stop_reach(job: SpacerJob, device: Outline) -> float:
    """Return how far a stop may reach under the device, mm a side, so that the cable still passes."""
    cable = circle((job.device.cable or 0.0) + job.fits.cable, device.middle)
    wanted = min(job.fits.seat, (least_across(device) - LEAST_PASSAGE) / 2, least_clearance(cable, device)[0])
    return greatest_inset(device, wanted) if wanted > 0 else wanted


def depth_with_stop(job: SpacerJob, front: float, reach: float) -> float:
    """Return how far behind the face a sleeve with a stop must reach, mm."""
    assert job.device.length is not None
    return job.recess + job.device.length + reach + job.fits.stop - front


def stop_for(job: SpacerJob, device: Outline, front: float, back: float) -> Stop:
    """Return the stop: a 45° seat under the device's edge, and the passage behind it."""
    reach = stop_reach(job, device)
    assert job.device.length is not None
    return Stop(inset_outline(device, reach), reach, front - job.recess - job.device.length - reach - back)


def bore_for(job: SpacerJob, device: Outline, fit: Fit, stop: Stop | None, ends: tuple[float, float]) -> Bore:
    """Return the bore without ribs, from the front to the seat or to the sleeve's rear end.

    Args:
        job: what was measured and wanted.
        device: its body's outline, in its place.
        fit: of the bore on it.
        stop: behind the device.
        ends: z of the sleeve's front and of its rear end.
    """
    (front, rear), edge, gap = ends, job.fits.edge, fit.drawn / 2
    outline = offset_outline(device, gap)
    start = front - job.recess
    end = start - job.device.length if job.device.length else rear
    mouth = ((front - edge, outline), (front + PAST, offset_outline(outline, edge + PAST)))
    levels, back = _behind(stop, outline, end, gap, rear)
    contact = start - max(end, back)
    return Bore(
        device, outline, outline, (*levels, *mouth), mouth, front, back, back, start, end, fit, "wall", contact, ()
    )


def add_bore_ribs(job: SpacerJob, bore: Bore, stop: Stop | None, rear: float, slit: Slit | None) -> Bore:
    """Return the bore with crush ribs below its mouth where a press fit asks for them, else the bore as it is.

    Raises:
        InputError: where they find no room.
    """
    if hold_on_device(job) != "ribs":
        return bore
    fit, edge = bore.fit, job.fits.edge
    deep = job.fits.rib + fit.clearance / 2 + DEEPER
    wide = offset_outline(bore.outline, RELIEF)
    levels, back = _behind(stop, wide, bore.device_back, fit.drawn / 2 + RELIEF, rear)
    top = bore.front - edge - deep
    below = max(top - job.fits.rib_length, back + CLEAR)
    if top - below < LEAST_RIB:
        what = (
            f"crush ribs find {job.units(max(0.0, top - below), 1)} of the bore's length; "
            f"{job.units(LEAST_RIB)} is needed: a longer "
        )
        raise InputError(job.problem("fit.device", f"{what}device or sleeve, or hold: {{device: wall}}"))
    how = RibLayout("inner rib", True, fit.drawn / 2, fit.growth, below, bore.front, 0.0)
    ribs = ribs_on(job, bore.device, slit, how)
    inner = offset_or_refuse(job, bore.outline, -deep, "device.body")
    mouth = ((top, inner), bore.mouth[-1])
    return Bore(
        device=bore.device,
        outline=bore.outline,
        ribbed=_ribbed(job, bore.outline, ribs),
        levels=(*levels, (below, wide)),
        mouth=mouth,
        front=bore.front,
        back=back,
        below=below,
        device_front=bore.device_front,
        device_back=bore.device_back,
        fit=fit,
        hold="ribs",
        contact=top - below,
        ribs=ribs,
    )


def _behind(stop: Stop | None, bore: Outline, end: float, gap: float, rear: float) -> tuple[tuple[Level, ...], float]:
    """Return the levels of passage and seat up to the start of the bore, and the z of that start."""
    if stop is None:
        return ((rear - PAST, bore),), rear
    return ((rear - PAST, stop.passage), (end - stop.reach, stop.passage), (end + gap, bore)), end + gap


def _ribbed(job: SpacerJob, outline: Outline, ribs: tuple[Rib, ...]) -> Outline:
    try:
        return add_ribs(outline, ribs)
    except ValueError as error:
        what = f"{error}; give hold: {{device: wall}}, or a smaller rib_across in fits"
        raise InputError(job.problem("hold.device", what)) from None
