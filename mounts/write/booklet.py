"""A booklet as PDF on A4 or Letter: sheets that share pages, templates at 1:1 on pages of their own.

Fonts are embedded, the print dialog is set not to scale, and equal booklets give equal bytes.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from functools import partial
from itertools import groupby
from typing import Any

from mounts.design.drawing import Drawing
from mounts.papers.values import Booklet, PaperSheet, Template
from mounts.write.blocks import PageItem, sheet_items, split_pages
from mounts.write.template import Page, template_pages
from mounts.write.text_shaping import plain_text
from mounts.write.tiles import SHEETS, USABLE, Paper
from mounts.write.typesetting import FACE, POINT, fit_line, register_face

_FOOT = 6.0  # mm at the foot of a page
_SMALL = 2.9  # letters there, mm


def booklet_pdf(booklet: Booklet, paper: Paper) -> bytes:
    """Return the booklet on sheets of paper.

    Raises:
        ValueError: if a template's drawing has no stroke.
    """
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    register_face()
    rl_config.useA85 = 0  # bytes as they are: text would be a quarter longer, and slow to make
    pages = list(_pages(booklet, paper))
    file = io.BytesIO()
    canvas = Canvas(file, invariant=1, initialFontName=FACE, pageCompression=1)
    canvas.setTitle(plain_text(booklet.title))
    canvas.setCreator("mounts")
    canvas.setViewerPreference("PrintScaling", "None")
    for number, (page, sides) in enumerate(pages, 1):
        wide, high = page.size
        canvas.setPageSize((wide * POINT, high * POINT))
        canvas.saveState()
        canvas.scale(POINT, POINT)
        usable = USABLE if wide < high else USABLE[::-1]
        canvas.translate((wide - usable[0]) / 2, (high - usable[1]) / 2)
        canvas.saveState()
        page.ink(canvas)
        canvas.restoreState()
        said = " · ".join(filter(None, (booklet.title, ", ".join(sides), booklet.stamp)))
        _draw_foot(canvas, said, f"page {number} of {len(pages)}", usable[0])
        canvas.restoreState()
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def template_pdf(drawing: Drawing, paper: Paper) -> bytes:
    """Return a drawing's 1:1 template as a PDF of its own; raises as `booklet_pdf` does."""
    return booklet_pdf(Booklet(drawing.title, (Template(drawing),)), paper)


def _pages(booklet: Booklet, paper: Paper) -> Iterator[tuple[Page, tuple[str, ...]]]:
    """Yield every page with the sides that it is about; templates and what is kept begin pages of their own."""
    run = 0

    def of_run(sheet: PaperSheet | Template) -> tuple[int, bool]:
        nonlocal run
        run += isinstance(sheet, Template) or sheet.alone
        return run, isinstance(sheet, Template)

    for _, group in groupby(booklet.sheets, of_run):
        items: list[PageItem] = []
        for sheet in group:
            if isinstance(sheet, Template):
                yield from ((page, sheet.sides) for page in template_pages(sheet.drawing, paper))
            else:
                items += sheet_items(sheet, USABLE[0])
        for shown in split_pages(items, USABLE[1] - _FOOT):
            sides = dict.fromkeys(side for item in shown for side in item.sheet.sides)
            yield Page(SHEETS[paper], partial(_draw_items, shown)), tuple(sides)


def _draw_items(items: Sequence[PageItem], canvas: Any) -> None:
    """Draw items from the top of a page down."""
    top = USABLE[1]
    for number, item in enumerate(items):
        top -= item.gap if number else 0.0
        for flow in (*(() if number else item.again), item.flow):
            top -= flow.high
            canvas.saveState()
            canvas.translate(0, top)
            canvas.setFillGray(0)
            canvas.setStrokeGray(0)
            flow.ink(canvas)
            canvas.restoreState()


def _draw_foot(canvas: Any, said: str, number: str, width: float) -> None:
    canvas.setFillGray(0)
    canvas.setFont(FACE, _SMALL)
    canvas.drawString(0, 0.3, fit_line(said, _SMALL, width - 30.0))
    canvas.drawRightString(width, 0.3, number)
