"""Slit in the sleeve, or the plane between two halves, through which it goes on over a finished cable."""

from __future__ import annotations

from mounts.errors import InputError
from mounts.geometry.outline import Outline, Point, polygon
from mounts.kinds.spacer.outside import least_across
from mounts.kinds.spacer.values import Slit
from mounts.load.models.job_kinds import SpacerJob

WIDEST = 0.6  # of the device's width that a slit may take
FAR = 1000.0  # mm, beyond any sleeve


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
        what = f"a slit of {width:.1f} leaves too little of the sleeve; here it may be {most:.1f} at most: halves go on"
        raise InputError(job.problem("slit_width" if job.slit_width else "device.cable", what))
    return Slit(clock, at, width, _box(-width / 2, width / 2, 0.0, clock, at), None)


def _box(x0: float, x1: float, y0: float, clock: float, at: Point) -> Outline:
    """Return a box that is open upward, turned towards a clock direction and moved to a place."""
    corners = polygon([(x0, y0), (x1, y0), (x1, FAR), (x0, FAR)])
    return corners.turned(-clock).moved(*at)
