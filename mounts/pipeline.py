"""The way of a job through the tool: load → plan → shape → build → check → write. Start reading here.

Each verb is a pure function from the values before it to a new one; only `load` reads files and only `write` writes
them. `load` is `mounts.load.job.load_job`, which the command line calls before anything heavier is imported; the B-rep
kernel is imported when something is built.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from mounts.beds.estimate import estimated
from mounts.checks.check import report_part
from mounts.checks.dummy import dummy_findings
from mounts.checks.mesh_file import bare_mesh_findings, mesh_file_findings
from mounts.errors import InputError
from mounts.findings.report import Estimate, Finding, PartReport, Pose, Report
from mounts.kernels import mesh
from mounts.kernels.agree import Agreement
from mounts.kernels.part import Part
from mounts.kinds.kind import JobT, Plan
from mounts.kinds.table import kind_of, parts, plan
from mounts.load.models.jobbase import Job
from mounts.load.models.workshop import Material
from mounts.made import Made
from mounts.shape.recipe import Scene
from mounts.write.files import check_folder, publish, safe_name
from mounts.write.output import NO_SIDE, Wish, files_of, paper_files, report_files, slice_files, solid_files
from mounts.write.stl import posed

ALIKE = 2.0  # per cent of its surface by which a mesh may fit two parts alike


def make(job: JobT) -> Made[JobT, Plan]:
    """One side of a job, from its plan to its checked part."""
    planned = plan(job)
    scene = planned.draw()
    part, agreement = build(scene)
    assembled = planned.kind.whole(planned.plan)
    whole = build(assembled)[0] if assembled else None
    report = report_part(planned, part, agreement, whole)
    report = replace(report, estimate=estimate_of(job, part, report.pose))
    return Made(planned.kind, job, planned.plan, scene, part, report)


def estimate_of(job: Job, part: Part, pose: Pose) -> Estimate | None:
    """What printing a part takes; None for one that is cut."""
    if job.make != "print":
        return None
    return estimated(posed(part.vertices, pose), part.triangles, job.printer, job.material)


def build(scene: Scene) -> tuple[Part, Agreement]:
    """The real part of a scene by the B-rep kernel, proven by the mesh kernel's."""
    from mounts.kernels.proved import proved  # noqa: PLC0415

    return proved(scene.recipe)


def preview(job: Job, segments: int = 96) -> Part:
    """A quick look at one side of a job, by the mesh kernel alone."""
    kind = kind_of(job)
    return mesh.build(kind.shape(kind.plan(job)).recipe, segments)


def checked(jobs: Sequence[Job]) -> Report:
    """Makes every side of a job and writes nothing: what `write` would report."""
    return Report(jobs[0].name, tuple(make(job).report for job in parts(jobs)))


def looked_at(part: Part, material: Material | None = None) -> Report:
    """What a mesh file tells of itself."""
    return Report(part.name, (PartReport("", bare_mesh_findings(part, material)),))


def compared(part: Part, jobs: Sequence[Job]) -> Report:
    """A mesh file as the part that a job asks for: as that of each side where it fits, else of the first.

    Where a job comes in two halves and the mesh is not the whole, it is held against each half.
    """
    reports = [_compared(part, job) for job in jobs]
    fitting = [report for report in reports if report.has_passed("placed")]
    if not fitting:
        halves = [_compared(part, half) for half in parts(jobs) if half not in jobs]
        fitting = [report for report in halves if report.has_passed("placed")]
    most = max((_in_place(report) for report in fitting), default=0.0)
    nearest = [report for report in fitting if _in_place(report) > most - ALIKE]
    return Report(part.name, tuple(nearest or reports[:1]))


def _in_place(report: PartReport) -> float:
    """How much of a mesh lies where the part was planned, per cent; 100 where it was found by its holes."""
    return next((one.measured for one in report.findings if one.code == "placed" and one.measured is not None), 100.0)


