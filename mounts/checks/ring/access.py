"""Access of a straight tool to every screw, as its overlap with the finished mesh."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.checks.assembly import Assembly, overlap_volume
from mounts.findings.compare import at_most
from mounts.findings.report import PRACTICE, Finding
from mounts.identity import MOUNT, Ident, Role
from mounts.kinds.ring.insertion import driver_ident
from mounts.kinds.ring.values import RingPlan


def access_findings(assembly: Assembly, plan: RingPlan) -> Iterator[Finding]:
    """Yield the overlap of the straight tool to each screw with the finished mesh, which must be nothing."""
    for code, tools in (
        ("access.panel-screws", [Ident(Role.TOOL, fixing.name) for fixing in plan.fixings]),
        ("access.speaker-screws", [driver_ident(screw) for screw in plan.seat.screws]),
    ):
        for tool in tools:
            if tool in assembly.things:
                yield _reached(code, tool, overlap_volume(assembly, tool, MOUNT))


def _reached(code: str, tool: Ident, taken: float) -> Finding:
    what, advice = f"{tool} in the way of the mount", "take a smaller washer or head, or another turn"
    return at_most(code, 0.0, 0.0, what, measured=taken, between=(tool, MOUNT), source=PRACTICE, advice=advice)
