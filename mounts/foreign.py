"""Mesh files that somebody else drew, checked alone or as the part that a job asks for."""

from __future__ import annotations

from collections.abc import Sequence

from mounts.checks.mesh_file import bare_mesh_findings, mesh_file_findings
from mounts.findings.report import PartReport, Report
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.kinds.kind import kind_of, parts, plan
from mounts.load.models.job import Job
from mounts.load.models.workshop import Material

ALIKE = 2.0  # per cent of its surface by which a mesh may fit two parts alike


def check_mesh(part: Part, material: Material | None = None) -> Report:
    """Check a mesh by itself: is it sound, where is it thin, does it print."""
    return Report(part.name, (PartReport("", bare_mesh_findings(part, material)),))


def check_mesh_as(part: Part, jobs: Sequence[Job]) -> Report:
    """Check a mesh as the part that a job asks for: as that of each side where it fits, else of the first.

    Where a job comes in two halves and the mesh is not the whole, it is held against each half.
    """
    reports = [_check_as(part, job) for job in jobs]
    fitting = [report for report in reports if report.has_passed("placed")]
    if not fitting:
        halves = [_check_as(part, half) for half in parts(jobs) if half not in jobs]
        fitting = [report for report in halves if report.has_passed("placed")]
    most = max((_in_place(report) for report in fitting), default=0.0)
    nearest = [report for report in fitting if _in_place(report) > most - ALIKE]
    return Report(part.name, tuple(nearest or reports[:1]))


def _in_place(report: PartReport) -> float:
    """Return the share of a mesh that lies where the part was planned, per cent; 100 where its holes placed it."""
    return next((one.measured for one in report.findings if one.code == "placed" and one.measured is not None), 100.0)


def _check_as(part: Part, job: Job) -> PartReport:
    kind, planned = kind_of(job), plan(job)
    found = mesh_file_findings(planned, mesh.build(kind.shape(planned.plan).recipe), part)
    return PartReport(job.part, found, kind.unread(job), cautions=kind.cautions(job), units=job.units)