def _compared(part: Part, job: Job) -> PartReport:
    kind, planned = kind_of(job), plan(job)
    found = mesh_file_findings(planned, mesh.build(kind.shape(planned.plan).recipe), part)
    return PartReport(job.part, found, kind.unread(job), cautions=kind.cautions(job))


def write(jobs: Sequence[Job], out: Path, wish: Wish) -> tuple[Report, Path]:
    """Makes every side of a job and writes its files; nothing is written before all sides are made.

    Returns:
        The report, and the folder that holds the files.
    """
    check_folder(out / safe_name(jobs[0].name))
    return write_made([make(job) for job in parts(jobs)], out, wish)


def write_made(made: Sequence[Made], out: Path, wish: Wish) -> tuple[Report, Path]:
    """Writes the files of a job whose sides are made; returns as `write` does."""
    name = made[0].job.name
    folder = out / safe_name(name)
    check_folder(folder)
    named = [(one, files_of(one, wish)) for one in made]
    report = Report(name, tuple(replace(one.report, files=tuple(files)) for one, files in named))
    papers = paper_files(name, made, [files for _, files in named], wish)
    report = replace(report, files=tuple(papers))
    files, stale = report_files(report, {name: data for _, files in named for name, data in files.items()} | papers)
    publish(folder, files, remove=stale)
    return report, folder


def dummies(job: Job) -> dict[str, tuple[Part, Pose, tuple[Finding, ...]]]:
    """The parts of a job's dummy by name, each with its print pose and what is said of printing it.

    What its thin walls and arms enclose is counted by the mesh kernel, and the B-rep kernel must find as many holes.

    Raises:
        InputError: for a mount of which there is no dummy.
    """
    kind = kind_of(job)
    if kind.dummy is None:
        sort = f"{job.kind} cut from sheet" if job.make == "cut" else job.kind
        instead = "its first-check slice" if kind.slice else "its template" if job.make == "cut" else "the part itself"
        raise InputError(job.problem("kind", f"only a printed ring has a dummy; for a {sort} use {instead}"))
    found = {}
    for name, (scene, pose) in kind.dummy(job, kind.plan(job)).items():
        counted = replace(scene.recipe, genus=mesh.build(scene.recipe).genus)
        part, agreement = build(Scene(counted))
        found[name] = (part, pose, dummy_findings(job, part, agreement, pose))
    return found


def write_dummies(jobs: Sequence[Job], out: Path, wish: Wish) -> tuple[Report, Path]:
    """Makes the dummy of every side and writes it.

    Returns:
        What is said of printing each part, with the names of its files, and the folder that holds them.

    Raises:
        InputError: for a mount of which there is no dummy.
    """
    folder = out / safe_name(jobs[0].name)
    check_folder(folder)
    files: dict[str, bytes] = {}
    told = []
    for job in jobs:
        for name, (part, pose, findings) in dummies(job).items():
            title = ", ".join(filter(None, (job.name, job.side, f"dummy, {name}")))
            own = solid_files(f"{job.side or NO_SIDE}.dummy-{name}", title, part, wish, pose)
            told.append(PartReport(f"{job.side} {name}".strip(), findings, pose=pose, files=tuple(own)))
            files |= own
    publish(folder, files)
    return Report(jobs[0].name, tuple(told)), folder


def write_slices(jobs: Sequence[Job], out: Path, wish: Wish) -> tuple[tuple[str, ...], Path]:
    """Makes the first-check slice of every part and writes it.

    Returns:
        The names of the files, and the folder that holds them.

    Raises:
        InputError: for a mount of which there is no such slice.
    """
    folder = out / safe_name(jobs[0].name)
    check_folder(folder)
    files: dict[str, bytes] = {}
    for job in parts(jobs):
        kind = kind_of(job)
        if kind.slice is None:
            sort = "mount cut from sheet" if job.make == "cut" else job.kind
            raise InputError(job.problem("make", f"a {sort} needs no first-check slice; use its template"))
        planned = kind.plan(job)
        part, _ = build(kind.slice(planned))
        files |= slice_files(job, part, wish, kind.slice_pose(planned))
    publish(folder, files)
    return tuple(files), folder
