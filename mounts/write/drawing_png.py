"""A drawing on paper as a PNG.

The shipped font for pictures, and text that is cut to its room.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from itertools import pairwise
from math import cos, hypot, radians, sin
from typing import TYPE_CHECKING

from mounts.design.drawing import LAYERS, Area, Drawing, DrawnText, Ink, Pen, PenLine, Primitive, Stroke, primitives
from mounts.geometry.outline import Point, closed
from mounts.write.text_shaping import FONT, plain_text, shape_text

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont

_FINE = 3  # sub-pixels each way
TEXT_EDGE = 0.6  # mm of paper round text that lies on it
Put = Callable[[Point], Point]


def load_font(size: float) -> FreeTypeFont:
    """Return the font in letters of `size` pixels."""
    from PIL import ImageFont

    return ImageFont.truetype(str(FONT), max(6.0, size), layout_engine=ImageFont.Layout.BASIC)


def fit_text(draw: ImageDraw, text: str, font: FreeTypeFont, room: float) -> str:
    """Return a text ready to be drawn; one wider than `room` pixels ends in dots."""
    said = shape_text(text)
    if draw.textlength(said, font=font) <= room:
        return said
    while said and draw.textlength(said + "…", font=font) > room:
        said = said[:-1]
    return said + "…"


def drawing_png(drawing: Drawing, dots: float = 8.0) -> bytes:
    """Return the drawing as a PNG of `dots` pixels to the mm; the same drawing gives the same bytes."""
    from PIL import Image as Images
    from PIL import ImageDraw as Draws
    from PIL.PngImagePlugin import PngInfo

    width, height = (round(side * dots) for side in drawing.box[2:])
    fine = dots * _FINE
    image = Images.new("RGB", (width * _FINE, height * _FINE), (255, 255, 255))

    def put(point: Point) -> Point:
        return (point[0] * fine, image.height - point[1] * fine)

    draw = Draws.Draw(image)
    for item in primitives(drawing.items):
        _draw(image, draw, item, put, fine)
    file, about = io.BytesIO(), PngInfo()
    about.add_itxt("Title", plain_text(drawing.title))
    image.reduce(_FINE).save(file, "PNG", compress_level=6, pnginfo=about)
    return file.getvalue()


def _draw(image: Image, draw: ImageDraw, item: Primitive, put: Put, fine: float) -> None:
    match item:
        case PenLine():
            _draw_line(draw, [put(point) for point in item.points], item.pen, fine)
        case Stroke():
            points = [put(point) for point in closed(item.outline.points())]
            _draw_line(draw, points, LAYERS[item.layer], fine)
        case Area():
            _fill_area(image, item, put)
        case DrawnText():
            _draw_text(image, draw, item, put, fine)


def _rgb(ink: Ink) -> tuple[int, int, int]:
    red, green, blue = (round(255 * share) for share in ink.value)
    return (red, green, blue)


def _draw_line(draw: ImageDraw, points: Sequence[Point], pen: Pen, fine: float) -> None:
    width = max(1, round(pen.weight * fine))
    for run in _dash(points, [length * fine for length in pen.dash]):
        draw.line(run, fill=_rgb(pen.ink), width=width, joint="curve")


def _fill_area(image: Image, area: Area, put: Put) -> None:
    from PIL import Image as Images
    from PIL import ImageChops
    from PIL import ImageDraw as Draws

    inside = Images.new("1", image.size)
    for loop in area.loops:
        one = Images.new("1", image.size)
        Draws.Draw(one).polygon([put(point) for point in loop], fill=1)
        inside = ImageChops.logical_xor(inside, one)
    image.paste(_rgb(area.fill.ink), mask=inside)


def _draw_text(image: Image, draw: ImageDraw, text: DrawnText, put: Put, fine: float) -> None:
    from PIL import Image as Images
    from PIL import ImageDraw as Draws

    font, glyphs = load_font(text.em * fine), shape_text(text.text)
    long, high, edge = font.getlength(glyphs), text.height * fine, TEXT_EDGE * fine
    left = {"start": 0.0, "middle": -long / 2, "end": -long}[text.anchor]
    x, y = put(text.at)
    if text.on_paper:
        c, s = cos(radians(text.turn)), sin(radians(text.turn))
        ends, half = (left - edge, left + long + edge), high / 2 + edge
        corners = [(u, v) for u, v in ((ends[0], -half), (ends[1], -half), (ends[1], half), (ends[0], half))]
        draw.polygon([(x + u * c + v * s, y - u * s + v * c) for u, v in corners], fill="white")
    if not text.turn:
        draw.text((x + left, y + high / 2), glyphs, font=font, fill=_rgb(text.ink), anchor="ls")
        return
    patch = Images.new("L", (round(2 * long + 4 * edge), round(2 * long + 4 * edge)))
    half = patch.width / 2
    Draws.Draw(patch).text((half + left, half + high / 2), glyphs, font=font, fill=255, anchor="ls")
    patch = patch.rotate(text.turn, Images.Resampling.BICUBIC)
    image.paste(_rgb(text.ink), (round(x - half), round(y - half)), patch)


def _dash(points: Sequence[Point], dash: Sequence[float]) -> list[list[Point]]:
    """Return the pieces of a polyline that a dash leaves."""
    if not dash:
        return [list(points)]
    runs: list[list[Point]] = [[points[0]]]
    index, left = 0, dash[0]
    for start, end in pairwise(points):
        long, done = hypot(end[0] - start[0], end[1] - start[1]), 0.0
        while long - done > left:
            done += left
            at = (start[0] + (end[0] - start[0]) * done / long, start[1] + (end[1] - start[1]) * done / long)
            if index % 2 == 0:
                runs[-1].append(at)
            else:
                runs.append([at])
            index += 1
            left = dash[index % len(dash)]
        left -= long - done
        if index % 2 == 0:
            runs[-1].append(end)
    return [run for run in runs if len(run) > 1]
