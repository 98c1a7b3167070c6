"""Paper template at 1:1 as PDF, to lay on the door before anything is printed or cut.

Every sheet carries two bars of 100 mm, one along and one across the paper, since printers scale unasked and not
always alike both ways. A drawing larger than a sheet is spread over several that overlap.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from mounts.design.drawing import Drawing, Note, bound_width
from mounts.geometry.outline import Box
from mounts.write.drawing_pdf import draw_pdf, inked_box, outline_path
from mounts.write.text_shaping import shape_text
from mounts.write.tiles import OVERLAP, SHEETS, STRIP, USABLE, Paper, Tile, TileGrid, lay_tiles
from mounts.write.typesetting import FACE, STRONG, wrap_text

Heading = list[tuple[str, float]]  # lines with the size of their letters in mm


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its size in mm, and what draws it from the corner of its usable area, on a canvas in mm."""

    size: tuple[float, float]
    ink: Callable[[Any], None]


_BAR = 100.0
_TITLE, _ORDER, _CAPTION = 5.0, 3.4, 2.9  # size of letters in mm
_UP = 6.0
_LEADING = 1.35
_MAP = 30.0  # width that the map of the sheets takes in the heading
_ASIDE = 28.0  # mm of the heading's width that UP or FRONT takes beside the map
_MOST = 24  # lines in the heading; beyond that the field would not hold the bar
_PRINT = "Print at 100 %, without “fit to page”. Then measure both bars: each is 100 mm, which is 3 15/16 in."
_JOIN = "Cut one sheet along its dotted line, lay it on its neighbour so that the crosses meet, and tape."


def template_pages(drawing: Drawing, paper: Paper) -> tuple[Page, ...]:
    """Return the drawing at 1:1 on A4 or Letter, on as many pages as it takes.

    Raises:
        ValueError: if the drawing has no stroke.
    """
    if not drawing.strokes:
        raise ValueError("a drawing without a stroke gives an empty template")
    layout, heading = _arrange(drawing)
    wide, high = SHEETS[paper] if layout.is_upright else SHEETS[paper][::-1]

    def page(tile: Tile) -> Page:
        def ink(canvas: Any) -> None:
            _draw_head(canvas, heading, drawing, layout, tile)
            _draw_bars(canvas)
            _draw_field(canvas, drawing, layout, tile)

        return Page((wide, high), ink)

    return tuple(page(tile) for tile in layout.tiles)


def _arrange(drawing: Drawing) -> tuple[TileGrid, Heading]:
    """Return the sheets and the heading on each; only a heading over several sheets says how to join them."""
    for joined in (False, True):
        upright, lying = (_heading(drawing, width, joined) for width in USABLE)
        layout = lay_tiles(inked_box(drawing), _height(upright), _height(lying))
        if len(layout.tiles) == 1:
            break
    return layout, upright if layout.is_upright else lying


def _heading(drawing: Drawing, width: float, joined: bool) -> Heading:
    """Return the lines of the heading with their letters' size: title, what to do, captions."""
    said = [(drawing.title, _TITLE), (_PRINT, _ORDER), *([(_JOIN, _ORDER)] if joined else [])]
    said += [(caption, _CAPTION) for caption in drawing.captions]
    lines = [(line, size) for text, size in said for line in wrap_text(text, size, width - _MAP - _ASIDE)]
    return lines if len(lines) <= _MOST else [*lines[: _MOST - 1], ("…", _CAPTION)]


def _height(heading: Heading) -> float:
    return max(sum(size * _LEADING for _, size in heading), 14.0) + 2.0


def _draw_head(canvas: Any, heading: Heading, drawing: Drawing, layout: TileGrid, tile: Tile) -> None:
    y = layout.usable[1]
    canvas.setFillGray(0)
    for text, size in heading:
        y -= size * _LEADING
        canvas.setFont(FACE, size)
        canvas.drawString(0, y + size * (_LEADING - 1), text)
    number = layout.tiles.index(tile) + 1
    canvas.setFont(FACE, _ORDER)
    canvas.drawRightString(layout.usable[0], layout.usable[1] - _ORDER * _LEADING, _sheet_number(layout, tile, number))
    if len(layout.tiles) > 1:
        _draw_map(canvas, drawing, layout, tile)
    canvas.setFillGray(0)
    canvas.setFont(STRONG, _UP)
    place = (layout.usable[0] - _MAP if len(layout.tiles) > 1 else layout.usable[0], layout.usable[1] - 14.0)
    canvas.drawRightString(*place, shape_text(f"▲ {drawing.up}"))


def _sheet_number(layout: TileGrid, tile: Tile, number: int) -> str:
    count = len(layout.tiles)
    return f"sheet {number}/{count}" + (f", {tile.name}" if count > 1 else "")


