"""The return sheet: what was changed on the vehicle, what holds what, how it comes out, what is left behind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mounts.load.models.speaker_job import SpeakerJob
from mounts.made import Made
from mounts.papers.entry import Chapter
from mounts.papers.hardware import sum_items
from mounts.papers.values import TICK, WRITE, Block, Bullets, Paragraph, Record, TableBlock, WritingSpace
from mounts.papers.wording import join_words, size_text

KEEP = "Keep this sheet with the job's file, and a copy in the vehicle's papers."


def make_record(made: Made) -> Record:
    """Return a part's share of its job's return sheet: what its kind says, with what is the same for all."""
    job, own = made.job, made.kind.review().papers.record(made.job, made.plan)
    notes = (("Notes", job.notes),) if job.notes else ()
    mount = f"{job.kind}, {'cut from' if job.make == 'cut' else 'printed in'} {job.material.name}"
    out = ("Battery off, wait as long as the vehicle's maker says. Trim off.", *own.out)
    changed, out, left = (tuple(dict.fromkeys(texts)) for texts in (own.changed, out, own.left))
    return Record((*own.facts, *notes, ("Mount", mount)), changed, out, left)


def speaker_facts(job: SpeakerJob) -> Iterator[tuple[str, str]]:
    """Yield which speaker was mounted where."""
    yield "Place", ", ".join(filter(None, (job.panel.name, job.panel.about)))
    yield (
        "Speaker",
        f"{job.speaker.name}, cutout {size_text(job.speaker.cutout.outline(), job.units)}, "
        f"{job.units.read(job.speaker.depth)} deep",
    )


def record_blocks(parts: Sequence[Chapter]) -> tuple[Block, ...]:
    """Return the return sheet of one job, by the first of its parts, with the hardware of all."""
    told = parts[0].record
    bought = sum_items(item for one in parts for item in one.hardware)
    holds = tuple((item.amount, f"{item.what}, {item.size}", item.use) for item in bought if item.holds)
    return (
        Paragraph("For the next person who opens this place: what was done here, and how to undo it.", "strong"),
        TableBlock((), (*_whose(parts), *told.facts), (1.6, 8.4), strong=(0,), small=True),
        Paragraph("What was changed on the vehicle", "head"),
        TableBlock(("done", "change"), tuple((TICK, text) for text in told.changed), (0.8, 9.2)),
        *(
            (
                Paragraph("What holds what", "head"),
                TableBlock(("number", "hardware", "holds"), holds, (1.3, 6.0, 4.0), small=True),
            )
            if holds
            else ()
        ),
        Paragraph("How it comes out", "head"),
        Bullets(told.out),
        Paragraph("What is left behind", "head"),
        Bullets(told.left),
        WritingSpace("Fitted on, by", 1),
        WritingSpace("Not as written above", 1),
        Paragraph(KEEP, "small"),
    )


def _whose(parts: Sequence[Chapter]) -> Iterator[tuple[str, str]]:
    """Yield the vehicle, date and job."""
    first = parts[0]
    sides = join_words(filter(None, (one.part for one in parts)))
    yield "Vehicle", first.vehicle or WRITE
    if first.date:
        yield "Date", first.date
    yield "Job", ", ".join(filter(None, (first.job, sides, first.file)))
