"""Wall of a spacer under its ribs, as a ring or a side that bends."""

from __future__ import annotations

from math import inf, pi

from mounts.design.grip import RibbedSleeve
from mounts.geometry.outline import Line, Outline
from mounts.kinds.spacer.values import Rib, SpacerPlan
from mounts.load.models.job_kinds import SpacerJob


def ring_in_panel(job: SpacerJob, plan: SpacerPlan) -> RibbedSleeve | None:
    """Return the wall under the outer ribs as a ring; None without ribs."""
    return _ring(job, plan, plan.outside.ribs, min(plan.outside.contact, job.fits.rib_length))


def ring_on_device(job: SpacerJob, plan: SpacerPlan) -> RibbedSleeve | None:
    """Return the wall under the inner ribs as a ring; None without ribs."""
    return _ring(job, plan, plan.bore.ribs, plan.bore.contact)


def _ring(job: SpacerJob, plan: SpacerPlan, ribs: tuple[Rib, ...], length: float) -> RibbedSleeve | None:
    """Return the sleeve as a round ring of the same circumference; None without ribs.

    A slit sleeve is backed by what is in it or round it, and does not yield. On a half the ribs of the other half count
    too: together they are the sleeve.
    """
    if not ribs:
        return None
    outside = plan.outside.wall.length / pi
    halves = plan.slit is not None and plan.slit.half is not None
    return RibbedSleeve(
        body=outside,
        inside=outside - 2 * plan.wall,
        outside=outside,
        length=length,
        ribs=len(ribs) * (2 if halves else 1),
        tip=ribs[0].diameter,
        modulus=job.material.modulus_mpa if plan.slit is None else inf,
        crush=job.material.strength_mpa,
        bears=min(length + 2 * plan.wall, plan.front - plan.outside.back),
        side=max(0.0, _longest_side(plan.outside.wall)) if plan.slit is None else 0.0,
    )


def _longest_side(outline: Outline) -> float:
    return max((span.length for span in outline.spans if isinstance(span, Line)), default=0.0)
