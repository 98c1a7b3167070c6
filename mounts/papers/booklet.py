"""The booklet of a job or a kit: cover, hardware, cautions, the work in order, every part, and the templates at 1:1."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby, zip_longest
from typing import TypeVar

from mounts.design.drawing import Drawing
from mounts.papers.aim import tuner_blocks
from mounts.papers.entry import BookletEntry, Chapter, part_title
from mounts.papers.hardware import sum_items
from mounts.papers.record import record_blocks
from mounts.papers.sheets import NOT_OK
from mounts.papers.sides import UnlikeError, are_mirrored, share
from mounts.papers.values import (
    TICK,
    Block,
    Booklet,
    Bullets,
    PaperSheet,
    Paragraph,
    PictureBlock,
    TableBlock,
    Template,
    WritingSpace,
)
from mounts.papers.verdicts import banner, grave_blocks, part_words, passed_blocks
from mounts.papers.wording import join_words

ROW, KIT_ROW = 2, 3  # pictures side by side
SIDES = 2  # that share a sheet
T = TypeVar("T")

Parts = Sequence[BookletEntry]


def booklet(title: str, parts: Parts, beds: tuple[Block, ...] = ()) -> Booklet:
    """Return all sheets of some parts, of one job or of several.

    Args:
        title: of the job or kit.
        parts: those of one job stand together.
        beds: what tells of the printers' beds, for a kit.
    """
    jobs = [tuple(group) for _, group in groupby(parts, key=lambda one: one.chapter.job)]
    first, sides = parts[0].chapter, _sides(parts)
    cautions = _unique(one.report.cautions for one in parts)
    sheets: tuple[PaperSheet | Template, ...] = (
        PaperSheet("Read this first", tuple(_cover(title, parts)), warning=_with_warning(parts), sides=sides),
        *((PaperSheet("Beds", beds),) if beds else ()),
        *((PaperSheet("Cautions", (Bullets(cautions),), sides=sides),) if cautions else ()),
        PaperSheet("Hardware and tools", tuple(_hardware(parts)), sides=sides),
        *(sheet for job in jobs for sheet in _job_sheets(job)),
        *_tuner(parts),
        *(_return_sheet(job, alone=not number) for number, job in enumerate(jobs)),
    )
    stamp = " · ".join(filter(None, (first.date, f"{first.file} {first.digest}".strip()))) if len(jobs) == 1 else ""
    return Booklet(title, sheets, stamp)


def _sides(parts: Parts) -> tuple[str, ...]:
    """Return the sides of parts of one job, as the page's foot says them; the jobs' names of several."""
    jobs = {one.chapter.job for one in parts}
    return tuple(filter(None, (one.chapter.part.upper() for one in parts))) if len(jobs) == 1 else ()


def _job_sheets(job: tuple[BookletEntry, ...]) -> Iterator[PaperSheet | Template]:
    """Yield a job's templates, the work, and the sheets of its parts; those of two sides that are alike once."""
    templates: dict[Drawing, list[BookletEntry]] = {}
    for one in job:
        templates.setdefault(_rename(one), []).append(one)
    yield from (Template(drawing, _sides(group)) for drawing, group in templates.items())
    groups: dict[str, list[BookletEntry]] = {}
    for one in job:
        groups.setdefault(one.chapter.part.partition(".")[2], []).append(one)
    yield from (sheet for group in groups.values() for sheet in _work(group, whole=len(groups) == 1))
    yield from (sheet for group in groups.values() for sheet in _own(group))


def _shared(group: Parts, held: Callable[[Chapter], T]) -> T | None:
    """Return what two chapters hold with what differs beside it; None where they differ in more than words."""
    chapters = [one.chapter for one in group]
    if len(chapters) == 1:
        return held(chapters[0])
    if len(chapters) > SIDES:
        return None
    one, other = chapters
    try:
        return share(held(one), held(other), (one.part.upper(), other.part.upper()))
    except UnlikeError:
        return None


