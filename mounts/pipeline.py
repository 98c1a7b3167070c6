"""The way of a job through the program: load → plan → shape → build → check → write. Start reading here.

Each verb is a pure function from the values before it to a new one; only `load` reads files and only `write` writes
them. `load` is `mounts.load.resolve.job.load_job`, which the command line calls before anything heavier is imported;
the B-rep kernel is imported when something is built. Dummies and first-check slices are in `trials`, meshes from
elsewhere in `foreign`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from mounts.beds.estimate import estimate_print
from mounts.checks.check import report_part
from mounts.errors import InputError
from mounts.findings.report import Estimate, Pose, Report
from mounts.kernels import mesh
from mounts.kernels.agreement import Agreement
from mounts.kernels.part import Part
from mounts.kinds.kind import TRIED, JobT, Plan, Planned, kind_of, parts, plan
from mounts.load.models.inputs import JobInputs
from mounts.load.models.job import Job
from mounts.load.results.record import RECORD
from mounts.made import Made
from mounts.progress import report_stage
from mounts.shape.recipe import Scene
from mounts.write.files import check_folder, publish, safe_name
from mounts.write.output import Wish, paper_files, part_files, report_files
from mounts.write.record import record_text
from mounts.write.stl import apply_pose


def make(job: JobT, which: str = "") -> Made[JobT, Plan]:
    """Make one part of a job, from its plan to its checked solid.

    Args:
        job: one side of it.
        which: of how many parts it is, as a line of progress says it.
    """
    name = which + (job.part or job.name)
    report_stage("%s: plan", name)
    planned = _planned(job)
    scene = planned.draw()
    report_stage("%s: build the part, %d features", name, len(scene.recipe.features))
    part, agreement = build(scene)
    assembled = planned.kind.whole(planned.plan)
    whole = build(assembled)[0] if assembled else None
    report_stage("%s: check the part", name)
    report = report_part(planned, part, agreement, whole)
    report = replace(report, estimate=estimate_of(job, part, report.pose))
    return Made(planned.kind, job, planned.plan, scene, part, report)


def make_parts(jobs: Sequence[Job]) -> list[Made]:
    """Make every part of a job's sides."""
    every = parts(jobs)
    whiches = [f"part {k} of {len(every)}, " if len(every) > 1 else "" for k in range(1, len(every) + 1)]
    return [make(job, which) for job, which in zip(every, whiches, strict=True)]


def _planned(job: JobT) -> Planned[JobT, Plan]:
    """Return the plan of a job; raise InputError, with a change that was tried where one was found."""
    try:
        return plan(job)
    except InputError as error:
        change = kind_of(job).review().change(job, TRIED)
        if change is None:
            raise
        raise change.refused(error) from error


def estimate_of(job: Job, part: Part, pose: Pose) -> Estimate | None:
    """Estimate what printing a part takes; None for one that is cut."""
    if job.make != "print":
        return None
    return estimate_print(apply_pose(part.vertices, pose), part.triangles, job.printer, job.material)


def build(scene: Scene) -> tuple[Part, Agreement]:
    """Build a scene's part by the B-rep kernel, proven against the mesh kernel's."""
    from mounts.kernels.brep import build_verified

    return build_verified(scene.recipe)


def preview(job: Job, segments: int = 96) -> Part:
    """Build one part of a job by the mesh kernel alone, for a quick look."""
    kind = kind_of(job)
    return mesh.build(kind.shape(kind.plan(job)).recipe, segments)


def check(jobs: Sequence[Job]) -> Report:
    """Make every part of a job and return what `write` would report; no file is written."""
    return Report(jobs[0].name, tuple(one.report for one in make_parts(jobs)))


def write(jobs: Sequence[Job], out: Path, wish: Wish, inputs: JobInputs | None = None) -> tuple[Report, Path]:
    """Make every part of a job and write its files; nothing is written before all parts are made.

    With `inputs`, what the job was made from, a record is among the files.

    Returns:
        The report, and the folder that holds the files.
    """
    check_folder(out / safe_name(jobs[0].name))
    return write_made(make_parts(jobs), out, wish, inputs)


def write_made(made: Sequence[Made], out: Path, wish: Wish, inputs: JobInputs | None = None) -> tuple[Report, Path]:
    """Write the files of a job whose parts are made; return as `write` does."""
    name = made[0].job.name
    folder = out / safe_name(name)
    check_folder(folder)
    named = []
    for number, one in enumerate(made, start=1):
        report_stage("part %d of %d: write its files", number, len(made))
        named.append((one, part_files(one, wish)))
    report = Report(name, tuple(replace(one.report, files=tuple(files)) for one, files in named))
    report_stage("write the papers")
    papers = paper_files(name, made, [files for _, files in named], wish)
    report = replace(report, files=tuple(papers))
    files = {name: data for _, files in named for name, data in files.items()} | papers
    if inputs is not None:
        files[RECORD] = record_text(made, report, inputs).encode(errors="replace")
    files, stale = report_files(report, files)
    publish(folder, files, remove=stale)
    return report, folder
