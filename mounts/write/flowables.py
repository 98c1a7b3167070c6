"""Flowables of a sheet: text, boxes, pictures and lines to write on, each of which draws itself in mm.

Text is put down line by line as it is, never read as markup.
"""

from __future__ import annotations

import io
from abc import abstractmethod
from collections.abc import Sequence
from typing import Any

from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable

from mounts.papers import values
from mounts.write.drawing_pdf import draw_pdf
from mounts.write.layout import lay_out
from mounts.write.text_shaping import shape_text
from mounts.write.typesetting import FACE, POINT, STRONG, fit_line, limit_lines, text_width, wrap_text

SIZES = {
    "title": (7.6, STRONG),
    "head": (5.0, STRONG),
    "body": (4.0, FACE),
    "strong": (4.0, STRONG),
    "small": (3.1, FACE),
}
_LEADING = 1.32
_MOST = 16  # lines of one text, so that none is longer than a page; the whole of it stands in the job's file
_BOX = 4.6  # mm, a box to tick
_NOTE = 3.3  # mm, letters of a step's note
_JPEG = b"\xff\xd8\xff"  # what a file of that kind begins with
_PICTURE = 760  # pixels across a picture as it is printed: 150 dpi at most


class TextFlow(Flowable):  # type: ignore[misc]
    """Plain text in lines."""

    def __init__(self, text: str, size: float, face: str = FACE, *, after: float = 1.2) -> None:
        super().__init__()
        self.text, self.size, self.face, self.after = text, size, face, after
        self.lines: list[str] = []
        self.room = 0.0  # for which they are broken: a table asks several times

    def wrap(self, room: float, _: float) -> tuple[float, float]:
        """Break the lines and return their size; in points, as reportlab has them."""
        if room != self.room:
            self.lines = limit_lines(wrap_text(self.text, self.size, room / POINT, self.face), _MOST)
            self.room = room
        return room, (len(self.lines) * self.size * _LEADING + self.after) * POINT

    def draw(self) -> None:
        """Draw the lines from the top down."""
        self.canv.saveState()
        self.canv.scale(POINT, POINT)
        self.canv.setFillGray(0)
        self.canv.setFont(self.face, self.size)
        top = len(self.lines) * self.size * _LEADING + self.after
        for k, line in enumerate(self.lines):
            self.canv.drawString(0, top - self.size * (_LEADING * k + 1.0), line)
        self.canv.restoreState()


class DrawnFlow(Flowable):  # type: ignore[misc]
    """Anything that draws itself in mm into a known height."""

    def __init__(self, high: float) -> None:
        super().__init__()
        self.high, self.wide = high, 0.0

    def wrap(self, room: float, _: float) -> tuple[float, float]:
        """Return the whole width of the room, and the height."""
        self.wide = room / POINT
        return room, self.high * POINT

    def draw(self) -> None:
        """Draw in mm, from the lower left corner."""
        self.canv.saveState()
        self.canv.scale(POINT, POINT)
        self.canv.setFillGray(0)
        self.canv.setStrokeGray(0)
        self.ink(self.canv)
        self.canv.restoreState()

    @abstractmethod
    def ink(self, canvas: Any) -> None:
        """Draw it on a canvas in mm."""


class TickBox(DrawnFlow):
    """A box to tick."""

    def __init__(self) -> None:
        super().__init__(_BOX + 0.6)

    def ink(self, canvas: Any) -> None:
        """Draw a square."""
        canvas.setLineWidth(0.5)
        canvas.rect(0.2, 0.4, _BOX, _BOX)


class BannerFlow(DrawnFlow):
    """A verdict in a heavy frame, white on black when it is grave."""

    def __init__(self, block: values.VerdictBox) -> None:
        super().__init__(0.0)
        self.block = block
        self.lines: list[str] = []

    def wrap(self, room: float, _: float) -> tuple[float, float]:
        """Return the width of the room and the height of the lines, in points."""
        self.wide = room / POINT
        column = text_width(self.block.word, 8.0, STRONG) + 12
        self.lines = limit_lines(wrap_text(self.block.text, 4.0, self.wide - column - 4, STRONG), _MOST)
        self.high = max(14.0, len(self.lines) * 4.0 * _LEADING + 5.0)
        return room, (self.high + 3.0) * POINT

    def ink(self, canvas: Any) -> None:
        """Draw the word at the left, what it means at its right."""
        canvas.setLineWidth(1.0)
        canvas.rect(0.5, 2.0, self.wide - 1, self.high - 0.5, stroke=1, fill=int(self.block.grave))
        canvas.setFillGray(1 if self.block.grave else 0)
        middle = 2.0 + self.high / 2
        canvas.setFont(STRONG, 8.0)
        canvas.drawString(5, middle - 8.0 * 0.36, shape_text(self.block.word))
        canvas.setFont(STRONG, 4.0)
        column = text_width(self.block.word, 8.0, STRONG) + 12
        top = middle + len(self.lines) * 4.0 * _LEADING / 2
        for k, line in enumerate(self.lines):
            canvas.drawString(column, top - 4.0 * (_LEADING * k + 1.0), line)


