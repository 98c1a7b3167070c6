"""Holding force of a spacer and its device against plugging in and pulling out.

Friction counts half, since a press has half relaxed once it has been hot. A slit sleeve has no hoop: its ribs press
only as far as the device backs them, and the device's play is taken off their bite.
"""

from __future__ import annotations

from collections.abc import Iterator

from mounts.checks.spacer.strain import ring_in_panel, ring_on_device
from mounts.design.loads import STAYS
from mounts.design.pressfit import HALF, RibbedSleeve, bent_lip, sheared_ridge
from mounts.findings.compare import Said, at_least, at_most
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.geometry.distance import least_clearance
from mounts.kinds.spacer.job import SpacerJob
from mounts.kinds.spacer.values import Bore, SpacerPlan

TRUSTED = "half of the strength across layers: common practice"
ENGAGED = 0.2  # mm that a bump must stand behind the edge, over all spread: a layer
THUMBS = 150.0  # N
ON_BEZEL = 0.5  # mm that a bezel must lie on the spacer, a side


def hold_findings(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield pulling out and plugging in of device and sleeve; and whether it goes in by hand."""
    yield from _by_hand(job, plan)
    if job.device.pull_force is not None:
        yield _against(
            job,
            "hold.pull.device",
            "hold of the device in the sleeve against a pull",
            device_holding_force(job, plan),
            pulled=True,
        )
        yield _against(
            job,
            "hold.pull.panel",
            "hold of the sleeve in the panel against a pull",
            panel_holding_force(job, plan),
            pulled=True,
        )
    if job.device.plug_force is not None:
        yield from _plugged_device(job, plan)
        yield from _plugged_sleeve(job, plan)
    if plan.bump is not None:
        yield _engaged(plan)


def device_holding_force(job: SpacerJob, plan: SpacerPlan) -> float:
    """Return the friction that holds the device once the press has relaxed, N."""
    slack = 0.0 if plan.slit is None or plan.outside.ribs else max(0.0, plan.outside.fit.loosest)
    own = _friction(job, ring_on_device(job, plan), -plan.bore.pressing.loosest - slack)
    if plan.slit is None or not plan.outside.ribs:
        return own
    return min(own, _by_ribs(job, plan)) if plan.bore.ribs else _by_ribs(job, plan)


def panel_holding_force(job: SpacerJob, plan: SpacerPlan) -> float:
    """Return what holds the sleeve in the panel, N: friction, and the bump's root."""
    held = _by_ribs(job, plan)
    if plan.bump is not None and bump_engagement(plan) >= ENGAGED:
        strength = HALF * job.material.strength_mpa * job.material.across_layers
        gap = plan.slit.width if plan.slit and plan.slit.half is None else 0.0
        held += sheared_ridge(plan.outside.wall.length - gap, plan.bump.root, strength)
    return held


def bump_engagement(plan: SpacerPlan) -> float:
    """Return the worst-case reach of a bump behind the panel's edge, mm: the wall yields as far as it can."""
    assert plan.bump is not None
    return plan.bump.reach - plan.outside.fit.looser / 2 - _backing(plan) / 2


def _by_ribs(job: SpacerJob, plan: SpacerPlan) -> float:
    """Return the friction of the outer ribs, N; for a slit sleeve only what the device backs."""
    bite = -plan.outside.pressing.loosest - (_backing(plan) if plan.slit else 0.0)
    return _friction(job, ring_in_panel(job, plan), bite)


def _backing(plan: SpacerPlan) -> float:
    """Return the play between device and bore on the diameter, mm, by which the wall can yield; 0 under ribs."""
    return max(0.0, plan.bore.pressing.loosest)


def _friction(job: SpacerJob, ring: RibbedSleeve | None, bite: float) -> float:
    return 0.0 if ring is None else STAYS * ring.holds(max(0.0, bite), job.fits.friction)


def _plugged_device(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield what keeps the device from being pushed through: its bezel, the stop, or friction."""
    force, material = job.device.plug_force or 0.0, job.material
    trusted = HALF * material.strength_mpa * material.across_layers
    if job.device.bezel is not None:
        yield _bezel(job, plan.bore)
    elif plan.stop is not None:
        stress = bent_lip(force, plan.stop.passage.length, 2 * plan.stop.reach, plan.stop.behind)
        what = f"stress in the stop while plugging in, {force:g} N"
        yield _stress("hold.plug.device", what, stress, trusted, "a thicker stop: fits: {stop: 2.4}")
    else:
        yield _against(
            job,
            "hold.plug.device",
            "hold of the device in the sleeve while plugging in",
            device_holding_force(job, plan),
            pulled=False,
        )


def _plugged_sleeve(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield what keeps the sleeve from being pushed through: its lip, or friction."""
    force, material = job.device.plug_force or 0.0, job.material
    if plan.lip is None:
        yield _against(
            job,
            "hold.plug.panel",
            "hold of the sleeve in the panel while plugging in",
            panel_holding_force(job, plan),
            pulled=False,
        )
        return
    trusted = HALF * material.strength_mpa * material.across_layers
    stress = bent_lip(force, plan.outside.wall.length, 2 * plan.lip.reach, plan.lip.thickness)
    what = f"stress in the lip while plugging in, {force:g} N"
    yield _stress("hold.plug.panel", what, stress, trusted, "a thicker lip")


def _against(job: SpacerJob, code: str, what: str, held: float, *, pulled: bool) -> Finding:
    """Return a holding force against that of the plug, with its source."""
    force = (job.device.pull_force if pulled else job.device.plug_force) or 0.0
    how = "press on that face, with longer or more ribs (fits), or bump: true; " if pulled else "give a stop; "
    source = f"plugging force: {job.device.force_source or 'given without a source'}"
    advice = f"{how}or hold it with glue or screws"
    return at_least(code, held, force, what, unit="N", source=source, advice=advice)


def _stress(code: str, what: str, stress: float, most: float, other: str) -> Finding:
    return at_most(code, stress, most, what, unit="MPa", source=TRUSTED, advice=f"it breaks; take {other}")


def _bezel(job: SpacerJob, bore: Bore) -> Finding:
    """Return how far the device's own collar lies on the spacer all round."""
    assert job.device.bezel is not None
    collar = job.device.bezel.outline().moved(*job.at)
    room, at = least_clearance(bore.mouth[-1][1], collar)
    what = "overlap of the device's bezel with the spacer's front"
    value = room + (bore.mouth[-1][0] - bore.front)
    advice = "it slips through; take a closer fit or less of edge in fits, or leave the bezel out"
    return at_least("hold.bezel", value, ON_BEZEL, what, at=(*at, bore.front), source=PRACTICE, advice=advice)


def _by_hand(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield the force that pushes ribs in at their tightest; a slit sleeve has none before the device backs it."""
    for face, ring, pressing in (
        ("sleeve into the panel", None if plan.slit else ring_in_panel(job, plan), plan.outside.pressing),
        ("device into the sleeve", ring_on_device(job, plan), plan.bore.pressing),
    ):
        if ring is not None:
            what = f"force to push the {face}, at its tightest"
            value = ring.holds(max(0.0, -pressing.tightest), job.fits.friction)
            source = "both thumbs: common practice, no source"
            advice = "press it in with a vice and wood, or take shorter or smaller ribs in fits"
            said: Said = {"case": face, "source": source, "advice": advice}
            yield at_most("hold.push-in", value, THUMBS, what, missed=Verdict.WARN, **said)


def _engaged(plan: SpacerPlan) -> Finding:
    what = "reach of the bump behind the panel's edge, at its least"
    source = "a layer, over all spread and the device's play: common practice"
    advice = "give fits a higher bump, or the device a closer fit, which backs it"
    return at_least("hold.bump", bump_engagement(plan), ENGAGED, what, source=source, advice=advice)
