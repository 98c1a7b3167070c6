"""Findings on a dummy: printing, and that it is a solid. It carries nothing, so its walls may be thin."""

from __future__ import annotations

from dataclasses import replace

from mounts.checks.check import solid_findings
from mounts.checks.printing.findings import printing_findings
from mounts.findings.report import Finding, Pose, Verdict, in_order
from mounts.kernels.agreement import Agreement
from mounts.kernels.part import Part
from mounts.load.models.job import Job

CUT = "cut it in the slicer and tape the pieces together: it carries nothing"
MEANT = "print.least"  # its walls are two lines thick, which warns elsewhere


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
