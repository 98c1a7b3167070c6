"""Outside of the sleeve: its wall in the opening, its lip on the face, and what holds it there."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, degrees, radians, tan

from mounts.design.fits import Fit, resolve
from mounts.errors import InputError
from mounts.geometry.distance import inset_outline
from mounts.geometry.outline import Outline, offset_outline
from mounts.kinds.spacer.job import SpacerJob
from mounts.kinds.spacer.ribs import RibLayout, ribs_on
from mounts.kinds.spacer.values import Bump, Hold, Outside, SleeveLip, Slit

OVERLAP = 0.2  # mm that stacked bodies share
CREST = 0.4  # mm, breadth of a bump's crest: two layers
LEAD = 30.0  # degrees from the axis, slope of a bump's lead-in; its flank has 45
LEFT = 0.2  # of its width that a taper must leave of an opening
KEPT = 0.9  # of its radius by which an arc may be moved in
LEAST_EDGE = 0.1  # mm
RISE = 4.0  # times a rib's bite: length of the slope along which it rises


def hold_in_panel(job: SpacerJob) -> Hold:
    """Return what holds the sleeve: ribs for a press fit, else the wall, unless the job says otherwise."""
    hold: Hold | None = job.hold.panel
    return hold or ("ribs" if job.fit.panel == "press" else "wall")


def fit_in_panel(job: SpacerJob, opening: Outline) -> Fit:
    """Return the fit of the wall in the opening; where ribs make the press, the wall itself slides."""
    pressed = job.fit.panel == "press" and hold_in_panel(job) != "wall"
    word = "slide" if pressed else job.fit.panel
    return resolve(
        word,
        least_across(opening),
        job.fits,
        job.printer,
        given=job.port.tolerance,
        outside_in=job.material.name,
    )


def outside_for(job: SpacerJob, opening: Outline, back: float, slit: Slit | None) -> Outside:
    """Return the outside from its rear end at z = `back` to its front: into the lip, or to the face."""
    fit, slope = fit_in_panel(job, opening), tan(radians(job.port.taper))
    wall = offset_or_refuse(job, opening, -fit.drawn / 2)
    _stays_open(job, wall, back)
    edge = min(
        job.fits.edge, -back / 4, max(LEAST_EDGE, greatest_inset(wall, job.fits.edge - slope * back) + slope * back)
    )
    places = [(back, edge), (back + edge, 0.0)]
    places += [(OVERLAP, 0.0)] if job.lip else [(-edge, 0.0), (0.0, edge)]
    levels = tuple((z, offset_or_refuse(job, wall, slope * min(z, 0.0) - by)) for z, by in places)
    contact, hold = min(-back, job.port.panel or -back), hold_in_panel(job)
    outside = Outside(opening, job.port.taper, wall, levels, fit, hold, contact, ())
    if hold != "ribs":
        return outside
    lead = RISE * job.fits.rib
    bottom = max(-min(contact, job.fits.rib_length) - lead, back + edge)
    top = OVERLAP if job.lip else -edge
    how = RibLayout("rib", False, fit.drawn / 2, fit.growth, bottom, top, min(lead, (top - bottom) / 2))
    return replace(outside, ribs=ribs_on(job, opening, slit, how))


def _stays_open(job: SpacerJob, wall: Outline, back: float) -> None:
    """Refuse a taper that closes the opening at the sleeve's rear end."""
    most = degrees(atan2((1 - LEFT) * least_across(wall) / 2, -back))
    if job.port.taper > most:
        what = (
            f"an opening that narrows by {job.units(job.port.taper)} a side is all but closed "
            f"{job.units(-back, 1)} behind the face; here "
            f"it can narrow by {job.units(most, 1)}, or the sleeve be shorter: length"
        )
        raise InputError(job.problem("port.taper", what))


def lip_for(job: SpacerJob, opening: Outline) -> SleeveLip | None:
    """Return the lip on the face; its front edge is broken, since it lies on the bed."""
    if job.lip is None:
        return None
    outline, thick = offset_outline(opening, job.lip.reach), job.lip.thickness
    edge = min(job.fits.edge, thick / 3, job.lip.reach / 2)
    levels = ((0.0, outline), (thick - edge, outline), (thick, offset_outline(outline, -edge)))
    return SleeveLip(levels, job.lip.reach, thick)


def bump_for(job: SpacerJob, outside: Outside) -> Bump | None:
    """Return the snap bump behind the panel; None where none is wanted.

    Raises:
        InputError: where the sleeve does not reach far enough behind the panel.
    """
    if not job.bump:
        return None
    height = job.fits.bump + outside.fit.drawn / 2
    flank = outside.fit.drawn / 2 - outside.contact - job.fits.bump_play
    root = height + CREST + height / tan(radians(LEAD))
    needed = root - flank + job.fits.edge
    if needed > -outside.back:
        what = (
            f"a snap bump needs the sleeve to reach {job.units(needed, 1)} behind the face, and it "
            f"ends at {job.units(-outside.back, 1)}; "
            f"give a depth of {job.units(needed, 1)} at least, or bump: false"
        )
        raise InputError(job.problem("port.depth", what))
    places = [
        (flank - root - OVERLAP / tan(radians(LEAD)), -OVERLAP),
        (flank - height - CREST, height),
        (flank - height, height),
        (flank + OVERLAP, -OVERLAP),
    ]
    slope = tan(radians(outside.taper))
    levels = tuple((z, offset_or_refuse(job, outside.wall, slope * z + by)) for z, by in places)
    return Bump(levels, job.fits.bump, height, root)


def offset_or_refuse(job: SpacerJob, outline: Outline, by: float, path: str = "port.opening") -> Outline:
    """Return an outline offset outward by `by` mm, or inward past its corners if negative.

    Args:
        job: for the message.
        outline: to be offset.
        by: mm.
        path: key of the job that gave the outline.

    Raises:
        InputError: where the offset closes a corner.
    """
    try:
        return offset_outline(outline, by) if by >= 0 else inset_outline(outline, -by)
    except ValueError:
        what = (
            f"the outline cannot be moved in by {job.units(-by, 2)}, as fit and taper ask; round its "
            f"corners to {job.units(-by, 2)}, or "
            "give less taper"
        )
        raise InputError(job.problem(path, what)) from None


def greatest_inset(outline: Outline, wanted: float) -> float:
    """Return the inward offset that an outline allows: `wanted`, or less where its sharpest arc would vanish."""
    try:
        inset_outline(outline, wanted)
    except ValueError:
        return KEPT * min(arc.diameter / 2 for arc in outline.arcs)
    return wanted


def least_across(outline: Outline) -> float:
    """Return the lesser of an outline's width and height, mm."""
    x0, y0, x1, y1 = outline.box
    return min(x1 - x0, y1 - y0)
