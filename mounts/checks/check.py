"""The check stage: what the plan, the two kernels and the finished part say about the world."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from mounts.checks.order import in_order
from mounts.checks.ring.cut import flat_findings
from mounts.checks.ring.printed import ring_findings
from mounts.findings.report import Finding, Verdict
from mounts.kernels.agree import MOST_PPM, Agreement
from mounts.kernels.part import Part
from mounts.kinds.kind import Plan
from mounts.load.models.resolved import Job

CHECKS: dict[tuple[str, str], Callable[[Job, Any, Part], tuple[Finding, ...]]] = {
    ("ring", "print"): ring_findings,
    ("ring", "cut"): flat_findings,
}


def check(job: Job, plan: Plan, part: Part, agreement: Agreement) -> tuple[Finding, ...]:
    """All findings on one part, in the order in which reprints happen."""
    findings = CHECKS[job.kind, job.make]
    return in_order((*findings(job, plan, part), *_kernels(agreement)))


def _kernels(found: Agreement) -> tuple[Finding, ...]:
    source = "two kernels written apart"
    volume = Finding(
        code="solid.volume",
        verdict=Verdict.PASS,
        what="difference of the two kernels' volumes",
        measured=abs(found.difference_ppm),
        limit=MOST_PPM,
        unit="ppm",
        source=source,
    )
    holes = Finding(
        code="solid.holes",
        verdict=Verdict.PASS,
        what="through holes in one solid",
        measured=float(found.brep_genus),
        closed_form=float(found.genus),
        limit=float(found.genus),
        unit="1",
        source=source,
    )
    return (volume, holes)
