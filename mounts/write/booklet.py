"""A booklet as PDF on A4 or Letter: sheets that flow from page to page, templates at 1:1 on pages of their own.

Fonts are embedded, the printer is told not to scale, and equal booklets give equal bytes.
"""

from __future__ import annotations

import io
from functools import partial
from typing import Any

from mounts.design.drawing import Drawing
from mounts.papers.values import Booklet, PaperSheet, Template
from mounts.write.template import Page, template_pages
from mounts.write.text_shaping import plain_text
from mounts.write.tiles import SHEETS, USABLE, Paper
from mounts.write.typesetting import FACE, POINT, STRONG, fit_line, register_face

_HEAD, _FOOT = 15.0, 7.0  # mm at the head and at the foot of a sheet's page


def booklet_pdf(booklet: Booklet, paper: Paper) -> bytes:
    """Return the booklet on sheets of paper.

    Raises:
        ValueError: if a template's drawing has no stroke.
    """
    from reportlab import rl_config
    from reportlab.platypus import BaseDocTemplate, NextPageTemplate, PageBreak, Spacer

    register_face()
    rl_config.useA85 = 0  # bytes as they are: text would be a quarter longer, and slow to make
    file = io.BytesIO()
    document = BaseDocTemplate(
        file,
        pagesize=_points(SHEETS[paper]),
        title=plain_text(booklet.title),
        creator="mounts",
        invariant=1,
        initialFontName=FACE,
        allowSplitting=1,
    )
    story: list[Any] = []
    for number, sheet in enumerate(booklet.sheets):
        pages = [None] if isinstance(sheet, PaperSheet) else list(template_pages(sheet.drawing, paper))
        for k, page in enumerate(pages):
            name = f"{number}.{k}"
            document.addPageTemplates(
                _drawing_template(name, page) if page else _sheet_template(name, booklet, sheet, paper)
            )
            story += [NextPageTemplate(name), PageBreak()] if story else []
            story += _story(sheet) if isinstance(sheet, PaperSheet) else [Spacer(1, 1)]
    document.build(story, canvasmaker=_canvas_class())
    return file.getvalue()


def template_pdf(drawing: Drawing, paper: Paper) -> bytes:
    """Return a drawing's 1:1 template as a PDF of its own; raises as `booklet_pdf` does."""
    return booklet_pdf(Booklet(drawing.title, (Template(drawing),)), paper)


def _story(sheet: PaperSheet) -> list[Any]:
    from mounts.write.blocks import make_flowables

    return [flowable for block in sheet.blocks for flowable in make_flowables(block, USABLE[0])]


def _points(size: tuple[float, float]) -> tuple[float, float]:
    return (size[0] * POINT, size[1] * POINT)


def _sheet_template(name: str, booklet: Booklet, sheet: Any, paper: Paper) -> Any:
    from reportlab.platypus import Frame, PageTemplate

    wide, high = SHEETS[paper]
    left, low = (wide - USABLE[0]) / 2, (high - USABLE[1]) / 2
    frame = Frame(
        left * POINT, (low + _FOOT) * POINT, USABLE[0] * POINT, (USABLE[1] - _FOOT - _HEAD) * POINT,
        leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
    )  # fmt: skip
    ink = partial(_draw_head, booklet=booklet, sheet=sheet, corner=(left, low))
    return PageTemplate(name, [frame], onPage=ink, pagesize=_points(SHEETS[paper]))


def _drawing_template(name: str, page: Page) -> Any:
    from reportlab.platypus import Frame, PageTemplate

    wide, high = _points(page.size)
    frame = Frame(0, 0, wide, high, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)
    return PageTemplate(name, [frame], onPage=lambda canvas, _: page.ink(canvas), pagesize=(wide, high))


def _draw_head(canvas: Any, _: Any, *, booklet: Booklet, sheet: PaperSheet, corner: tuple[float, float]) -> None:
    """Draw title and part at the head of every page, with a warning where there is one."""
    canvas.saveState()
    canvas.scale(POINT, POINT)
    canvas.translate(*corner)
    width, height = USABLE
    canvas.setFillGray(0)
    canvas.setFont(STRONG, 6.0)
    canvas.drawString(0, height - 6.5, fit_line(sheet.title, 6.0, width * 0.62, STRONG))
    canvas.setFont(STRONG, 4.0)
    canvas.drawRightString(width, height - 5.0, fit_line(sheet.part or booklet.title, 4.0, width * 0.36, STRONG))
    if sheet.warning:
        canvas.setFont(STRONG, 3.4)
        canvas.drawRightString(width, height - 9.6, fit_line(sheet.warning, 3.4, width * 0.45, STRONG))
    canvas.setLineWidth(0.7)
    canvas.line(0, height - 11.0, width, height - 11.0)
    canvas.setFont(FACE, 2.9)
    canvas.drawString(0, 0.5, fit_line(booklet.title, 2.9, width * 0.6))
    canvas.restoreState()


def _canvas_class() -> Any:
    """Return a canvas that numbers its pages once it knows how many there are."""
    from reportlab.pdfgen.canvas import Canvas

    class Numbered(Canvas):  # type: ignore[misc]
        def __init__(self, *arguments: Any, **named: Any) -> None:
            super().__init__(*arguments, **named)
            self.setViewerPreference("PrintScaling", "None")
            self.pages: list[dict[str, Any]] = []

        def showPage(self) -> None:  # noqa: N802
            """Keep the page until all are there."""
            self.pages.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            """Write every page with its number."""
            for number, page in enumerate(self.pages, 1):
                self.__dict__.update(page)
                wide, high = (side / POINT for side in self._pagesize)
                self.saveState()
                self.scale(POINT, POINT)
                self.setFillGray(0)
                self.setFont(FACE, 2.9)
                text = f"page {number} of {len(self.pages)}"
                if wide < high:  # lying pages are templates, which need all their room
                    self.drawRightString((wide + USABLE[0]) / 2, (high - USABLE[1]) / 2 + 0.5, text)
                self.restoreState()
                super().showPage()
            super().save()

    return Numbered
