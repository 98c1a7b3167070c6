"""The booklet of a job or a kit: cover, hardware, cautions, the work in order, every part, and the templates at 1:1."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from mounts.design.drawing import Drawing
from mounts.papers.aim import tuner_blocks
from mounts.papers.entry import BookletEntry, part_title
from mounts.papers.hardware import sum_items
from mounts.papers.record import record_blocks
from mounts.papers.sheets import NOT_OK
from mounts.papers.values import (
    TICK,
    Block,
    Booklet,
    Bullets,
    PaperSheet,
    Paragraph,
    PictureBlock,
    Steps,
    TableBlock,
    Template,
    WritingSpace,
)
from mounts.papers.verdicts import banner, grave_blocks
from mounts.papers.wording import join_words

ROW = 2  # pictures side by side

Parts = Sequence[BookletEntry]


def booklet(title: str, parts: Parts, beds: tuple[Block, ...] = ()) -> Booklet:
    """Return all sheets of some parts, of one job or of several.

    Args:
        title: of the job or kit.
        parts: those of one job stand together.
        beds: what tells of the printers' beds, for a kit.
    """
    jobs = [tuple(group) for _, group in groupby(parts, key=lambda one: one.chapter.job)]
    return Booklet(
        title,
        (
            PaperSheet("Read this first", tuple(_cover(title, parts)), warning=_with_warning(parts)),
            *((PaperSheet("Beds", beds),) if beds else ()),
            PaperSheet("Hardware and tools", tuple(_hardware(parts))),
            PaperSheet("Cautions", (Bullets(_unique(one.report.cautions for one in parts)),)),
            *(sheet for job in jobs for sheet in _work(job)),
            *(sheet for one in parts for sheet in one.chapter.sheets),
            *_tuner(parts),
            *(
                PaperSheet("Return sheet", record_blocks([one.chapter for one in job]), job[0].chapter.job)
                for job in jobs
            ),
            *(Template(_rename(one)) for one in parts),
        ),
    )


def _unique(texts: Iterator[Sequence[str]]) -> tuple[str, ...]:
    """Return each text once, in the order in which it first comes."""
    return tuple(dict.fromkeys(text for some in texts for text in some))


def _with_warning(parts: Parts) -> str:
    return NOT_OK if any(one.fails for one in parts) else ""


def _cover(title: str, parts: Parts) -> Iterator[Block]:
    chapters = [one.chapter for one in parts]
    single = len({one.job for one in chapters}) == 1
    yield Paragraph(title, "title")
    yield Paragraph(join_words(dict.fromkeys(one.what for one in chapters)), "strong")
    if chapters[0].about and single:
        yield Paragraph(chapters[0].about)
    yield from _vehicle(parts)
    yield banner([one.report for one in parts])
    shown = [(one.picture, one.chapter.called) for one in parts if one.picture]
    yield from (PictureBlock(tuple(shown[k : k + ROW])) for k in range(0, len(shown), ROW))
    rows = tuple(
        (
            TICK,
            one.called + _times(entry.copies * one.pieces),
            one.material,
            one.size,
            one.takes,
            entry.file,
        )
        for entry, one in zip(parts, chapters, strict=True)
    )
    yield Paragraph("Parts", "head")
    shares = (0.9, 3.4, 1.2, 2.6, 1.7, 1.9) if single else (0.8, 3.3, 1.0, 2.3, 1.6, 2.9)
    yield TableBlock(("made", "part", "of", "size", "about", "file"), rows, shares, strong=(1,))
    graves = list(grave_blocks(parts))
    if graves:
        yield Paragraph("Look here first", "head")
        yield from graves
    yield Paragraph(
        "In this order: cautions, template, readings, first check, print, five sizes, fit, return "
        f"sheet. Plain sizes are {chapters[0].units.word}.",
        "small",
    )


def _times(count: int) -> str:
    return f" × {count}" if count > 1 else ""


def _vehicle(parts: Parts) -> Iterator[Block]:
    """Yield what the jobs say of the vehicle, or lines to write it on."""
    for label, values, blank in (
        ("Vehicle", [one.chapter.vehicle for one in parts], True),
        ("Date", [one.chapter.date for one in parts], False),
        ("Notes", [one.chapter.notes for one in parts], False),
    ):
        said = join_words(dict.fromkeys(filter(None, values)))
        if said:
            yield Paragraph(f"{label}: {said}", "body")
        elif blank:
            yield WritingSpace(label)


def _hardware(parts: Parts) -> Iterator[Block]:
    items = sum_items(replace(item, count=item.count * one.copies) for one in parts for item in one.chapter.hardware)
    several = "For all parts of this booklet together. " if len(parts) > 1 else ""
    yield Paragraph(f"{several}Put it on the bench before you begin; tick what lies there.")
    rows = tuple((TICK, item.amount, item.what, item.size, item.use) for item in items)
    yield TableBlock(("", "number", "what", "size", "for"), rows, (0.8, 1.5, 3.4, 5.2, 3.2), strong=(1,))
    torques = _unique(one.chapter.torque for one in parts)
    if torques:
        yield Paragraph("Torque", "head")
        yield Bullets(torques)
    yield Paragraph("Tools", "head")
    tools = _unique(one.chapter.tools for one in parts)
    yield TableBlock(("", ""), tuple((TICK, tool) for tool in tools), (0.8, 13.2))


def _work(job: tuple[BookletEntry, ...]) -> Iterator[PaperSheet]:
    """Yield the work in order: once for parts that ask for the same, with a box for each."""
    alike: dict[tuple[Steps, ...], list[BookletEntry]] = {}
    for one in job:
        alike.setdefault(one.chapter.steps, []).append(one)
    for steps, group in alike.items():
        parts = [one.chapter.part for one in group]
        boxes = tuple(parts) if len(group) > 1 else ("",)
        first = group[0].chapter
        name = first.job if len(group) == len(job) > 1 else part_title(", ".join(parts), first.job)
        boxed = tuple(replace(some, boxes=boxes) for some in steps)
        yield PaperSheet("The work, in order", boxed, name, warning=_with_warning(group))


def _tuner(parts: Parts) -> Iterator[PaperSheet]:
    chapters = [one.chapter for one in parts]
    blocks = tuner_blocks(chapters)
    if blocks:
        unknown = [one.name for one in chapters if one.unheard]
        more = (Paragraph(f"Ears not measured, so not in these tables: {join_words(unknown)}."),) if unknown else ()
        yield PaperSheet("Tuner's sheet", (*blocks, *more))


def _rename(one: BookletEntry) -> Drawing:
    """Return the template's drawing, marked where the part fails."""
    drawing = one.chapter.template
    return replace(drawing, captions=(NOT_OK, *drawing.captions)) if one.fails else drawing
