"""The blocks of a sheet as flowables."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Table

from mounts.papers import values
from mounts.write.flowables import (
    SIZES,
    BannerFlow,
    BoxHeadings,
    BulletFlow,
    PictureRow,
    StepFlow,
    TextFlow,
    TickBox,
    ViewFlow,
    WritingLines,
)
from mounts.write.typesetting import FACE, POINT, STRONG

_CELL, _SMALL = 3.6, 2.75  # letters in a table, mm
_WITH = 30.0  # mm that a heading needs below it, itself included


def make_flowables(block: values.Block, width: float) -> Iterator[Flowable]:
    """Yield a block as flowables for a column `width` mm wide."""
    match block:
        case values.Paragraph():
            size, face = SIZES[block.style]
            head = TextFlow(block.text, size, face, after=2.0 if block.style in ("title", "head") else 1.4)
            if block.style == "head":
                yield CondPageBreak(_WITH * POINT)
            yield head
        case values.VerdictBox():
            yield BannerFlow(block)
        case values.Steps():
            yield from _steps(block)
        case values.Bullets():
            yield from (BulletFlow(item) for item in block.items)
        case values.TableBlock():
            yield _table(block, width)
        case values.ViewFigure():
            yield ViewFlow(block)
        case values.PictureBlock():
            yield PictureRow(block)
        case values.WritingSpace():
            yield WritingLines(block)


def _steps(block: values.Steps) -> Iterator[Flowable]:
    """Yield the steps; the title stays with the first of them."""
    steps = [StepFlow(step, block.first + k, len(block.boxes)) for k, step in enumerate(block.steps)]
    head: list[Flowable] = [TextFlow(block.title, *SIZES["head"], after=1.4)]
    if any(block.boxes):
        head.append(BoxHeadings(block.boxes))
    yield KeepTogether([*head, *steps[:1]])
    yield from steps[1:]


def _table(block: values.TableBlock, width: float) -> Flowable:
    size = _SMALL if block.small else _CELL

    def cell(text: str, column: int) -> Any:
        if text == values.TICK:
            return TickBox()
        if text == values.WRITE:
            return ""
        return TextFlow(text, size, STRONG if column in block.strong else FACE, after=0.0)

    rows: list[list[Any]] = [[TextFlow(word, _SMALL, STRONG, after=0.0) for word in block.head]] if block.head else []
    rows += [[cell(text, column) for column, text in enumerate(row)] for row in block.rows]
    pad = (0.25 if block.small else 1.0) * POINT
    table = Table(
        rows,
        colWidths=[share / sum(block.shares) * width * POINT for share in block.shares],
        repeatRows=int(bool(block.head)),
    )
    style: list[tuple[Any, ...]] = [
        ("FONTNAME", (0, 0), (-1, -1), FACE),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 1.2 * POINT),
        ("RIGHTPADDING", (0, 0), (-1, -1), 1.2 * POINT),
        ("TOPPADDING", (0, 0), (-1, -1), pad),
        ("BOTTOMPADDING", (0, 0), (-1, -1), pad),
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, (0.55, 0.55, 0.55)),
    ]
    if block.head:
        style.append(("LINEBELOW", (0, 0), (-1, 0), 1.2, (0, 0, 0)))
    for y, row in enumerate(block.rows):
        for x, text in enumerate(row):
            if text == values.WRITE:
                place = (x, y + int(bool(block.head)))
                style.append(("BOX", place, place, 0.8, (0, 0, 0)))
    table.setStyle(style)
    table.spaceAfter = 3.0 * POINT
    return table