class StepFlow(DrawnFlow):
    """Boxes, a number, what to do, and a note under it."""

    def __init__(self, step: values.WorkStep, number: int, boxes: int) -> None:
        super().__init__(0.0)
        self.step, self.number, self.boxes = step, number, boxes
        self.left = boxes * (_BOX + 3.0) + 9.0
        self.lines: list[tuple[str, float]] = []

    def wrap(self, room: float, _: float) -> tuple[float, float]:
        """Return the width of the room and the height of the lines, in points."""
        self.wide = room / POINT
        room_left = self.wide - self.left
        said = [
            (line, size)
            for text, size in ((self.step.text, SIZES["body"][0]), (self.step.note, _NOTE))
            for line in limit_lines(wrap_text(text, size, room_left), _MOST)
        ]
        self.lines = said
        self.high = max(_BOX, sum(size * _LEADING for _, size in said)) + 2.2
        return room, self.high * POINT

    def ink(self, canvas: Any) -> None:
        """Draw the boxes at the left, then the text."""
        canvas.setLineWidth(0.5)
        for k in range(self.boxes):
            canvas.rect(0.3 + k * (_BOX + 3.0), self.high - _BOX - 0.3, _BOX, _BOX)
        canvas.setFont(STRONG, 4.0)
        canvas.drawRightString(self.left - 2.2, self.high - 4.0, str(self.number))
        y = self.high
        for line, size in self.lines:
            canvas.setFont(FACE, size)
            canvas.drawString(self.left, y - size, line)
            y -= size * _LEADING


class BoxHeadings(DrawnFlow):
    """Headings of the columns of boxes."""

    def __init__(self, heads: Sequence[str]) -> None:
        super().__init__(4.6)
        self.heads = heads

    def ink(self, canvas: Any) -> None:
        """Draw small words over the boxes."""
        for k, head in enumerate(self.heads):
            canvas.setFont(STRONG, 2.4)
            canvas.drawString(0.3 + k * (_BOX + 3.0), 1.0, fit_line(head, 2.4, _BOX + 2.8, STRONG))


class BulletFlow(TextFlow):
    """A point and a paragraph."""

    def __init__(self, text: str) -> None:
        super().__init__(text, 3.9, after=2.0)

    def wrap(self, room: float, high: float) -> tuple[float, float]:
        """Return the size of the text in a room that is narrower by the bullet."""
        return room, super().wrap(room - 6 * POINT, high)[1]

    def draw(self) -> None:
        """Draw the bullet at the left."""
        self.canv.saveState()
        self.canv.translate(6 * POINT, 0)
        super().draw()
        self.canv.restoreState()
        self.canv.saveState()
        self.canv.scale(POINT, POINT)
        self.canv.setFillGray(0)
        top = len(self.lines) * self.size * _LEADING + self.after
        self.canv.rect(1.0, top - 3.2, 1.8, 1.8, stroke=0, fill=1)
        self.canv.restoreState()


class ViewFlow(DrawnFlow):
    """A view under its title."""

    def __init__(self, block: values.ViewFigure) -> None:
        super().__init__(block.height)
        self.view = block.view

    def ink(self, canvas: Any) -> None:
        """Draw the view, which fills the box below its title."""
        laid, scale = lay_out(self.view, self.wide, self.high - 6.0)
        canvas.setFont(STRONG, 3.6)
        canvas.drawString(0, self.high - 3.6, fit_line(f"{self.view.title}. Scale {scale}", 3.6, self.wide, STRONG))
        draw_pdf(canvas, laid.items)


class PictureRow(DrawnFlow):
    """Pictures side by side with their words below."""

    def __init__(self, block: values.PictureBlock) -> None:
        super().__init__(0.0)
        self.images = [(ImageReader(io.BytesIO(compress_picture(png))), words) for png, words in block.pictures]

    def wrap(self, room: float, _: float) -> tuple[float, float]:
        """Return the room's width and the height that the pictures' shapes ask for; one alone is half as wide."""
        self.wide = room / POINT
        self.across = (self.wide - 4 * (len(self.images) - 1)) / max(2, len(self.images)) if self.images else 0.0
        shapes = [image.getSize() for image, _ in self.images]
        self.tall = max((self.across * high / across for across, high in shapes), default=0.0)
        self.high = self.tall + 6.0
        return room, self.high * POINT

    def ink(self, canvas: Any) -> None:
        """Draw the pictures from the left."""
        for k, (image, words) in enumerate(self.images):
            x = k * (self.across + 4)
            canvas.drawImage(image, x, 6.0, self.across, self.tall, preserveAspectRatio=True)
            canvas.setLineWidth(0.2)
            canvas.rect(x, 6.0, self.across, self.tall)
            canvas.setFont(STRONG, 3.6)
            canvas.drawString(x, 1.6, fit_line(words, 3.6, self.across, STRONG))


def compress_picture(picture: bytes) -> bytes:
    """Return a picture as small as a printer shows it, as JPEG; one that is JPEG already stays as it is."""
    from PIL import Image

    if picture.startswith(_JPEG):
        return picture
    with Image.open(io.BytesIO(picture)) as image:
        small = image.convert("RGB")
        small.thumbnail((_PICTURE, _PICTURE))
        file = io.BytesIO()
        small.save(file, "JPEG", quality=85)
    return file.getvalue()


class WritingLines(DrawnFlow):
    """Lines to write on."""

    def __init__(self, block: values.WritingSpace) -> None:
        super().__init__(8.0 * block.lines + 1.0)
        self.label, self.count = block.label, block.lines

    def ink(self, canvas: Any) -> None:
        """Draw the lines, the label before the first."""
        canvas.setFont(STRONG, 3.6)
        said = fit_line(self.label, 3.6, self.wide * 0.7, STRONG)
        canvas.drawString(0, self.high - 7.0, said)
        canvas.setLineWidth(0.25)
        for k in range(self.count):
            x = text_width(self.label, 3.6, STRONG) + 2 if k == 0 and self.label else 0.0
            canvas.line(min(x, self.wide * 0.7 + 2), self.high - 7.4 - 8.0 * k, self.wide, self.high - 7.4 - 8.0 * k)
