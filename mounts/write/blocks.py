"""The blocks of a sheet as items that stand on pages, and the pages that take them: none nearly empty, few in all."""

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
class PageItem:
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


def sheet_items(sheet: values.PaperSheet, width: float) -> Iterator[PageItem]:
    """Yield a sheet's items for a column `width` mm wide, its heading first."""
    yield PageItem(heading_flow(sheet.title, sheet.part, sheet.warning, width), sheet, keep=True, gap=SHEET_GAP)
    again = heading_flow(f"{sheet.title}, continued", sheet.part, sheet.warning, width)
    gap = 0.0
    for block in sheet.blocks:
        for item in _block_items(block, sheet, width):
            yield replace(item, again=(again, *item.again), gap=max(item.gap, gap))
            gap = 0.0
        gap = AFTER if isinstance(block, values.TableBlock) else 0.0


def _block_items(block: values.Block, sheet: values.PaperSheet, width: float) -> Iterator[PageItem]:
    match block:
        case values.Paragraph():
            is_head = block.style == "head"
            flow = paragraph_flow(block.text, SIZES[block.style], width)
            yield PageItem(flow, sheet, keep=is_head, gap=GAP if is_head else 0.0)
        case values.VerdictBox():
            yield PageItem(verdict_flow(block, width), sheet)
        case values.Steps():
            yield PageItem(paragraph_flow(block.title, SIZES["head"], width), sheet, keep=True, gap=GAP)
            words = (box_words_flow(block.boxes),) if any(block.boxes) else ()
            yield from (PageItem(flow, sheet, keep=True) for flow in words if block.first == 1)
            for number, step in enumerate(block.steps, block.first):
                yield PageItem(step_flow(step, number, block.boxes, width), sheet, again=words)
        case values.Bullets():
            yield from (
                PageItem(paragraph_flow(text, SIZES["body"], width, bullet=True), sheet) for text in block.items
            )
        case values.TableBlock():
            head = (row_flow(block.head, block, width, head=True),) if any(block.head) else ()
            yield from (PageItem(flow, sheet, keep=True) for flow in head)
            yield from (PageItem(row_flow(row, block, width), sheet, again=head) for row in block.rows)
        case values.ViewFigure():
            yield PageItem(view_flow(block, width), sheet, gap=GAP)
        case values.PictureBlock():
            yield PageItem(picture_flow(block, width), sheet)
        case values.WritingSpace():
            yield PageItem(writing_flow(block, width), sheet)


def split_pages(items: Sequence[PageItem], room: float) -> list[Sequence[PageItem]]:
    """Return the items page by page: on the fewest pages of `room` mm, none under a third full where that can be.

    Of equal ways the one that tears the fewest sheets, and fills its pages the most alike.
    """
    best, came = [0.0, *[inf] * len(items)], [0] * (len(items) + 1)
    for end in range(1, len(items) + 1):
        if items[end - 1].keep and end < len(items):
            continue
        for start in range(end - 1, -1, -1):
            if best[start] == inf:
                continue
            high = page_height(items[start:end])
            if high > room and best[end] < inf:
                break
            cost = best[start] + _page_cost(items[start], high / room)
            if cost < best[end]:
                best[end], came[end] = cost, start
    pages, end = [], len(items)
    while end:
        pages.append(items[came[end] : end])
        end = came[end]
    return pages[::-1]


def _page_cost(first: PageItem, fill: float) -> float:
    thin = _THIN if fill < LEAST_FILL else 0.0
    return _PAGE + thin + (_TORN if first.again else 0.0) + _UNEVEN * max(1.0 - fill, 0.0) ** 2


def page_height(items: Sequence[PageItem]) -> float:
    """Return the height that items take on a page of their own."""
    return sum(one.gap + one.flow.high for one in items) - items[0].gap + sum(flow.high for flow in items[0].again)
