"""The tool to every screw: what it would take of the finished mesh must be nothing."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.checks.clearance import Assembly, overlap
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.identity import MOUNT, Ident, Role
from mounts.kinds.ring.values import RingPlan
from mounts.kinds.ring.way import driver_ident


def access(assembly: Assembly, plan: RingPlan) -> Iterator[Finding]:
    """Every screw reached by a straight tool: what the tool takes of the finished mesh must be nothing."""
    for code, tools in (
        ("access.panel-screws", [Ident(Role.TOOL, fixing.name) for fixing in plan.fixings]),
        ("access.speaker-screws", [driver_ident(screw) for screw in plan.seat.screws]),
    ):
        for tool in tools:
            if tool in assembly.things:
                yield _reached(code, tool, overlap(assembly, tool, MOUNT))


def _reached(code: str, tool: Ident, taken: float) -> Finding:
    free = taken == 0.0
    return Finding(
        code=code,
        verdict=Verdict.PASS if free else Verdict.FAIL,
        what=f"{tool} in the way of the mount",
        measured=taken,
        closed_form=0.0,
        limit=0.0,
        unit="mm³",
        between=(tool, MOUNT),
        source=PRACTICE,
        advice="" if free else "take a smaller washer or head, or another turn",
    )
