"""A kit made: its parts as a batch, each job's files in a folder of its own as soon as all its sides are done.

A kit's booklet: one PDF for all its parts, with the beds; kept between runs like the parts themselves.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from mounts.batch.bundle import decode, encode, pack_bundle
from mounts.batch.crew import CHAPTER, PICTURE
from mounts.batch.run import Result, Shop, hash_of, recall_bundle, run_batch
from mounts.findings.compare import state
from mounts.findings.kit import KitRow, LaidOut, worst_of
from mounts.findings.report import Finding, PartReport, Report, Verdict
from mounts.kinds.kind import parts
from mounts.load.models.job import Job
from mounts.load.resolve.kit import Kit, KitPart, generate_jobs
from mounts.load.results.shelf import holds_files
from mounts.write.files import publish, safe_name
from mounts.write.output import REPORT, Wish, papers_name, report_files, tool_file
from mounts.write.report import report_json

if TYPE_CHECKING:
    from mounts.papers.entry import BookletEntry
    from mounts.papers.values import Block

NOT_MADE = "made"  # code of the finding that a part was not


def papers_of(
    kit: Kit, results: Sequence[Result], beds: tuple[LaidOut, Mapping[str, bytes]], wish: Wish, shop: Shop
) -> dict[str, bytes]:
    """Return name and contents of a kit's booklet; nothing where it is not wanted, or nothing was made.

    Args:
        kit: what was wanted.
        results: its parts, made or kept.
        beds: where they lie, and the pictures of that.
        wish: formats and paper.
        shop: where it is kept between runs.
    """
    found = {(one.job.name, one.job.part): one for one in results if one.bundle is not None}
    done = [found[at] for part in kit.parts if (at := (part.job.name, part.job.part)) in found]
    if "pdf" not in wish.formats or not done:
        return {}
    copies = {(part.job.name, part.job.part): part.copies for part in kit.parts}
    counts = tuple(copies[one.job.name, one.job.part] for one in done)
    key = hash_of([shop.program, "papers", kit.name, [one.key for one in done], counts, encode(beds[0]), wish.paper])
    if (kept := recall_bundle(shop.store, key, kit.name)) is not None:
        return kept.files()
    made = _booklet(kit, done, counts, beds, wish)
    shop.store.keep(key, pack_bundle(kit.name, PartReport("", ()), made, None).packed)
    return made


def _booklet(
    kit: Kit, done: Sequence[Result], counts: Sequence[int], beds: tuple[LaidOut, Mapping[str, bytes]], wish: Wish
) -> dict[str, bytes]:
    from mounts.papers.booklet import booklet
    from mounts.write.booklet import booklet_pdf

    entries = [_entry(one, count) for one, count in zip(done, counts, strict=True)]
    return {papers_name(entries): booklet_pdf(booklet(kit.name, entries, tuple(bed_blocks(*beds))), wish.paper)}


def _entry(one: Result, copies: int) -> BookletEntry:
    """Return a part's entry from its bundled report."""
    from mounts.papers.entry import BookletEntry

    assert one.bundle is not None
    held, picture = one.bundle.beside(CHAPTER), one.bundle.beside(PICTURE)
    assert held is not None
    own = tool_file(one.bundle.digests)
    file = f"{safe_name(one.job.name)}/{own}" if own else ""
    return BookletEntry(decode(json.loads(held), chapter_types()), one.bundle.report, picture, file, copies)


def chapter_types() -> tuple[type, ...]:
    """Return the types that a chapter is made of."""
    from mounts.design import drawing, listening
    from mounts.geometry import outline
    from mounts.papers import entry, values

    rooms = (drawing, listening, outline, entry, values)
    return tuple(kind for room in rooms for kind in vars(room).values() if isinstance(kind, type))


def bed_blocks(laid: LaidOut, files: Mapping[str, bytes]) -> Iterator[Block]:
    """Yield a table of the beds, and the picture of each."""
    from mounts.papers.values import TICK, Paragraph, PictureBlock, TableBlock

    if not laid.beds:
        return
    rows = tuple(
        (
            TICK,
            str(bed.number),
            f"{bed.printer}, {bed.material}",
            ", ".join(name + (f" × {count}" if count > 1 else "") for name, count in bed.parts),
            f"{bed.estimate.grams:.0f} g, {bed.estimate.hours:.1f} h",
        )
        for bed in laid.beds
    )
    yield Paragraph("Each bed is one file, bed-1.3mf and so on, that opens in a slicer as it is laid.")
    yield TableBlock(
        ("printed", "bed", "printer, material", "parts", "about"), rows, (1.2, 0.8, 2.6, 5.4, 2.0), strong=(1,)
    )
    shown = [(files[f"bed-{bed.number}.png"], f"bed {bed.number}") for bed in laid.beds]
    yield from (PictureBlock(tuple(shown[k : k + 2])) for k in range(0, len(shown), 2))


