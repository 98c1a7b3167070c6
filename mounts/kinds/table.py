"""Every mount kind that can be made, by the words of a job: (kind, make)."""

from __future__ import annotations

from mounts.checks.unread import not_measured
from mounts.kinds.kind import Kind
from mounts.kinds.ring.findings import ring_findings
from mounts.kinds.ring.flat import draw_flat, flat_findings, plan_flat
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_first_check, draw_ring

KINDS: dict[tuple[str, str], Kind] = {
    ("ring", "print"): Kind(plan_ring, draw_ring, draw_first_check, ring_findings, not_measured),
    ("ring", "cut"): Kind(plan_flat, draw_flat, None, flat_findings, not_measured),
}
