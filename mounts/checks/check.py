"""The check stage: what the plan, the two kernels and the finished part say about the world."""

from __future__ import annotations

from typing import Any

from mounts.checks.report import Finding, PartReport, Verdict
from mounts.kernels.agree import MOST_PPM, Agreement, agreed
from mounts.kernels.part import Part
from mounts.kinds.kind import Kind
from mounts.load.models.resolved import Job
from mounts.shape.recipe import Scene


def check(job: Job, plan: Any, scene: Scene, part: Part, kind: Kind) -> PartReport:
    """All findings on one part.

    Raises:
        KernelError: if the two kernels do not make the same part, for then nothing else that is said holds.
    """
    agreement = agreed(part, scene.recipe)
    findings = (*kind.findings(job, plan), *_kernels(agreement))
    return PartReport(job.side, findings, kind.not_measured(job))


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
