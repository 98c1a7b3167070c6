"""The measuring card: two pages, in the order of the work; over each box what to measure, beneath it its file's key.

The lines are spread over the height of the paper, so that there is as much room to write as there can be.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from mounts.load.editing.readings import ReadingStep, load_table
from mounts.write.card.blocks import Line, draw_line, height_of, lines_of
from mounts.write.card.pen import SketchPen
from mounts.write.card.sketches import SKETCHES
from mounts.write.tiles import SHEETS, Paper
from mounts.write.typesetting import FACE, STRONG, register_face, wrap_text

POINT = 72 / 25.4  # points in a mm
EDGE = 6.0  # mm of the paper that many printers leave white
WIDTH = 198.0
ASIDE = 36.0  # width of the column of titles and sketches
SAY, SAY_LEADING = 3.0, 3.8  # letters of what to do
TITLE, TOP = 6.0, 9.5
LEAST_SKETCH = 12.0
CARE_HEIGHT = 3 * SAY_LEADING + 2.0  # the frame's and a little below it
LEAST_BOX, MOST_BOX = 8.0, 15.0
TITLES = {"panel": "Measuring card: door, shelf", "pins": "Measuring card: pins"}
FIRST = (
    "First: the vehicle maker's instructions and local rules; airbags and belts are for licensed people. Battery off, "
    "wait 2 minutes and more, before a plug is pulled. Keep clear of airbags, strike no sensor. "
)
CARE = {
    "panel": FIRST
    + "A door with a pressure sensor stays sealed. Gloves for sheet edges and glass; the window goes up and "
    "down with no hand in the door.",
    "pins": FIRST
    + "A panel that covers an airbag is never staked or altered. No iron in the vehicle: stake on the bench, "
    "with eye protection and fresh air.",
}
UNITS = (
    "mm and degrees, or write the unit: 6 1/2 in. Clock as seen from the cabin, 12:00 is up. "
    "Not measured: leave it empty."
)


@dataclass(frozen=True, slots=True)
class Band:
    """One step on the page: its title and sketch on the left, what to do and its boxes beside them."""

    title: str
    say: tuple[str, ...]
    sketch: str
    lines: tuple[Line, ...]

    def height(self, box: float) -> float:
        """Return the band's height with boxes of a height."""
        boxes = len(self.say) * SAY_LEADING + sum(height_of(line, box) for line in self.lines)
        return max(boxes, TITLE + LEAST_SKETCH if self.sketch else 0.0) + 2.4


def bands(sort: str) -> tuple[Band, ...]:
    """Return what the card of a sort of panel asks for, the head first."""
    asked = load_table("pins" if sort == "pins" else "panel")
    steps = [_band(k, step) for k, step in enumerate(asked.steps, start=1)]
    new = [_new_speaker(len(steps) + 1)]
    head = Band("", (), "", tuple(lines_of(asked.head, WIDTH)))
    return (head, *steps, *new)


def _band(number: int, step: ReadingStep) -> Band:
    return Band(
        f"{number} {step.title}",
        tuple(wrap_text(step.card, SAY, WIDTH - ASIDE)),
        step.sketch,
        tuple(lines_of(step.readings, WIDTH - ASIDE)),
    )


def _new_speaker(number: int) -> Band:
    speaker = load_table("speaker")
    say = (
        "Its own file: mounts new speaker. Data sheet, then caliper; depths from the flange's underside; its own clock."
    )
    lines = lines_of(sorted(speaker.readings, key=lambda reading: reading.is_list), WIDTH - ASIDE)
    return Band(f"{number} New speaker", tuple(wrap_text(say, SAY, WIDTH - ASIDE)), "speaker", tuple(lines))


def card_pdf(sort: str, paper: Paper) -> bytes:
    """Return the card of a sort of panel, "panel" or "pins", as a PDF of two pages; the same bytes every time."""
    from reportlab.pdfgen.canvas import Canvas

    register_face()
    wide, high = SHEETS[paper]
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=(wide * POINT, high * POINT), invariant=1, initialFontName=FACE)
    canvas.setTitle(TITLES[sort])
    canvas.setCreator("mounts")
    pages = card_pages(bands(sort), high - 2 * EDGE)
    for number, (held, box) in enumerate(pages, 1):
        canvas.scale(POINT, POINT)
        canvas.translate((wide - WIDTH) / 2, EDGE)
        _draw(canvas, sort, (held, box, f"{number}/{len(pages)}"), high - 2 * EDGE)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def card_pages(all_: Sequence[Band], height: float) -> list[tuple[Sequence[Band], float]]:
    """Return the bands of either page with the height of its boxes, parted where the lower boxes are highest."""
    ways = [
        [(held, box_height(held, height)) for held in (all_[:part], all_[part:])] for part in range(1, len(all_) - 1)
    ]
    return max(ways, key=lambda pages: min(box for _, box in pages))


def box_height(all_: Sequence[Band], height: float) -> float:
    """Return the height of the boxes with which the bands fill a page of a height, at most MOST_BOX."""
    low, high = LEAST_BOX, MOST_BOX
    for _ in range(30):
        middle = (low + high) / 2
        fits = TOP + CARE_HEIGHT + 1.6 + sum(band.height(middle) for band in all_) <= height
        low, high = (middle, high) if fits else (low, middle)
    return low


def _draw(canvas: Any, sort: str, page: tuple[Sequence[Band], float, str], height: float) -> None:
    all_, box, number = page
    canvas.setFont(STRONG, TITLE)
    canvas.drawString(0, height - 5.2, f"{TITLES[sort]} {number}")
    canvas.setFont(FACE, SAY)
    for k, line in enumerate(wrap_text(UNITS, SAY, 92)):
        canvas.drawRightString(WIDTH, height - 3.0 - k * SAY_LEADING, line)
    y = _caution(canvas, CARE[sort], height - TOP)
    for band in all_:
        y = _draw_band(canvas, band, y, box)


def _caution(canvas: Any, text: str, top: float) -> float:
    """Draw the cautions in a frame before all else, since they come before the work, and return where they end."""
    tall = CARE_HEIGHT - 0.8
    canvas.setLineWidth(0.8)
    canvas.rect(0.4, top - tall, WIDTH - 0.8, tall)
    canvas.setFont(FACE, SAY)
    for k, line in enumerate(wrap_text(text, SAY, WIDTH - 3)):
        canvas.drawString(1.6, top - 3.3 - k * SAY_LEADING, line)
    return top - tall - 2.4


def _draw_band(canvas: Any, band: Band, top: float, box: float) -> float:
    """Draw a band from a height down, and return where the next one begins."""
    tall = band.height(box)
    left = ASIDE if band.title else 0.0
    y = top - 0.6
    if band.title:
        canvas.setLineWidth(0.6)
        canvas.setStrokeGray(0)
        canvas.line(0, top + 0.4, WIDTH, top + 0.4)
        canvas.setFillGray(0)
        canvas.setFont(STRONG, 4.0)
        canvas.drawString(0, top - 4.0, band.title)
        pen = SketchPen.inside(canvas, (0.0, top - tall + 1.6), (ASIDE - 2.0, tall - TITLE - 1.6))
        SKETCHES[band.sketch](pen)
    canvas.setFont(FACE, SAY)
    canvas.setFillGray(0)
    for line in band.say:
        canvas.drawString(left, y - 2.5, line)
        y -= SAY_LEADING
    for row in band.lines:
        draw_line(canvas, row, (left, y), box)
        y -= height_of(row, box)
    return top - tall
