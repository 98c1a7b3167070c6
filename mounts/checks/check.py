"""The check stage: what the plan, the two kernels and the finished part say about the world."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from mounts.checks.board.printed import board_findings, foot_findings
from mounts.checks.board.words import board_cautions, board_unread, foot_cautions, foot_unread
from mounts.checks.cautions import cautions
from mounts.checks.cup.printed import cup_findings
from mounts.checks.cup.words import cup_cautions, cup_unread
from mounts.checks.mesh.soundness import mesh_findings
from mounts.checks.order import in_order
from mounts.checks.ring.cut import flat_findings
from mounts.checks.ring.halves import half_findings
from mounts.checks.ring.printed import ring_findings
from mounts.checks.spacer.printed import spacer_findings
from mounts.checks.spacer.words import spacer_cautions, spacer_unread
from mounts.checks.unread import not_measured
from mounts.findings.report import Finding, PartReport, Verdict
from mounts.geometry.ties import at_least, at_most
from mounts.kernels.agree import MOST_PPM, Agreement
from mounts.kernels.part import Part, enclosed
from mounts.kinds.kind import Plan
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.resolved import AnyJob, Job

SAGGED = 0.5  # per cent of a part's volume that its triangles may lose or gain


@dataclass(frozen=True, slots=True)
class Checks:
    """What is said of one mount kind.

    Attributes:
        findings: job, plan and part → findings.
        cautions: job → what can hurt someone.
        unread: job → paths of the readings that were not taken.
    """

    findings: Callable[[Any, Any, Part], tuple[Finding, ...]]
    cautions: Callable[[Any], tuple[str, ...]]
    unread: Callable[[Any], tuple[str, ...]]


CHECKS: dict[tuple[str, str], Checks] = {
    ("ring", "print"): Checks(ring_findings, cautions, not_measured),
    ("ring", "cut"): Checks(flat_findings, cautions, not_measured),
    ("cup", "print"): Checks(cup_findings, cup_cautions, cup_unread),
    ("spacer", "print"): Checks(spacer_findings, spacer_cautions, spacer_unread),
    ("board", "cut"): Checks(board_findings, board_cautions, board_unread),
    ("board", "print"): Checks(board_findings, board_cautions, board_unread),
    ("foot", "print"): Checks(foot_findings, foot_cautions, foot_unread),
}


def part_report(job: AnyJob, plan: Plan, part: Part, agreement: Agreement, whole: Part | None = None) -> PartReport:
    """All that is said of one part; `whole` is the assembled mount that it is a half of."""
    checks = CHECKS[job.kind, job.make]
    found = check(job, plan, part, agreement, whole)
    return PartReport(job.part, found, checks.unread(job), cautions=checks.cautions(job))


def check(job: AnyJob, plan: Plan, part: Part, agreement: Agreement, whole: Part | None = None) -> tuple[Finding, ...]:
    """All findings on one part, in the order in which reprints happen."""
    if whole is None:
        found = CHECKS[job.kind, job.make].findings(job, plan, part)
    else:
        assert isinstance(job, Job)
        assert isinstance(plan, RingPlan)
        found = half_findings(job, plan, part, whole)
    return in_order((*found, *solid_findings(part, agreement)))


def solid_findings(part: Part, agreement: Agreement) -> tuple[Finding, ...]:
    """What mesh and kernels tell of any part that was built."""
    return (*mesh_findings(part), _filled(part), *_kernels(agreement))


def _filled(part: Part) -> Finding:
    """The volume that the triangles enclose, against that of the solid which they stand for."""
    off = 100 * (enclosed(part) / part.volume - 1)
    right = at_most(abs(off), SAGGED)
    return Finding(
        code="solid.triangles",
        verdict=Verdict.PASS if right else Verdict.FAIL,
        what="volume of the triangles over that of the solid",
        measured=off,
        closed_form=0.0,
        limit=SAGGED if at_least(off, 0.0) else -SAGGED,
        unit="%",
        source="0.02 mm of sag in walls of a few mm",
        advice="" if right else "the mesh is not the solid; report it with the job's file",
    )


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
