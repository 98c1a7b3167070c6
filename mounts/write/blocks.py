"""The blocks of a sheet as units that stand on pages, and the pages that take them: none nearly empty, few in all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf

from mounts.papers import values
from mounts.write.flows import (
    SIZES,
    Flow,
    box_words_flow,
    heading_flow,
    paragraph_flow,
    picture_flow,
    row_flow,
    step_flow,
    verdict_flow,
    view_flow,
    writing_flow,
)

GAP = 3.0  # mm over a heading that does not stand at the top of its page
AFTER = 2.0  # below a table
SHEET_GAP = 5.0  # the same over a sheet's heading
LEAST_FILL = 1 / 3  # of a page's height
_PAGE, _THIN, _TORN, _UNEVEN = 100.0, 450.0, 4.0, 20.0  # costs: a page, one nearly empty, a block torn, pages unlike


@dataclass(frozen=True, slots=True)
class Unit:
    """Piece of a page that is never torn: a heading, a row, a step, a view.

    Attributes:
        flow: what is drawn.
        sheet: the sheet that it belongs to.
        keep: whether what follows must stand on the same page.
        gap: mm free above it, unless it stands at the top of a page.
        again: what a page that begins with it repeats first.
    """

    flow: Flow
    sheet: values.PaperSheet
    keep: bool = False
    gap: float = 0.0
    again: tuple[Flow, ...] = ()


def sheet_units(sheet: values.PaperSheet, width: float) -> Iterator[Unit]:
    """Yield a sheet's units for a column `width` mm wide, its heading first."""
    yield Unit(heading_flow(sheet.title, sheet.part, sheet.warning, width), sheet, keep=True, gap=SHEET_GAP)
    again = heading_flow(f"{sheet.title}, continued", sheet.part, sheet.warning, width)
    gap = 0.0
    for block in sheet.blocks:
        for unit in _block_units(block, sheet, width):
            yield replace(unit, again=(again, *unit.again), gap=max(unit.gap, gap))
            gap = 0.0
        gap = AFTER if isinstance(block, values.TableBlock) else 0.0


def _block_units(block: values.Block, sheet: values.PaperSheet, width: float) -> Iterator[Unit]:
    match block:
        case values.Paragraph():
            is_head = block.style == "head"
            flow = paragraph_flow(block.text, SIZES[block.style], width)
            yield Unit(flow, sheet, keep=is_head, gap=GAP if is_head else 0.0)
        case values.VerdictBox():
            yield Unit(verdict_flow(block, width), sheet)
        case values.Steps():
            yield Unit(paragraph_flow(block.title, SIZES["head"], width), sheet, keep=True, gap=GAP)
            words = (box_words_flow(block.boxes),) if any(block.boxes) else ()
            yield from (Unit(flow, sheet, keep=True) for flow in words if block.first == 1)
            for number, step in enumerate(block.steps, block.first):
                yield Unit(step_flow(step, number, block.boxes, width), sheet, again=words)
        case values.Bullets():
            yield from (Unit(paragraph_flow(text, SIZES["body"], width, bullet=True), sheet) for text in block.items)
        case values.TableBlock():
            head = (row_flow(block.head, block, width, head=True),) if any(block.head) else ()
            yield from (Unit(flow, sheet, keep=True) for flow in head)
            yield from (Unit(row_flow(row, block, width), sheet, again=head) for row in block.rows)
        case values.ViewFigure():
            yield Unit(view_flow(block, width), sheet, gap=GAP)
        case values.PictureBlock():
            yield Unit(picture_flow(block, width), sheet)
        case values.WritingSpace():
            yield Unit(writing_flow(block, width), sheet)


def split_pages(units: Sequence[Unit], room: float) -> list[Sequence[Unit]]:
    """Return the units page by page: on the fewest pages of `room` mm, none under a third full where that can be.

    Of equal ways the one that tears the fewest sheets, and fills its pages the most alike.
    """
    best, came = [0.0, *[inf] * len(units)], [0] * (len(units) + 1)
    for end in range(1, len(units) + 1):
        if units[end - 1].keep and end < len(units):
            continue
        for start in range(end - 1, -1, -1):
            if best[start] == inf:
                continue
            high = page_height(units[start:end])
            if high > room and best[end] < inf:
                break
            cost = best[start] + _page_cost(units[start], high / room)
            if cost < best[end]:
                best[end], came[end] = cost, start
    pages, end = [], len(units)
    while end:
        pages.append(units[came[end] : end])
        end = came[end]
    return pages[::-1]


def _page_cost(first: Unit, fill: float) -> float:
    thin = _THIN if fill < LEAST_FILL else 0.0
    return _PAGE + thin + (_TORN if first.again else 0.0) + _UNEVEN * max(1.0 - fill, 0.0) ** 2


def page_height(units: Sequence[Unit]) -> float:
    """Return the height that units take on a page of their own."""
    return sum(one.gap + one.flow.high for one in units) - units[0].gap + sum(flow.high for flow in units[0].again)
