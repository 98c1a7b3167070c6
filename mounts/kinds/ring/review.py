"""Review of a finished ring: its checks, and what its papers are made of."""

from __future__ import annotations

from mounts.checks.mesh.pose import find_pose
from mounts.checks.ring.changes import find_change, has_room, with_change
from mounts.checks.ring.findings import flat_findings, planned_findings, planned_flat_findings, ring_findings
from mounts.checks.ring.halves import alone_findings, half_findings
from mounts.design.chance import ReadHoles
from mounts.findings.report import Finding
from mounts.geometry.frames import Array
from mounts.kernels.part import Part
from mounts.kinds.review import Papers, Review
from mounts.kinds.ring import drawings, papers
from mounts.kinds.ring.base import fixing_errors
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.steps import flat_steps, ring_steps
from mounts.kinds.ring.values import RingPlan


def _found(job: RingJob, plan: RingPlan, part: Part) -> tuple[Finding, ...]:
    """Return the findings on a ring, with the change that mends it."""
    return with_change(job, ring_findings(job, plan, part))


def _planned(job: RingJob, plan: RingPlan) -> tuple[Finding, ...]:
    """Return the findings on a ring's plan, with the change that mends it."""
    return with_change(job, planned_findings(job, plan))


def _half(job: RingJob, plan: RingPlan, part: Part, whole: Part) -> tuple[Finding, ...]:
    """Return the findings on half a ring, with the change that mends it."""
    return with_change(job, half_findings(job, plan, part, whole))


def _holes(job: RingJob) -> ReadHoles | None:
    """Return the fixings as read; None for half a ring, which goes on with the other half."""
    if job.half:
        return None
    instrument = job.panel.read_with.holes
    named = instrument if isinstance(instrument, str) else ""
    return ReadHoles(named, job.uncertainty("holes"), job.panel.fixings.points, fixing_errors(job))


def _place(part: Part, plan: RingPlan, pose: Array) -> tuple[Array | None, str] | None:
    """Return how a mesh stands by its holes; None for half a ring, whose plan has holes that are the other half's."""
    return None if plan.half else find_pose(part, plan, pose)


RING = Review(
    findings=_found,
    planned=_planned,
    halves=_half,
    alone=alone_findings,
    change=find_change,
    room=has_room,
    holes=_holes,
    place=_place,
    papers=Papers(
        title=papers.title,
        steps=ring_steps,
        hardware=papers.hardware,
        torque=papers.torque,
        tools=papers.tools,
        calipers=drawings.ring_calipers,
        record=papers.record,
        stays=papers.stays,
        points=drawings.panel_fixings,
        front=drawings.ring_front,
        back=drawings.ring_back,
        heights=drawings.ring_heights,
    ),
)
FLAT = Review(
    findings=flat_findings,
    planned=planned_flat_findings,
    holes=_holes,
    papers=Papers(
        title=papers.title,
        steps=flat_steps,
        hardware=papers.hardware,
        torque=papers.torque,
        tools=papers.tools,
        calipers=drawings.flat_calipers,
        record=papers.record,
        stays=papers.stays,
        points=drawings.panel_fixings,
        front=drawings.flat_front,
        around=drawings.round_flat,
        heights=drawings.flat_heights,
    ),
)