def divide_kit(kit: Kit) -> Kit:
    """Return the kit with its parts as they are printed: a mount too large for its bed comes in two halves."""
    return replace(kit, parts=tuple(KitPart(job, one.copies) for one in kit.parts for job in parts((one.job,))))


@dataclass(frozen=True, slots=True, eq=False)
class JobDone:
    """One job of a kit, done.

    Attributes:
        name: name of the job.
        report: of all its sides; one that was lost fails there.
        results: results of its sides; none for a job that was made up and contradicts itself.
        folder: where its files are.
    """

    name: str
    report: Report
    results: tuple[Result, ...]
    folder: Path


@dataclass(slots=True)
class _Tally:
    """Parts of each job that are still to come, and the results of those that are done."""

    awaited: Counter[str] = field(default_factory=Counter)
    came: dict[str, list[Result]] = field(default_factory=dict)
    refused: list[JobDone] = field(default_factory=list)

    def add(self, result: Result) -> tuple[Result, ...] | None:
        """Add a result; return all results of its job once this one completes it."""
        held = self.came.setdefault(result.job.name, [])
        held.append(result)
        if len(held) < self.awaited[result.job.name]:
            return None
        del self.awaited[result.job.name]
        return tuple(sorted(self.came.pop(result.job.name), key=lambda one: one.job.part))


def make_kit(kit: Kit, folder: Path, wish: Wish, shop: Shop) -> Iterator[Result | JobDone]:
    """Make a kit: yield each part as it is done, and each job once its files are in their folder.

    Args:
        kit: what is wanted.
        folder: folder of the kit; each job's is in it.
        wish: which files.
        shop: where the parts are made.

    Raises:
        FileError: if files cannot be written; what was finished is kept.
    """
    tally = _Tally()
    for result in run_batch(_jobs(kit, folder, tally), wish, shop):
        while tally.refused:
            yield tally.refused.pop(0)
        yield result
        if (whole := tally.add(result)) is not None:
            yield _publish_job(whole, folder)
    yield from tally.refused


def _jobs(kit: Kit, folder: Path, tally: _Tally) -> Iterator[Job]:
    """Yield every part's job, noting it in the tally first."""
    tally.awaited.update(part.job.name for part in kit.parts)
    yield from (part.job for part in kit.parts)
    for name, found in generate_jobs(kit):
        if isinstance(found, tuple):
            whole = parts(found)
            tally.awaited[name] = len(whole)
            yield from whole
        else:
            lost = PartReport("", (_lost_finding(name, str(found)),))
            tally.refused.append(JobDone(name, Report(name, (lost,)), (), folder / safe_name(name)))


def _publish_job(whole: Iterable[Result], folder: Path) -> JobDone:
    """Publish a job's files, unless they are in place already."""
    whole = tuple(whole)
    name = whole[0].job.name
    report = Report(name, tuple(_report(one) for one in whole))
    place = folder / safe_name(name)
    bundles = [one.bundle for one in whole if one.bundle is not None]
    digests = {file: digest for bundle in bundles for file, digest in bundle.digests.items()}
    if not holds_files(place, {**digests, REPORT: _digest(report, digests)}):
        contents = {file: content for bundle in bundles for file, content in bundle.files().items()}
        files, stale = report_files(report, contents)
        publish(place, files, remove=stale)
    return JobDone(name, report, whole, place)


def _report(one: Result) -> PartReport:
    if one.bundle is not None:
        return one.bundle.report
    return PartReport(one.job.part, (_lost_finding(", ".join(filter(None, (one.job.name, one.job.part))), one.why),))


def _lost_finding(what: str, why: str) -> Finding:
    return state(NOT_MADE, Verdict.FAIL, f"{what} was not made", advice=why)


def _digest(report: Report, files: Mapping[str, str]) -> str:
    return hashlib.sha256(report_json(report, files).encode()).hexdigest()


def kit_rows(kit: Kit, job: JobDone, folder: Path) -> list[KitRow]:
    """Return a row for each part of a finished job, with paths relative to the kit's folder."""
    copies: dict[tuple[str, str], int] = {(part.job.name, part.job.part): part.pieces for part in kit.parts}
    results: dict[str, Result] = {one.job.part: one for one in job.results}
    return [
        KitRow(
            job=job.name,
            side=part.side,
            copies=copies.get((job.name, part.side), 1),
            verdict=part.verdict,
            how=results[part.side].how if part.side in results else "lost",
            why=results[part.side].why if part.side in results else part.findings[0].advice,
            files=tuple(f"{job.folder.relative_to(folder)}/{name}" for name in part.files),
            worst=worst_of(part),
            missing=len(part.not_measured),
            estimate=part.estimate,
            units=part.units,
        )
        for part in job.report.parts
    ]
