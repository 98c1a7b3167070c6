"""Files of a part and their contents; a part that breaks a limit gives them under another name."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from mounts.findings.report import AS_BUILT, Pose, Report, Verdict
from mounts.kernels.part import Part
from mounts.load.models.job import Job
from mounts.made import Made
from mounts.write.formats import FORMATS, TO_THE_TOOL, Source, png_of
from mounts.write.report import report_json

if TYPE_CHECKING:
    from mounts.papers.entry import BookletEntry

NOT_OK = "not-ok"
PAPERS = ("papers.pdf", f"papers.{NOT_OK}.pdf")  # the booklet, of good parts and where one fails
NO_SIDE = "part"  # stem of a part that belongs to no side
REPORT = "report.json"
HALVES = (".a", ".b")  # what the names of a ring's halves end with


@dataclass(frozen=True, slots=True)
class Wish:
    """Formats that are wanted, and the paper on which the template is printed."""

    formats: tuple[str, ...] = tuple(FORMATS)
    paper: Literal["a4", "letter"] = "a4"


def part_files(made: Made, wish: Wish) -> dict[str, bytes]:
    """Return the names and contents of one part's files: `left.stl`, or `left.not-ok.stl` when the report fails it."""
    good = made.job.part or NO_SIDE
    stem = f"{good}.{NOT_OK}" if made.report.verdict is Verdict.FAIL else good
    forms = [name for name, one in FORMATS.items() if name in wish.formats and one.make in (None, made.job.make)]
    return _solid_files(stem, _source(made), forms)


def paper_files(title: str, made: Sequence[Made], files: Sequence[Mapping[str, bytes]], wish: Wish) -> dict[str, bytes]:
    """Name and contents of the booklet of some parts, of one job or of several; nothing where it is not wanted.

    Args:
        title: title of the job or kit.
        made: the parts; those of one job stand together.
        files: files of each part, by name; its picture is drawn where it is not among them.
        wish: formats and paper.
    """
    if "pdf" not in wish.formats:
        return {}
    from mounts.papers.booklet import booklet
    from mounts.papers.chapter import make_chapter
    from mounts.papers.entry import BookletEntry
    from mounts.write.booklet import booklet_pdf

    entries = [
        BookletEntry(make_chapter(one), one.report, find_picture(own) or png_of(_source(one)), tool_file(own))
        for one, own in zip(made, files, strict=True)
    ]
    return {papers_name(entries): booklet_pdf(booklet(title, entries), wish.paper)}


def papers_name(parts: Sequence[BookletEntry]) -> str:
    """Return the booklet's name, another one where a part fails."""
    return PAPERS[any(one.fails for one in parts)]


def find_picture(files: Mapping[str, bytes]) -> bytes | None:
    """Return a part's picture among its files."""
    return next((data for name, data in files.items() if name.endswith(".png")), None)


def tool_file(files: Iterable[str]) -> str:
    """Return the name of a part's file for the slicer or the saw; empty where there is none."""
    names = list(files)
    return next((name for form in TO_THE_TOOL for name in names if name.endswith(f".{form}")), "")


def slice_files(job: Job, part: Part, wish: Wish, pose: Pose = AS_BUILT) -> dict[str, bytes]:
    """Return the names and contents of a first-check slice's files: `left.first-check.stl` and so on."""
    return solid_files(
        f"{job.part or NO_SIDE}.first-check", _title(job.name, job.part, "first check"), part, wish, pose
    )


def solid_files(stem: str, title: str, part: Part, wish: Wish, pose: Pose = AS_BUILT) -> dict[str, bytes]:
    """Return the names and contents of the files of a part without a job: STL, STEP, 3MF and picture."""
    forms = [name for name, one in FORMATS.items() if name in wish.formats and one.needs == "part"]
    return _solid_files(stem, Source(title, part, pose), forms)


def report_files(report: Report, files: Mapping[str, bytes]) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Return all files of a job with its report, and the names of stale ones: what a good part replaces."""
    whole = {**files, REPORT: report_json(report, file_digests(files)).encode()}
    good = [part.side or NO_SIDE for part in report.parts if part.verdict is not Verdict.FAIL]
    stale = [f"{side}.{NOT_OK}" for side in good]
    for side in good:  # a ring that was in one is now in two, or the other way round
        before = [side[:-2]] if side.endswith(HALVES) else [f"{side}{half}" for half in HALVES]
        stale += [stem for name in before for stem in (name, f"{name}.{NOT_OK}")]
    names = [f"{stem}.{form}" for stem in dict.fromkeys(stale) for form in FORMATS]
    return whole, (*names, *(PAPERS[1:] if report.verdict is not Verdict.FAIL else ()))


def file_digests(files: Mapping[str, bytes]) -> dict[str, str]:
    """Return the SHA-256 of each file, by name, as 64 hexadecimal digits."""
    return {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}


def _solid_files(stem: str, source: Source, suffixes: Sequence[str]) -> dict[str, bytes]:
    """Return names and contents of the files of one part."""
    return {f"{stem}.{suffix}": write(source) for suffix in suffixes if (write := FORMATS[suffix].write)}


def _source(made: Made) -> Source:
    """Return what the writers need of a part with its job; its picture shows the marks."""
    marked = [(one.at, one.what) for one in made.report.marked if one.at is not None]
    marks, legend = [at for at, _ in marked], [what for _, what in marked]
    return Source(_title(made.job.name, made.job.part), made.part, made.report.pose, marks, legend, made)


def _title(*words: str) -> str:
    return ", ".join(filter(None, words))
