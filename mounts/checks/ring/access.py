"""The tool to every screw: what it would take of the finished mesh must be nothing."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.checks.clearance import Assembly, overlap
from mounts.findings.compare import at_most
from mounts.findings.report import PRACTICE, Finding
from mounts.kinds.ring.values import RingPlan


def access(assembly: Assembly, plan: RingPlan) -> Iterator[Finding]:
    """Every screw reached by a straight tool: what the tool takes of the finished mesh must be nothing."""
    for kind, names in (
        ("access.panel-screws", [f"tool {fixing.name}" for fixing in plan.fixings]),
        ("access.speaker-screws", [f"driver {screw.name}" for screw in plan.seat.screws]),
    ):
        for name in names:
            if name in assembly.things:
                yield _reached(kind, name, overlap(assembly, name, "mount"))


def _reached(code: str, name: str, taken: float) -> Finding:
    what, advice = f"{name} in the way of the mount", "take a smaller washer or head, or another turn"
    return at_most(code, 0.0, 0.0, what, measured=taken, between=(name, "mount"), source=PRACTICE, advice=advice)
