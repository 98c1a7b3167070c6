"""A drawing on a PDF page, in mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil, cos, radians, sin, tan
from typing import Any

from mounts.design.drawing import (
    LAYERS,
    Area,
    Cross,
    Drawing,
    DrawnText,
    Ink,
    Item,
    Layer,
    Note,
    Pen,
    PenLine,
    Stroke,
    primitives,
)
from mounts.geometry.outline import Arc, Box, Outline, bound_points
from mounts.write.drawing_png import TEXT_EDGE
from mounts.write.text_shaping import CAP_HEIGHT, shape_text
from mounts.write.typesetting import FACE, register_face, text_width


def draw_pdf(canvas: Any, items: Iterable[Item]) -> None:
    """Draw the items on a canvas whose unit is mm."""
    register_face()
    canvas.saveState()
    for item in primitives(items):
        match item:
            case PenLine():
                _set_pen(canvas, item.pen, join=1)
                path = canvas.beginPath()
                path.moveTo(*item.points[0])
                for point in item.points[1:]:
                    path.lineTo(*point)
                canvas.drawPath(path)
            case Stroke():
                _set_pen(canvas, LAYERS[item.layer], join=0)
                canvas.drawPath(outline_path(canvas, item.outline))
            case Area():
                _fill_area(canvas, item)
            case DrawnText():
                _draw_text(canvas, item)
    canvas.restoreState()


def inked_box(drawing: Drawing) -> Box:
    """Return the box of everything on a flat drawing, with a line's width about it."""
    boxes: list[Box] = []
    for item in drawing.items:
        match item:
            case Stroke():
                boxes.append(item.outline.box)
            case Cross():
                boxes.append(_square(item.at, item.size / 2))
            case Note():
                boxes.append(_square(item.at, max(item.height, text_width(item.text, item.height / CAP_HEIGHT) / 2)))
    x0, y0, x1, y1 = bound_points((), *boxes)
    edge = LAYERS[Layer.CUT].weight
    return (x0 - edge, y0 - edge, x1 + edge, y1 + edge)


def _square(at: tuple[float, float], half: float) -> Box:
    return (at[0] - half, at[1] - half, at[0] + half, at[1] + half)


def outline_path(canvas: Any, outline: Outline) -> Any:
    """Return the outline as a closed path of the canvas."""
    path = canvas.beginPath()
    path.moveTo(*outline.spans[0].start)
    for span in outline.spans:
        if isinstance(span, Arc):
            for curve in _curves(span):
                path.curveTo(*curve)
        else:
            path.lineTo(*span.end)
    path.close()
    return path


def _curves(arc: Arc) -> Iterator[tuple[float, ...]]:
    """Yield Bézier curves of at most 45°, which lie within 5e-6 of the diameter of the arc."""
    count = max(1, ceil(abs(arc.sweep) / 45))
    reach = arc.diameter / 2 * 4 / 3 * tan(radians(arc.sweep / count / 4))
    for k in range(count):
        a, b = (radians(arc.begin + arc.sweep * (k + j) / count) for j in (0, 1))
        (x0, y0), (x1, y1) = arc.at(k / count), arc.at((k + 1) / count)
        yield x0 - reach * sin(a), y0 + reach * cos(a), x1 + reach * sin(b), y1 - reach * cos(b), x1, y1


def _set_pen(canvas: Any, pen: Pen, join: int) -> None:
    canvas.setLineJoin(join)
    canvas.setStrokeColorRGB(*pen.ink.value)
    canvas.setLineWidth(pen.weight)
    canvas.setDash(list(pen.dash))


def _fill_area(canvas: Any, area: Area) -> None:
    canvas.setFillColorRGB(*area.fill.ink.value)
    path = canvas.beginPath()
    for loop in area.loops:
        path.moveTo(*loop[0])
        for point in loop[1:]:
            path.lineTo(*point)
        path.close()
    canvas.drawPath(path, stroke=0, fill=1, fillMode=0)


def _draw_text(canvas: Any, text: DrawnText) -> None:
    glyphs, long = shape_text(text.text), text_width(text.text, text.em)
    left = {"start": 0.0, "middle": -long / 2, "end": -long}[text.anchor]
    canvas.saveState()
    canvas.translate(*text.at)
    canvas.rotate(text.turn)
    if text.on_paper:
        canvas.setFillColorRGB(*Ink.PAPER.value)
        high = text.height + 2 * TEXT_EDGE
        canvas.rect(left - TEXT_EDGE, -high / 2, long + 2 * TEXT_EDGE, high, stroke=0, fill=1)
    canvas.setFillColorRGB(*text.ink.value)
    canvas.setFont(FACE, text.em)
    canvas.drawString(left, -text.height / 2, glyphs)
    canvas.restoreState()
