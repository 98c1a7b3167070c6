"""Trial parts that a ring is tried with before it is printed: the dummy's two halves and the first-check slice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from mounts.checks.check import dummy_findings
from mounts.errors import InputError
from mounts.findings.report import Finding, PartReport, Pose, Report, Verdict, gravest
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.kinds.kind import kind_of, parts, plan
from mounts.load.models.job import Job
from mounts.pipeline import build
from mounts.shape.recipe import Scene
from mounts.write.files import check_folder, publish, safe_name
from mounts.write.output import NO_SIDE, NOT_OK, Wish, slice_files, solid_files


def make_dummies(job: Job) -> dict[str, tuple[Part, Pose, tuple[Finding, ...]]]:
    """Make the parts of a job's dummy by name, each with its print pose and the findings on printing it.

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
    """Make the dummy of every side and write it.

    Returns:
        The findings on printing each part, with the names of its files, and the folder that holds them.

    Raises:
        InputError: for a mount of which there is no dummy.
    """
    folder = out / safe_name(jobs[0].name)
    check_folder(folder)
    files: dict[str, bytes] = {}
    reports, stale = [], []
    for job in jobs:
        for name, (part, pose, findings) in make_dummies(job).items():
            title = ", ".join(filter(None, (job.name, job.side, f"dummy, {name}")))
            good = f"{job.side or NO_SIDE}.dummy-{name}"
            fails = gravest(one.verdict for one in findings) is Verdict.FAIL
            stem, other = (f"{good}.{NOT_OK}", good) if fails else (good, f"{good}.{NOT_OK}")
            own = solid_files(stem, title, part, wish, pose)
            reports.append(
                PartReport(f"{job.side} {name}".strip(), findings, pose=pose, files=tuple(own), units=job.units)
            )
            files |= own
            stale += [f"{other}.{form}" for form in wish.formats]
    publish(folder, files, remove=stale)
    return Report(jobs[0].name, tuple(reports)), folder


def planned_report(jobs: Sequence[Job]) -> Report:
    """Return what the plans of a job's own mounts miss, of which their dummies say nothing."""
    planned = [plan(job) for job in jobs]
    return Report(
        jobs[0].name,
        tuple(
            PartReport(one.job.side, one.kind.review().planned(one.job, one.plan), units=one.job.units)
            for one in planned
        ),
    )


def write_slices(jobs: Sequence[Job], out: Path, wish: Wish) -> tuple[tuple[str, ...], Path]:
    """Make the first-check slice of every part and write it.

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
