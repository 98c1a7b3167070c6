"""Strain of a spacer's wall when it is pressed in, snapped in, or sprung over a cable.

Wall of a spacer under its ribs, as a ring or a side that bends.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, pi

from mounts.design.loads import LASTING_STRAIN, STAYS
from mounts.design.pressfit import ONE_TIME, RibbedSleeve, closing_for, spread_strain, yield_strain
from mounts.findings.compare import at_least, at_most
from mounts.findings.report import Finding, Verdict
from mounts.geometry.outline import Line, Outline
from mounts.kinds.spacer.job import SpacerJob
from mounts.kinds.spacer.values import Rib, SpacerPlan

LASTING = "0.5 % for years (snap-fit guides, from memory), 70 % of the yield strain once (a resin maker's note)"
ONCE = "70 % of the yield strain, once (a resin maker's design note)"


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


def strain_findings(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield the strains for years under a press, and once on the way in."""
    closed = plan.slit is None
    for face, pressing, ring in (
        ("panel", plan.outside.pressing, ring_in_panel(job, plan)),
        ("device", plan.bore.pressing, ring_on_device(job, plan)),
    ):
        usual, tight = max(0.0, -pressing.clearance), max(0.0, -pressing.tightest)
        if closed and ring is not None:
            what = f"strain in the wall by the ribs to the {face}"
            yield _lasting(job, f"strain.{face}", what, STAYS * ring.strain(usual), ring.strain(tight))
        elif closed and pressing.word == "press":
            what = f"hoop strain by the press to the {face}"
            yield _lasting(job, f"strain.{face}", what, usual / pressing.size, tight / pressing.size)
    yield from _on_the_way(job, plan)


def _on_the_way(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield a slit sprung open over the cable, and closed for the bump to pass the panel's edge."""
    slit, bump, cable = plan.slit, plan.bump, job.device.cable
    middle, wall = _middle(plan), plan.wall
    if slit is not None and slit.half is None and cable is not None:
        opened = max(0.0, cable - slit.width)
        yield _once(
            job, "strain.cable", "strain of the slit sprung open over the cable", spread_strain(opened, middle, wall)
        )
    if bump is None or (slit is not None and slit.half is not None):
        return
    over = bump.reach + plan.outside.fit.tighter / 2
    if slit is None:
        what = "hoop strain as the bump passes the panel's edge"
        yield _once(job, "strain.bump", what, 2 * over / plan.outside.fit.size, "slit: true lets it close")
        return
    closing = closing_for(over)
    yield _once(job, "strain.bump", "strain as the slit closes for the bump", spread_strain(closing, middle, wall))
    source = "2 π times the bump's reach"
    wider, less = job.units.key(closing, up=True), job.units.key(slit.width / 7, up=False)
    advice = f"give slit_width: {wider}, or fits: {{bump: {less}}}"
    yield at_least(
        "slit.closes",
        slit.width,
        closing,
        "width of the slit to what the bump needs to pass",
        source=source,
        advice=advice,
    )


def _middle(plan: SpacerPlan) -> float:
    """Return the mid-wall diameter of a round sleeve of the same circumference, mm."""
    return (plan.outside.wall.length + plan.bore.outline.length) / (2 * pi)


def _lasting(job: SpacerJob, code: str, what: str, lasting: float, once: float) -> Finding:
    """Return the strain for years as it usually is, after flattening; or the one-time strain at its tightest."""
    most = ONE_TIME * yield_strain(job.material.strength_mpa, job.material.modulus_mpa)
    advice = "take smaller or shorter ribs or less press in fits, or a slit: it cracks when it goes in tight"
    tight = at_most(code, 100 * once, 100 * most, what, source=LASTING, advice=advice)
    if tight.verdict is Verdict.FAIL:
        return tight
    limit, advice = 100 * LASTING_STRAIN, "take smaller ribs or less press in fits: it relaxes"
    return at_most(code, 100 * lasting, limit, what, missed=Verdict.WARN, source=LASTING, advice=advice)


def _once(job: SpacerJob, code: str, what: str, strain: float, other: str = "a wider slit") -> Finding:
    limit = ONE_TIME * yield_strain(job.material.strength_mpa, job.material.modulus_mpa)
    advice = f"it cracks on the way in; {other}, or a thinner wall"
    return at_most(code, 100 * strain, 100 * limit, what, source=ONCE, advice=advice)