def _work(group: Parts, *, whole: bool) -> Iterator[PaperSheet]:
    """Yield the work in order: once for parts that ask for the same, with a box for each."""
    steps = _shared(group, lambda chapter: chapter.steps)
    if steps is None:
        yield from (sheet for one in group for sheet in _work([one], whole=False))
        return
    parts, job = [one.chapter.part for one in group], group[0].chapter.job
    boxes = tuple(parts) if len(group) > 1 else ("",)
    name = job if whole and len(group) > 1 else part_title(", ".join(parts), job)
    boxed = tuple(replace(some, boxes=boxes) for some in steps)
    yield PaperSheet("The work, in order", boxed, name, warning=_with_warning(group), sides=_sides(group))


def _own(group: Parts) -> Iterator[PaperSheet]:
    """Yield the drawings of parts and the sizes to check on them: of two mirrored sides once."""
    sheets, names = None, [one.chapter.part for one in group]
    if len(group) == 1 or are_mirrored(*(one.chapter.template for one in group[:SIDES])):
        sheets = _shared(group, lambda chapter: chapter.sheets)
    if sheets is None:
        yield from (sheet for one in group for sheet in _own([one]))
        return
    for number, sheet in enumerate(sheets):
        blocks = sheet.blocks
        if not number and len(group) > 1:
            one, other = (name.upper() for name in names)
            words = f"{one} is drawn, {other} is its mirror image; what differs on {other} stands in brackets."
            blocks = (Paragraph(words), *blocks)
        title = part_title(", ".join(names), group[0].chapter.job)
        yield replace(sheet, blocks=blocks, part=title, sides=_sides(group), warning=_with_warning(group))


def _return_sheet(job: tuple[BookletEntry, ...], *, alone: bool) -> PaperSheet:
    chapters = [one.chapter for one in job]
    return PaperSheet("Return sheet", record_blocks(chapters), chapters[0].job, sides=_sides(job), alone=alone)


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
    yield banner(parts)
    shown = [(one.picture, one.chapter.called) for one in parts if one.picture]
    if not single:  # of a job's two sides one picture
        first = {(one.chapter.job, one.chapter.part.partition(".")[2]): one.picture for one in reversed(parts)}
        shown = [(picture, " ".join(filter(None, name))) for name, picture in reversed(first.items()) if picture]
    row = ROW if single else KIT_ROW
    yield from (PictureBlock(tuple(shown[k : k + row])) for k in range(0, len(shown), row))
    rows = tuple(
        (
            TICK,
            ((one.part.upper() or one.job) if single else one.called) + _times(entry.copies * one.pieces),
            one.material,
            one.size,
            one.takes,
            entry.file,
            part_words(entry.report),
        )
        for entry, one in zip(parts, chapters, strict=True)
    )
    yield Paragraph("Parts", "head")
    shares = (0.9, 2.4, 0.9, 3.0, 1.7, 1.7, 3.0) if single else (0.8, 2.9, 0.9, 2.2, 1.5, 2.4, 1.9)
    yield TableBlock(("made", "part", "of", "size", "about", "file", "checks"), rows, shares, strong=(1,))
    graves = list(grave_blocks(parts))
    if graves:
        yield Paragraph("Look here first", "head")
        yield from graves
    yield from passed_blocks(parts)
    yield Paragraph(
        "In this order: cautions, hardware, template, the work with its drawings, return sheet. "
        f"Plain sizes are {chapters[0].units.word}.",
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
    half = (len(tools) + 1) // 2
    pairs = zip_longest(tools[:half], tools[half:], fillvalue="")
    listed = tuple((TICK, one, TICK if other else "", other) for one, other in pairs)
    yield TableBlock((), listed, (0.8, 6.2, 0.8, 6.2))


def _tuner(parts: Parts) -> Iterator[PaperSheet]:
    chapters = [one.chapter for one in parts]
    blocks = tuner_blocks(chapters)
    if blocks:
        unknown = [one.name for one in chapters if one.unheard]
        more = (Paragraph(f"Ears not measured, so not in these tables: {join_words(unknown)}."),) if unknown else ()
        yield PaperSheet("Tuner's sheet", (*blocks, *more), sides=_sides(parts))


def _rename(one: BookletEntry) -> Drawing:
    """Return the template's drawing, marked where the part fails."""
    drawing = one.chapter.template
    return replace(drawing, captions=(NOT_OK, *drawing.captions)) if one.fails else drawing
