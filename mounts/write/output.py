"""Which files a part gives, and their contents; a part that breaks a limit gives them under another name."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from mounts.findings.report import AS_BUILT, Pose, Report, Verdict
from mounts.geometry.frames import Vector
from mounts.kernels.part import Part
from mounts.load.models.jobbase import Job
from mounts.made import Made
from mounts.write.report import report_json

if TYPE_CHECKING:
    from mounts.papers.entry import Entry

FORMATS = ("stl", "step", "3mf", "png", "pdf", "dxf", "html")
TO_THE_TOOL = (".3mf", ".stl", ".dxf", ".step")  # what slicer or saw takes, the best first
NOT_OK = "not-ok"
PAPERS = ("papers.pdf", f"papers.{NOT_OK}.pdf")  # the booklet, of good parts and where one fails
NO_SIDE = "part"  # stem of a part that belongs to no side
REPORT = "report.json"
HALVES = (".a", ".b")  # what the names of a ring's halves end with


@dataclass(frozen=True, slots=True)
class Wish:
    """Which formats are wanted, and on which paper the template is printed."""

    formats: tuple[str, ...] = FORMATS
    paper: Literal["a4", "letter"] = "a4"


def files_of(made: Made, wish: Wish) -> dict[str, bytes]:
    """Names and contents of one part's files: `left.stl`, or `left.not-ok.stl` when the report fails it."""
    good = made.job.part or NO_SIDE
    stem = f"{good}.{NOT_OK}" if made.report.verdict is Verdict.FAIL else good
    return {f"{stem}.{form}": _contents(form, made) for form in _wanted(made.job, wish) if form != "pdf"}


def paper_files(title: str, made: Sequence[Made], files: Sequence[Mapping[str, bytes]], wish: Wish) -> dict[str, bytes]:
    """Name and contents of the booklet of some parts, of one job or of several; nothing where it is not wanted.

    Args:
        title: of the job or kit.
        made: the parts; those of one job stand together.
        files: of each part, by name; its picture is drawn where it is not among them.
        wish: formats and paper.
    """
    if "pdf" not in wish.formats:
        return {}
    from mounts.papers.booklet import booklet  # noqa: PLC0415
    from mounts.papers.chapter import chapter_of  # noqa: PLC0415
    from mounts.papers.entry import Entry  # noqa: PLC0415
    from mounts.write.booklet import booklet_pdf  # noqa: PLC0415

    entries = [
        Entry(chapter_of(one), one.report, picture_in(own) or _contents("png", one), for_the_tool(own))
        for one, own in zip(made, files, strict=True)
    ]
    return {papers_name(entries): booklet_pdf(booklet(title, entries), wish.paper)}


def papers_name(parts: Sequence[Entry]) -> str:
    """The booklet's name, another one where a part fails."""
    return PAPERS[any(one.fails for one in parts)]


def picture_in(files: Mapping[str, bytes]) -> bytes | None:
    """A part's picture among its files."""
    return next((data for name, data in files.items() if name.endswith(".png")), None)


def for_the_tool(files: Iterable[str]) -> str:
    """Name of a part's file for the slicer or the saw; empty where there is none."""
    names = list(files)
    return next((name for form in TO_THE_TOOL for name in names if name.endswith(form)), "")


def slice_files(job: Job, part: Part, wish: Wish, pose: Pose = AS_BUILT) -> dict[str, bytes]:
    """Names and contents of a first-check slice's files: `left.first-check.stl` and so on."""
    title = ", ".join(filter(None, (job.name, job.part, "first check")))
    return solid_files(f"{job.part or NO_SIDE}.first-check", title, part, wish, pose)


def solid_files(stem: str, title: str, part: Part, wish: Wish, pose: Pose = AS_BUILT) -> dict[str, bytes]:
    """Names and contents of the files of a part without a job: STL, STEP, 3MF and picture."""
    forms = [form for form in FORMATS if form in wish.formats and form in ("stl", "step", "3mf", "png")]
    return {f"{stem}.{form}": _solid(form, title, part, (), pose) for form in forms}


def report_files(report: Report, files: Mapping[str, bytes]) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """All files of a job with its report, and the names of stale ones: what a good part replaces."""
    whole = {**files, REPORT: report_json(report, digests_of(files)).encode()}
    good = [part.side or NO_SIDE for part in report.parts if part.verdict is not Verdict.FAIL]
    stale = [f"{side}.{NOT_OK}" for side in good]
    for side in good:  # a ring that was in one is now in two, or the other way round
        before = [side[:-2]] if side.endswith(HALVES) else [f"{side}{half}" for half in HALVES]
        stale += [stem for name in before for stem in (name, f"{name}.{NOT_OK}")]
    names = [f"{stem}.{form}" for stem in dict.fromkeys(stale) for form in FORMATS]
    return whole, (*names, *(PAPERS[1:] if report.verdict is not Verdict.FAIL else ()))


def digests_of(files: Mapping[str, bytes]) -> dict[str, str]:
    """SHA-256 of each file, by name, as 64 hexadecimal digits."""
    return {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}


def _wanted(job: Job, wish: Wish) -> Sequence[str]:
    """The formats that make sense for a part and are wanted."""
    useless = ("dxf",) if job.make == "print" else ("stl", "3mf")
    return [form for form in FORMATS if form in wish.formats and form not in useless]


def _contents(form: str, made: Made) -> bytes:
    if form == "dxf":
        from mounts.write.dxf import dxf_bytes  # noqa: PLC0415

        return dxf_bytes(made.plan.paper)
    if form == "html":
        from mounts.write.page.onefile import view_html  # noqa: PLC0415

        return view_html(made)
    marks = [finding.at for finding in made.report.marked if finding.at is not None]
    title = ", ".join(filter(None, (made.job.name, made.job.part)))
    return _solid(form, title, made.part, marks, made.report.pose)


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
