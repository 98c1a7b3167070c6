"""Room for cable, plug and device through and behind a spacer."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE, Finding
from mounts.geometry.clearance import least_clearance
from mounts.geometry.outline import circle
from mounts.identity import BORE, DEVICE
from mounts.kinds.spacer.values import BEHIND, CABLE, OVERMOULD, PASSAGE, SpacerPlan
from mounts.load.models.job_kinds import SpacerJob

BENDS = 4.0  # cable diameters that a cable needs to turn behind a device
PLUG = 0.25  # mm a side round a plug's overmould: half of what print guides give a cable or port


def room_findings(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield the room behind, the plug in front, and the cable's way through."""
    yield from _behind(job, plan)
    yield from _plug(job, plan)
    yield from _cable(job, plan)


def _behind(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    if job.port.room is None:
        return
    rearmost = min(plan.bore.device_back, plan.outside.back)
    wanted = max(job.limits.fixed, BENDS * (job.device.cable or 0.0))
    at = (*plan.slit.at, rearmost) if plan.slit else (*_middle(plan), rearmost)
    gap = Gap("clear.behind", (DEVICE, BEHIND), job.port.room + rearmost, wanted, job.limits.fixed, PRACTICE, at)
    advice = f"the cable needs {job.units(wanted, 0)} to turn: take an angled plug, or bring the device forward"
    yield gap.finding(advice)


def _plug(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield the room for the plug of a device that lies back in the bore."""
    if job.device.plug is None or job.recess <= 0:
        return
    room, at = least_clearance(job.device.plug.outline().moved(*job.at), plan.bore.outline)
    place = (*at, plan.front)
    gap = Gap("clear.plug", (OVERMOULD, BORE), room, PLUG, 0.0, "print guides: cable or port", place)
    yield gap.finding("the plug does not go in; give recess: 0")


def _cable(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield the room for the cable through the passage behind a stop."""
    if job.device.cable is None or plan.stop is None:
        return
    room, at = least_clearance(circle(job.device.cable, _middle(plan)), plan.stop.passage)
    gap = Gap("clear.cable", (CABLE, PASSAGE), room, job.fits.cable / 2, 0.0, PRACTICE, (*at, plan.outside.back))
    yield gap.finding("take a lesser seat in fits, or stop: false")


def _middle(plan: SpacerPlan) -> tuple[float, float]:
    x0, y0, x1, y1 = plan.bore.device.box
    return ((x0 + x1) / 2, (y0 + y1) / 2)
