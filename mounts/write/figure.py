"""A figure on a PNG and on a PDF page: the same value, drawn once by each."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from itertools import pairwise
from math import cos, hypot, radians, sin
from typing import TYPE_CHECKING, Any

from mounts.design.figure import Area, Figure, Ink, Item, Line, Words
from mounts.geometry.outline import Point
from mounts.write.face import face
from mounts.write.ink import FACE, register_face
from mounts.write.lettering import drawable, plain

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

_FINE = 3  # sub-pixels each way
_EDGE = 0.6  # mm of paper round words that lie on it
Put = Callable[[Point], Point]


def figure_png(figure: Figure, dots: float = 8.0) -> bytes:
    """The figure as a PNG of `dots` pixels to the mm; the same figure gives the same bytes."""
    from PIL import Image as Images  # noqa: PLC0415
    from PIL import ImageDraw as Draws  # noqa: PLC0415
    from PIL.PngImagePlugin import PngInfo  # noqa: PLC0415

    wide, high = (round(side * dots) for side in figure.size)
    fine = dots * _FINE
    image = Images.new("RGB", (wide * _FINE, high * _FINE), (255, 255, 255))

    def put(point: Point) -> Point:
        return (point[0] * fine, image.height - point[1] * fine)

    draw = Draws.Draw(image)
    for item in figure.items:
        _paint(image, draw, item, put, fine)
    file, about = io.BytesIO(), PngInfo()
    about.add_itxt("Title", plain(figure.title))
    image.reduce(_FINE).save(file, "PNG", compress_level=6, pnginfo=about)
    return file.getvalue()


def figure_pdf(canvas: Any, figure: Figure, at: Point = (0.0, 0.0), scale: float = 1.0) -> None:
    """Draws the figure on a canvas whose unit is mm, its lower left corner at a place."""
    register_face()
    canvas.saveState()
    canvas.translate(*at)
    canvas.scale(scale, scale)
    canvas.setLineJoin(1)
    for item in figure.items:
        match item:
            case Line():
                _rule(canvas, item)
            case Area():
                _fill(canvas, item)
            case Words():
                _say(canvas, item)
    canvas.restoreState()


def _rgb(ink: Ink) -> tuple[int, int, int]:
    red, green, blue = (round(255 * share) for share in ink.value)
    return (red, green, blue)


def _paint(image: Image, draw: ImageDraw, item: Item, put: Put, fine: float) -> None:
    match item:
        case Line():
            width = max(1, round(item.weight * fine))
            for run in _dashed(item.points, item.dash):
                draw.line([put(point) for point in run], fill=_rgb(item.ink), width=width, joint="curve")
        case Area():
            _flood(image, item, put)
        case Words():
            _letter(image, draw, item, put, fine)


def _flood(image: Image, area: Area, put: Put) -> None:
    from PIL import Image as Images  # noqa: PLC0415
    from PIL import ImageChops  # noqa: PLC0415
    from PIL import ImageDraw as Draws  # noqa: PLC0415

    inside = Images.new("1", image.size)
    for loop in area.loops:
        one = Images.new("1", image.size)
        Draws.Draw(one).polygon([put(point) for point in loop], fill=1)
        inside = ImageChops.logical_xor(inside, one)
    image.paste(_rgb(area.ink), mask=inside)


def _letter(image: Image, draw: ImageDraw, words: Words, put: Put, fine: float) -> None:
    from PIL import Image as Images  # noqa: PLC0415
    from PIL import ImageDraw as Draws  # noqa: PLC0415

    font = face(words.em * fine)
    text = drawable(words.text)
    long, high = font.getlength(text), words.height * fine
    edge = _EDGE * fine
    left = {"start": 0.0, "middle": -long / 2, "end": -long}[words.anchor]
    x, y = put(words.at)
    if not words.turn:
        if words.on_paper:
            draw.rectangle((x + left - edge, y - high / 2 - edge, x + left + long + edge, y + high / 2 + edge), "white")
        draw.text((x + left, y + high / 2), text, font=font, fill=_rgb(words.ink), anchor="ls")
        return
    if words.on_paper:
        draw.polygon(_under(words, (x, y), (left - edge, left + long + edge), high / 2 + edge), fill="white")
    patch = Images.new("L", (round(2 * long + 4 * edge), round(2 * long + 4 * edge)))
    half = patch.width / 2
    Draws.Draw(patch).text((half + left, half + high / 2), text, font=font, fill=255, anchor="ls")
    patch = patch.rotate(words.turn, Images.Resampling.BICUBIC)
    image.paste(_rgb(words.ink), (round(x - half), round(y - half)), patch)


def _under(words: Words, at: Point, ends: Point, half: float) -> list[Point]:
    """Corners in pixels of the paper under turned words that reach from one end to the other along their line."""
    c, s = cos(radians(words.turn)), sin(radians(words.turn))
    corners = [(ends[0], -half), (ends[1], -half), (ends[1], half), (ends[0], half)]
    return [(at[0] + u * c + v * s, at[1] - u * s + v * c) for u, v in corners]


def _dashed(points: Sequence[Point], dash: Sequence[float]) -> list[list[Point]]:
    """The pieces of a polyline that a dash leaves."""
    if not dash:
        return [list(points)]
    runs: list[list[Point]] = [[points[0]]]
    index, left = 0, dash[0]
    for start, end in pairwise(points):
        long, done = hypot(end[0] - start[0], end[1] - start[1]), 0.0
        while long - done > left:
            done += left
            place = tuple(a + (b - a) * done / long for a, b in zip(start, end, strict=True))
            at = (place[0], place[1])
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


def _rule(canvas: Any, line: Line) -> None:
    canvas.setStrokeColorRGB(*line.ink.value)
    canvas.setLineWidth(line.weight)
    canvas.setDash(list(line.dash))
    path = canvas.beginPath()
    path.moveTo(*line.points[0])
    for point in line.points[1:]:
        path.lineTo(*point)
    canvas.drawPath(path)
    canvas.setDash([])


def _fill(canvas: Any, area: Area) -> None:
    canvas.setFillColorRGB(*area.ink.value)
    path = canvas.beginPath()
    for loop in area.loops:
        path.moveTo(*loop[0])
        for point in loop[1:]:
            path.lineTo(*point)
        path.close()
    canvas.drawPath(path, stroke=0, fill=1, fillMode=0)


def _say(canvas: Any, words: Words) -> None:
    from reportlab.pdfbase.pdfmetrics import stringWidth  # noqa: PLC0415

    text = drawable(words.text)
    long = float(stringWidth(text, FACE, words.em))
    left = {"start": 0.0, "middle": -long / 2, "end": -long}[words.anchor]
    canvas.saveState()
    canvas.translate(*words.at)
    canvas.rotate(words.turn)
    if words.on_paper:
        canvas.setFillColorRGB(*Ink.PAPER.value)
        high = words.height + 2 * _EDGE
        canvas.rect(left - _EDGE, -high / 2, long + 2 * _EDGE, high, stroke=0, fill=1)
    canvas.setFillColorRGB(*words.ink.value)
    canvas.setFont(FACE, words.em)
    canvas.drawString(left, -words.height / 2, text)
    canvas.restoreState()