def _draw_map(canvas: Any, drawing: Drawing, layout: TileGrid, here: Tile) -> None:
    """Draw the grid of sheets in small at the heading's right, this sheet grey, with the drawing over it."""
    (width, height), (columns, rows) = layout.field, (layout.columns, layout.rows)
    whole = (columns * (width - OVERLAP) + OVERLAP, rows * (height - OVERLAP) + OVERLAP)
    scale = min((_MAP - 4) / whole[0], (layout.usable[1] - STRIP - height - _ORDER * _LEADING - 3) / whole[1])
    canvas.saveState()
    canvas.translate(layout.usable[0] - whole[0] * scale, layout.usable[1] - _ORDER * _LEADING - 2 - whole[1] * scale)
    canvas.scale(scale, scale)
    canvas.translate(-layout.corner[0], -layout.corner[1])
    canvas.setLineWidth(0.15 / scale)
    canvas.setStrokeGray(0.5)
    canvas.setFillGray(0.82)
    for tile in sorted(layout.tiles, key=lambda t: t != here):
        canvas.rect(*tile.corner, width, height, stroke=1, fill=int(tile == here))
    canvas.setStrokeGray(0)
    for stroke in drawing.strokes:
        canvas.drawPath(outline_path(canvas, stroke.outline))
    canvas.restoreState()


def _draw_bars(canvas: Any) -> None:
    """Draw two bars of 100 mm with ticks every 10, measured between the middles of the outer ticks."""
    canvas.setStrokeGray(0)
    canvas.setFillGray(0)
    canvas.setLineWidth(0.2)
    canvas.setFont(FACE, _CAPTION)
    for turn in (0, 90):
        canvas.saveState()
        canvas.translate(STRIP, STRIP)
        canvas.rotate(turn)
        away = -1 if turn == 0 else 1  # the bar lies in the strip, outside the field
        base = away * 2.2
        canvas.line(0, base, _BAR, base)
        for k in range(11):
            canvas.line(10 * k, base, 10 * k, base + away * (2.4 if k in (0, 10) else 1.2))
        if turn:
            canvas.drawCentredString(_BAR / 2, base + 2.7, "100 mm = 3 15/16 in")
        else:  # beside it, since the page's foot is below
            canvas.drawString(_BAR + 2.0, base - 0.6, "100 mm = 3 15/16 in")
        canvas.restoreState()


def _draw_field(canvas: Any, drawing: Drawing, layout: TileGrid, tile: Tile) -> None:
    width, height = layout.field
    canvas.saveState()
    canvas.translate(STRIP, STRIP)
    path = canvas.beginPath()
    path.rect(0, 0, width, height)
    canvas.clipPath(path, stroke=0)
    if len(layout.tiles) > 1:
        _draw_joints(canvas, layout, tile)
    canvas.translate(-tile.corner[0], -tile.corner[1])
    x, y = tile.corner
    window = (x, y, x + width, y + height)
    draw_pdf(canvas, [item for item in drawing.items if not isinstance(item, Note) or _shows(window, item)])
    canvas.restoreState()


def _shows(window: Box, note: Note) -> bool:
    """Return whether a note's place lies in a sheet's window, or so near it that some of the note does."""
    half = (bound_width(note.text, note.height) / 2, note.height / 2)
    reach = half[::-1] if note.turn % 180 else half
    return all(window[k] - reach[k] <= note.at[k] <= window[k + 2] + reach[k] for k in (0, 1))


def _draw_joints(canvas: Any, layout: TileGrid, tile: Tile) -> None:
    """Draw a dotted line in the middle of each overlap with a neighbouring sheet, with crosses that coincide."""
    (width, height), half = layout.field, OVERLAP / 2
    lines = []
    if tile.column > 0:
        lines.append((half, 0.0, half, height))
    if tile.column < layout.columns - 1:
        lines.append((width - half, 0.0, width - half, height))
    if tile.row < layout.rows - 1:
        lines.append((0.0, half, width, half))
    if tile.row > 0:
        lines.append((0.0, height - half, width, height - half))
    canvas.setStrokeGray(0.4)
    for x0, y0, x1, y1 in lines:
        canvas.setLineWidth(0.12)
        canvas.setDash([0.3, 1.7])
        canvas.line(x0, y0, x1, y1)
        canvas.setDash([])
        canvas.setLineWidth(0.25)
        for a, b in ((0.0, 0.03), (0.97, 1.0)):  # crop marks
            canvas.line(x0 + (x1 - x0) * a, y0 + (y1 - y0) * a, x0 + (x1 - x0) * b, y0 + (y1 - y0) * b)
        for f in (0.15, 0.5, 0.85):
            x, y = x0 + (x1 - x0) * f, y0 + (y1 - y0) * f
            canvas.line(x - 3, y, x + 3, y)
            canvas.line(x, y - 3, x, y + 3)
