"""Review of a finished ring: its checks, and what its papers are made of."""

from __future__ import annotations

from mounts.checks.mesh.ring_pose import find_ring_pose
from mounts.checks.ring.findings import flat_findings, planned_findings, planned_flat_findings, ring_findings
from mounts.checks.ring.halves import alone_findings, half_findings
from mounts.kinds.review import Papers, Review
from mounts.kinds.ring import drawings, papers
from mounts.kinds.ring.steps import flat_steps, ring_steps

RING = Review(
    findings=ring_findings,
    planned=planned_findings,
    halves=half_findings,
    alone=alone_findings,
    place=find_ring_pose,
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
