"""A kit made: its parts as a batch, each job's files in a folder of its own as soon as all its sides are done."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from mounts.batch.run import Result, Shop, run_batch
from mounts.findings.compare import state
from mounts.findings.kit import KitRow, worst_of
from mounts.findings.report import Finding, PartReport, Report, Verdict
from mounts.kinds.kind import parts
from mounts.load.models.job import Job
from mounts.load.resolve.kit import Kit, KitPart, generate_jobs
from mounts.load.results.shelf import holds_files
from mounts.write.files import publish, safe_name
from mounts.write.output import REPORT, Wish, report_files
from mounts.write.report import report_json

NOT_MADE = "made"  # code of the finding that a part was not


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
        )
        for part in job.report.parts
    ]
