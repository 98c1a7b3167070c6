"""Flows of a sheet: text, boxes, rows, pictures and lines to write on, each with its height and what draws it, in mm.

Text is put down line by line as it is, never read as markup.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from mounts.papers import values
from mounts.write.drawing_pdf import draw_pdf
from mounts.write.layout import lay_out
from mounts.write.text_shaping import shape_text
from mounts.write.typesetting import FACE, POINT, STRONG, fit_line, limit_lines, text_width, wrap_text

LEAST_TEXT = 8 / POINT  # mm: nothing on a page is smaller than 8 points
SIZES = {
    "title": (7.0, STRONG),
    "head": (4.6, STRONG),
    "body": (3.5, FACE),
    "strong": (3.5, STRONG),
    "small": (3.0, FACE),
}
CELL, SMALL = 3.3, 2.9  # letters in a table, mm
_LEADING = 1.3
_MOST = 16  # lines of one text, so that none is longer than a page; the whole of it stands in the job's file
_BOX = 4.4  # mm, a box to tick
_STEP, _NOTE, _TITLE = 3.6, 3.0, 3.4  # letters of a step, of its note, and of a view's title, mm
_WORD = 8.0  # letters of a verdict, mm
_JPEG = b"\xff\xd8\xff"  # what a file of that kind begins with
_PICTURE = 760  # pixels across a picture as it is printed: 150 dpi at most

Lines = list[tuple[str, float, str]]  # text that is ready to be drawn, the size of its letters in mm, and its face


@dataclass(frozen=True, slots=True)
class Flow:
    """Something drawn upward from its lower left corner: its height in mm, and what draws it on a canvas in mm."""

    high: float
    ink: Callable[[Any], None]


def broken_lines(text: str, size: float, width: float, face: str = FACE) -> Lines:
    """Return the text in lines no wider than `width` mm."""
    return [(line, size, face) for line in limit_lines(wrap_text(text, size, width, face), _MOST)]


def _high(lines: Lines) -> float:
    return sum(size * _LEADING for _, size, _ in lines)


def _put(canvas: Any, lines: Lines, x: float, top: float) -> None:
    """Draw lines from a height down."""
    for line, size, face in lines:
        canvas.setFont(face, size)
        canvas.drawString(x, top - size, line)
        top -= size * _LEADING


def paragraph_flow(text: str, style: tuple[float, str], width: float, *, bullet: bool = False) -> Flow:
    """Return plain text in lines, with a bullet before it where it is one of several points."""
    left = 5.0 if bullet else 0.0
    lines = broken_lines(text, style[0], width - left, style[1])
    high = _high(lines) + 1.4

    def ink(canvas: Any) -> None:
        if bullet:
            canvas.rect(1.0, high - 3.0, 1.7, 1.7, stroke=0, fill=1)
        _put(canvas, lines, left, high)

    return Flow(high, ink)


def heading_flow(title: str, part: str, warning: str, width: float) -> Flow:
    """Return the heading of a sheet over a heavy line, with its part and a warning at the right."""
    right = [(part, 3.6), (warning, 3.4)]
    room = max((text_width(text, size, STRONG) for text, size in right), default=0.0)
    room = min(room, width * 0.55)

    def ink(canvas: Any) -> None:
        canvas.setFont(STRONG, 5.6)
        canvas.drawString(0, 4.4, fit_line(title, 5.6, width - room - 3.0, STRONG))
        for y, (text, size) in zip((6.2 if warning else 4.4, 2.4), right, strict=True):
            canvas.setFont(STRONG, size)
            canvas.drawRightString(width, y, fit_line(text, size, room, STRONG))
        canvas.setLineWidth(0.7)
        canvas.line(0, 1.4, width, 1.4)

    return Flow(12.0, ink)


def verdict_flow(block: values.VerdictBox, width: float) -> Flow:
    """Return a verdict in a heavy frame, white on black when it is grave: the word, and what it means beside it."""
    column = text_width(block.word, _WORD, STRONG) + 12
    lines = broken_lines(block.text, 3.6, width - column - 4, STRONG)
    high = max(14.0, _high(lines) + 5.0)

    def ink(canvas: Any) -> None:
        canvas.setLineWidth(1.0)
        canvas.rect(0.5, 2.0, width - 1, high - 0.5, stroke=1, fill=int(block.grave))
        canvas.setFillGray(1 if block.grave else 0)
        middle = 2.0 + high / 2
        canvas.setFont(STRONG, _WORD)
        canvas.drawString(5, middle - _WORD * 0.36, shape_text(block.word))
        _put(canvas, lines, column, middle + _high(lines) / 2)
        canvas.setFillGray(0)

    return Flow(high + 3.5, ink)


def box_pitch(boxes: Sequence[str]) -> float:
    """Return the distance of two columns of boxes, so that the word over each stands clear of the next."""
    return max(_BOX, *(text_width(word, LEAST_TEXT, STRONG) for word in boxes)) + 1.8


def step_flow(step: values.WorkStep, number: int, boxes: Sequence[str], width: float) -> Flow:
    """Return boxes, a number, what to do, and a note under it."""
    pitch = box_pitch(boxes)
    left = len(boxes) * pitch + 8.0
    lines = [*broken_lines(step.text, _STEP, width - left), *broken_lines(step.note, _NOTE, width - left)]
    high = max(_BOX, _high(lines)) + 1.3

    def ink(canvas: Any) -> None:
        canvas.setLineWidth(0.5)
        for k in range(len(boxes)):
            canvas.rect(0.3 + k * pitch, high - _BOX - 0.2, _BOX, _BOX)
        canvas.setFont(STRONG, _STEP)
        canvas.drawRightString(left - 1.8, high - _STEP, str(number))
        _put(canvas, lines, left, high)

    return Flow(high, ink)


def box_words_flow(boxes: Sequence[str]) -> Flow:
    """Return the words over the columns of boxes."""

    def ink(canvas: Any) -> None:
        canvas.setFont(STRONG, LEAST_TEXT)
        for k, word in enumerate(boxes):
            canvas.drawString(0.3 + k * box_pitch(boxes), 1.0, shape_text(word))

    return Flow(4.4, ink)


def row_flow(cells: Sequence[str], block: values.TableBlock, width: float, *, head: bool = False) -> Flow:
    """Return one row of a table with the line under it; a cell may be a box to tick or room to write in."""
    pad, gap = 0.3 if block.small else 0.9, 1.2
    size = SMALL if head or block.small else CELL
    wide = [share / sum(block.shares) * width for share in block.shares]
    lines = [
        [] if text in (values.TICK, values.WRITE)
        else broken_lines(text, size, across - 2 * gap, STRONG if head or column in block.strong else FACE)
        for column, (text, across) in enumerate(zip(cells, wide, strict=True))
    ]  # fmt: skip
    least = max((_BOX + 0.4 if text == values.TICK else size * _LEADING) for text in cells)
    high = max(least, *map(_high, lines)) + 2 * pad

    def ink(canvas: Any) -> None:
        x = 0.0
        for text, across, said in zip(cells, wide, lines, strict=True):
            canvas.setLineWidth(0.5 if text == values.TICK else 0.3)
            if text == values.TICK:
                canvas.rect(x + gap, high - pad - _BOX - 0.2, _BOX, _BOX)
            elif text == values.WRITE:
                canvas.rect(x, 0, across, high)
            _put(canvas, said, x + gap, high - pad)
            x += across
        canvas.setStrokeGray(0 if head else 0.55)
        canvas.setLineWidth(0.4 if head else 0.15)
        canvas.line(0, 0, width, 0)
        canvas.setStrokeGray(0)

    return Flow(high, ink)


def view_flow(block: values.ViewFigure, width: float) -> Flow:
    """Return a view under its title, as large as a usual scale lets it be."""
    laid, scale = lay_out(block.view, width, block.height)
    lines = broken_lines(f"{block.view.title}. Scale {scale}", _TITLE, width, STRONG)
    high = laid.box[3] + _high(lines) + 2.0

    def ink(canvas: Any) -> None:
        _put(canvas, lines, 0, high)
        draw_pdf(canvas, laid.items)

    return Flow(high, ink)


def picture_flow(block: values.PictureBlock, width: float) -> Flow:
    """Return pictures side by side with their words below; one alone is half as wide."""
    from reportlab.lib.utils import ImageReader

    images = [(ImageReader(io.BytesIO(compress_picture(png))), words) for png, words in block.pictures]
    across = (width - 4 * (len(images) - 1)) / max(2, len(images)) if images else 0.0
    tall = max((across * high / wide for wide, high in (image.getSize() for image, _ in images)), default=0.0)

    def ink(canvas: Any) -> None:
        for k, (image, words) in enumerate(images):
            x = k * (across + 4)
            canvas.drawImage(image, x, 6.0, across, tall, preserveAspectRatio=True)
            canvas.setLineWidth(0.2)
            canvas.rect(x, 6.0, across, tall)
            canvas.setFont(STRONG, 3.4)
            canvas.drawString(x, 1.8, fit_line(words, 3.4, across, STRONG))

    return Flow(tall + 6.5, ink)


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


def writing_flow(block: values.WritingSpace, width: float) -> Flow:
    """Return lines to write on, the label before the first."""
    high = 8.0 * block.lines + 1.0
    label = fit_line(block.label, 3.6, width * 0.7, STRONG)

    def ink(canvas: Any) -> None:
        canvas.setFont(STRONG, 3.6)
        canvas.drawString(0, high - 7.0, label)
        canvas.setLineWidth(0.25)
        for k in range(block.lines):
            start = min(text_width(block.label, 3.6, STRONG), width * 0.7) + 2 if k == 0 and block.label else 0.0
            canvas.line(start, high - 7.4 - 8.0 * k, width, high - 7.4 - 8.0 * k)

    return Flow(high, ink)
