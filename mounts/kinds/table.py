"""Every mount kind that can be made, by the words of a job: (kind, make)."""

from __future__ import annotations

from mounts.kinds.kind import Kind
from mounts.kinds.ring.flat import draw_flat, plan_flat
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_first_check, draw_ring

KINDS: dict[tuple[str, str], Kind] = {
    ("ring", "print"): Kind(plan_ring, draw_ring, draw_first_check),
    ("ring", "cut"): Kind(plan_flat, draw_flat, None),
}
