"""The check stage: findings from the plan, the two kernels and the finished part.

Findings on a coupon and on its plug: walls, printing, solids.

Findings on a dummy: printing, and that it is a solid. It carries nothing, so its walls may be thin.
"""

from __future__ import annotations

from dataclasses import replace

from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.soundness import mesh_findings
from mounts.checks.mesh.walls import wall_findings
from mounts.checks.printing.findings import printing_findings
from mounts.findings.compare import Said, at_most, within
from mounts.findings.report import Finding, PartReport, Pose, Verdict, in_order
from mounts.kernels.agreement import MOST_PPM, Agreement
from mounts.kernels.part import Part
from mounts.kinds.coupon.plan import CouponPlan
from mounts.kinds.kind import Planned
from mounts.load.models.job import Job
from mounts.load.models.workshop import Printer

CUT = "cut it in the slicer and tape the pieces together: it carries nothing"
MEANT = "print.least"  # its walls are two lines thick, which warns elsewhere
SAGGED = 0.5  # per cent of a part's volume that its triangles may lose or gain


def coupon_findings(plan: CouponPlan, part: Part, agreement: Agreement, printer: Printer) -> tuple[Finding, ...]:
    """Return all findings on the star."""
    walls = wall_findings(part, plan.walls, behind_label=plan.thick / 2, skin=Skin.of(part))
    found = (*walls, *printing_findings(part, printer, labels=plan.labels), *solid_findings(part, agreement))
    return in_order(found)


def plug_findings(part: Part, agreement: Agreement, printer: Printer) -> tuple[Finding, ...]:
    """Return all findings on the loose plug."""
    return in_order((*printing_findings(part, printer), *solid_findings(part, agreement)))


def dummy_findings(job: Job, part: Part, agreement: Agreement, pose: Pose) -> tuple[Finding, ...]:
    """Return all findings on one part of a dummy.

    Args:
        job: whose printer prints it.
        part: in the panel frame.
        agreement: of both kernels.
        pose: in which it is printed.
    """
    found = (*printing_findings(part, job.printer, pose, units=job.units), *solid_findings(part, agreement))
    return in_order([_meant(one) for one in found])


def _meant(finding: Finding) -> Finding:
    """Return a finding with the verdict and advice that hold for a dummy."""
    if finding.code == "bed" and finding.verdict is Verdict.FAIL:
        return replace(finding, advice=f"{finding.advice}, or {CUT}")
    if finding.code != MEANT or finding.verdict is not Verdict.WARN:
        return finding
    return replace(finding, verdict=Verdict.PASS, advice="", what="least feature, two lines as meant")


def report_part(planned: Planned, part: Part, agreement: Agreement, whole: Part | None = None) -> PartReport:
    """Return the report on one part; `whole` is the assembled mount that it is a half of."""
    kind, job = planned.kind, planned.job
    found = check_part(planned, part, agreement, whole)
    cautions, pose = kind.cautions(job), kind.pose(planned.plan)
    return PartReport(job.part, found, kind.unread(job), pose, cautions=cautions, units=job.units)


def check_part(planned: Planned, part: Part, agreement: Agreement, whole: Part | None = None) -> tuple[Finding, ...]:
    """Return all findings on one part, those that most often cause a reprint first."""
    review, job, plan = planned.kind.review(), planned.job, planned.plan
    if whole is None or review.halves is None:
        found = review.findings(job, plan, part)
    else:
        found = review.halves(job, plan, part, whole)
    return in_order((*found, *solid_findings(part, agreement)))


def solid_findings(part: Part, agreement: Agreement) -> tuple[Finding, ...]:
    """Return the findings of mesh and kernels on any built part."""
    return (*mesh_findings(part), _filled(part), *_kernels(agreement))


def _filled(part: Part) -> Finding:
    """Return the finding on the volume of the triangles against that of the solid they approximate."""
    off = 100 * (part.mesh.volume / part.volume - 1)
    what = "volume of the triangles to that of the solid"
    source = "0.02 mm of sag in walls of a few mm"
    advice = "the mesh is not the solid; report it with the job's file"
    return within("solid.triangles", off, 0.0, SAGGED, what, source=source, advice=advice)


def _kernels(found: Agreement) -> tuple[Finding, ...]:
    apart: Said = {"source": "two kernels written apart"}
    off, holes, wanted = abs(found.difference_ppm), float(found.brep_genus), float(found.genus)
    return (
        at_most("solid.volume", None, MOST_PPM, "difference of the two kernels' volumes", measured=off, **apart),
        within("solid.holes", holes, wanted, 0.0, "through holes in one solid", **apart),
    )
