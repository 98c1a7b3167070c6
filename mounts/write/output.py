"""Which files a part gives, and their contents; a part that breaks a limit gives them under another name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Literal

from mounts.findings.report import AS_BUILT, PartReport, Pose, Report, Verdict
from mounts.geometry.frames import Vector
from mounts.kernels.part import Part
from mounts.kinds.kind import Plan
from mounts.load.models.resolved import AnyJob
from mounts.write.report import report_json

FORMATS = ("stl", "step", "3mf", "png", "pdf", "dxf")
PAPERS = ("a4", "letter")
NOT_OK = "not-ok"
NO_SIDE = "part"  # stem of a part that belongs to no side
REPORT = "report.json"
HALVES = (".a", ".b")  # what the names of a ring's halves end with


@dataclass(frozen=True, slots=True)
class Wish:
    """Which formats are wanted, and on which paper the template is printed."""

    formats: tuple[str, ...] = FORMATS
    paper: Literal["a4", "letter"] = "a4"


def files_of(job: AnyJob, plan: Plan, part: Part, report: PartReport, wish: Wish) -> dict[str, bytes]:
    """Names and contents of one part's files: `left.stl`, or `left.not-ok.stl` when the report fails it."""
    good = job.part or NO_SIDE
    stem = f"{good}.{NOT_OK}" if report.verdict is Verdict.FAIL else good
    made = partial(_contents, job=job, plan=plan, part=part, report=report, wish=wish)
    return {f"{stem}.{form}": made(form) for form in _wanted(job, wish)}


def slice_files(job: AnyJob, part: Part, wish: Wish) -> dict[str, bytes]:
    """Names and contents of a first-check slice's files: `left.first-check.stl` and so on."""
    forms = [form for form in _wanted(job, wish) if form in ("stl", "step", "3mf", "png")]
    title = ", ".join(filter(None, (job.name, job.part, "first check")))
    return {f"{job.part or NO_SIDE}.first-check.{form}": _solid(form, title, part) for form in forms}


def report_files(report: Report, files: Mapping[str, bytes]) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """All files of a job with its report, and the names of stale ones: what a good part replaces."""
    whole = {**files, REPORT: report_json(report).encode()}
    good = [part.side or NO_SIDE for part in report.parts if part.verdict is not Verdict.FAIL]
    stale = [f"{side}.{NOT_OK}" for side in good]
    for side in good:  # a ring that was in one is now in two, or the other way round
        before = [side[:-2]] if side.endswith(HALVES) else [f"{side}{half}" for half in HALVES]
        stale += [stem for name in before for stem in (name, f"{name}.{NOT_OK}")]
    return whole, tuple(f"{stem}.{form}" for stem in dict.fromkeys(stale) for form in FORMATS)


def _wanted(job: AnyJob, wish: Wish) -> Sequence[str]:
    """The formats that make sense for a part and are wanted."""
    useless = ("dxf",) if job.make == "print" else ("stl", "3mf")
    return [form for form in FORMATS if form in wish.formats and form not in useless]


def _contents(form: str, *, job: AnyJob, plan: Plan, part: Part, report: PartReport, wish: Wish) -> bytes:
    if form == "pdf":
        from mounts.write.template import template_pdf  # noqa: PLC0415

        return template_pdf(plan.paper, wish.paper)
    if form == "dxf":
        from mounts.write.dxf import dxf_bytes  # noqa: PLC0415

        return dxf_bytes(plan.paper)
    marks = [finding.at for finding in report.marked if finding.at is not None]
    return _solid(form, ", ".join(filter(None, (job.name, job.part))), part, marks, report.pose)


def _solid(form: str, title: str, part: Part, marks: Sequence[Vector] = (), pose: Pose = AS_BUILT) -> bytes:
    """One of the formats that hold the part itself, those for the slicer in print pose; a picture shows the marks."""
    if form == "stl":
        from mounts.write.stl import stl_bytes  # noqa: PLC0415

        return stl_bytes(part, pose)
    if form == "3mf":
        from mounts.write.threemf import Item, threemf_bytes  # noqa: PLC0415

        return threemf_bytes(title, [Item(part, title, (pose,))])
    if form == "step":
        from mounts.write.step import step_bytes  # noqa: PLC0415

        return step_bytes(part)
    from mounts.write.picture import png_bytes  # noqa: PLC0415

    return png_bytes(part, marks=marks, caption=title)
