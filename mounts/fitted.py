"""A mount that was fitted: what was expected of it, the questions about it, and its outcome from the answers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from mounts.design.chance import ReadHoles
from mounts.errors import InputError, Problem
from mounts.findings.report import Finding, PartReport
from mounts.kinds.kind import kind_of, parts
from mounts.learning.holes import expect_hole
from mounts.load.models.job import Job
from mounts.load.models.outcome import Answers, AnswersFile, Outcome, Seen, SeenGap, SeenSize
from mounts.load.models.speaker_job import SpeakerJob
from mounts.load.parse.document import Document
from mounts.load.parse.units import quote_value
from mounts.load.resolve.outcome import blank_answers
from mounts.load.results.record import Record, RecordedSize
from mounts.write.output import NO_SIDE

READ_BY = {  # which readings a gap hangs on, by its code
    "clear.trim": "in_front",
    "clear.grille": "in_front",
    "clear.glass": "behind",
    "clear.thing": "behind",
    "clear.room": "behind",
}
ASKED = 6  # gaps that are asked for, the tightest
FAR, FAR_SHARE = 1.0, 0.02  # mm, and share of a size, by which a print differs that no printer made so
FAR_GAP, FAR_HOLE = 50.0, 8.0  # mm by which a gap, and a screw in its hole, cannot be off


@dataclass(frozen=True, slots=True)
class Expected:
    """Figures of one part that an outcome is held against.

    Attributes:
        job: the part's job, as its record has it.
        gaps: finding and instrument of each gap, the tightest first, by what it is called.
        sizes: of the print, as drawn.
        promised: chance that it goes on and clears, per cent; None where none was calculated.
    """

    job: Job
    gaps: Mapping[str, tuple[Finding, str]]
    sizes: Mapping[str, RecordedSize]
    promised: float | None

    @property
    def read(self) -> ReadHoles | None:
        """The holes of which one is tightest; None where it goes on no screws."""
        return kind_of(self.job).review().holes(self.job)

    @property
    def holes(self) -> tuple[str, ...]:
        """Names of these holes."""
        return tuple(self.read.at) if self.read else ()


def expected_parts(record: Record, jobs: Sequence[Job], reports: Sequence[PartReport]) -> dict[str, Expected]:
    """Return what is expected of each part of a record, by its name.

    Args:
        record: of the build.
        jobs: as the record has them.
        reports: of its parts, as report.json beside it has them.
    """
    found = {}
    for job in parts(jobs):
        name = job.part or NO_SIDE
        report = next((one for one in reports if (one.side or NO_SIDE) == name), None)
        if report is not None and name in record.parts:
            promised = next((f.closed_form for f in report.findings if f.code == "chance.mount"), None)
            found[name] = Expected(job, dict(_gaps(job, report)), record.parts[name].sizes, promised)
    return found


def _gaps(job: Job, report: PartReport) -> Iterator[tuple[str, tuple[Finding, str]]]:
    if not isinstance(job, SpeakerJob):
        return
    known = [one for one in report.findings if one.code in READ_BY and one.margin_sd and one.closed_form is not None]
    for one in sorted(known, key=lambda one: (one.closed_form or 0.0) - (one.limit or 0.0)):
        group = READ_BY[one.code]
        instrument = getattr(job.panel.read_with, group)
        if isinstance(instrument, str) and abs(job.limits.uncertainty(instrument) - (one.margin_sd or 0.0)) < 1e-3:
            yield one.what, (one, instrument)


def ask(record: Record, expected: Mapping[str, Expected]) -> str:
    """Return the text of a file with the questions on every part of a build."""
    asked = {}
    for name, one in expected.items():
        units = one.job.units
        gaps = {what: f"planned {units(f.closed_form or 0.0, 1)}" for what, (f, _) in list(one.gaps.items())[:ASKED]}
        sizes = {what: f"drawn {units(size.drawn, 2)}" for what, size in one.sizes.items()}
        asked[name] = (one.holes, gaps, sizes)
    return blank_answers(record.job, record.id, asked)


def outcomes_of(
    answers: AnswersFile, document: Document, record: Record, expected: Mapping[str, Expected]
) -> dict[str, Outcome]:
    """Return the outcome of every part that was answered.

    Raises:
        InputError: for answers of another build, names that the part has not, and figures that cannot be.
    """
    if (answers.job, answers.record) != (record.job, record.id):
        what = f"these are answers on {answers.job}, build {answers.record}; the one built here is {record.job}, build"
        raise InputError(document.problem(("record",), f"{what} {record.id}: write a blank of it with --blank"))
    problems: list[Problem] = []
    found = {}
    for name, said in answers.parts.items():
        if name not in expected:
            problems.append(
                document.problem(("parts", name), f"has no such part; it has {', '.join(expected)}", key=True)
            )
            continue
        problems += _problems(name, said, expected[name], document)
        if said != Answers():
            found[name] = (said, expected[name])
    if not found and not problems:
        problems.append(document.problem(("parts",), "nothing is answered; write the answers behind their keys"))
    if problems:
        raise InputError(*problems)
    return {
        name: Outcome(
            kind="kept outcome", job=record.job, part=name, record=record.id, by=answers.by, on=answers.on,
            went_on=said.went_on, promised=one.promised, notes=said.notes, printer=one.job.printer.name,
            material=one.job.material.name, seen=tuple(_seen(said, one)),
        )
        for name, (said, one) in found.items()
    }  # fmt: skip


def _problems(name: str, said: Answers, one: Expected, document: Document) -> Iterator[Problem]:
    units, trail = one.job.units, ("parts", name)
    if (tight := said.tightest) is not None:
        if tight.hole not in one.holes:
            what = f"there is no hole {quote_value(tight.hole)}; holes: {', '.join(one.holes) or 'none of this part'}"
            yield document.problem((*trail, "tightest"), what)
        if tight.off > FAR_HOLE:
            yield document.problem(
                (*trail, "tightest"), f"no screw stands {units(tight.off)} off its hole; read it again"
            )
    for key, there in (("gaps", one.gaps), ("sizes", one.sizes)):
        for what in (what for what in getattr(said, key) if what not in there):
            names = ", ".join(quote_value(other) for other in there) or "none"
            yield document.problem((*trail, key, what), f"was not planned; there are {names}", key=True)
    for what, read in ((what, read) for what, read in said.sizes.items() if what in one.sizes):
        drawn = one.sizes[what].drawn
        if abs(read - drawn) > min(FAR + FAR_SHARE * drawn, drawn / 2):
            text = f"{units(read)} is read where {units(drawn)} was drawn: no printer gives that; read it again"
            yield document.problem((*trail, "sizes", what), text)
    for what, read in ((what, read) for what, read in said.gaps.items() if what in one.gaps):
        planned = one.gaps[what][0].closed_form or 0.0
        if abs(read - planned) > FAR_GAP:
            text = f"{units(read)} is seen where {units(planned)} was planned; look again"
            yield document.problem((*trail, "gaps", what), text)


def _seen(said: Answers, one: Expected) -> Iterator[Seen]:
    """Yield what was seen beside what was expected, where something follows from it."""
    if said.tightest is not None and (holes := one.read) and holes.instrument:
        yield expect_hole(holes, said.tightest.off)
    for what, read in said.gaps.items():
        finding, instrument = one.gaps[what]
        yield SeenGap(of="gap", what=what, instrument=instrument, planned=finding.closed_form or 0.0, seen=read)
    for what, read in said.sizes.items():
        if (shows := one.sizes[what].shows) in ("scale", "holes", "outside"):
            yield SeenSize.model_validate(
                {"of": "size", "what": what, "shows": shows, "drawn": one.sizes[what].drawn, "seen": read}
            )
