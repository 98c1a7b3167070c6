"""Strokes, crosses and notes of a drawing on a PDF page, in mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import islice
from math import ceil, cos, radians, sin, tan
from typing import Any

from mounts.design.drawing import Cross, Drawing, Layer, Note
from mounts.geometry.outline import Arc, Outline, Point
from mounts.write.lettering import CAP_HEIGHT, FONT, drawable, plain
from mounts.write.tiles import Box

FACE, STRONG = "DejaVuSans", "DejaVuSans-Bold"
POINT = 72 / 25.4  # points in a mm
JOINTS = "-/_."  # after which a name is broken that is wider than its line
_LINE = {Layer.CUT: 0.35, Layer.ENGRAVE: 0.18, Layer.REF: 0.18}  # mm, a wide and a narrow line of ISO 128
_DASH = {Layer.CUT: (), Layer.ENGRAVE: (), Layer.REF: (2.0, 1.0)}
_GREY = {Layer.CUT: 0.0, Layer.ENGRAVE: 0.0, Layer.REF: 0.25}


def register_face() -> None:
    """Makes the shipped fonts known to reportlab, which embeds what is used of them."""
    from reportlab.pdfbase.pdfmetrics import getRegisteredFontNames, registerFont  # noqa: PLC0415
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415

    for face, file in ((FACE, FONT), (STRONG, FONT.with_name("DejaVuSans-Bold.ttf"))):
        if face not in getRegisteredFontNames():
            registerFont(TTFont(face, str(file)))


def wide(text: str, size: float, face: str = FACE) -> float:
    """Width in mm of text in letters of `size` mm."""
    return size * _ems(text, face)


@lru_cache(maxsize=4096)
def _ems(text: str, face: str) -> float:
    from reportlab.pdfbase.pdfmetrics import stringWidth  # noqa: PLC0415

    register_face()
    return float(stringWidth(drawable(text), face, 1.0))


def wrapped(text: str, size: float, width: float, face: str = FACE) -> Iterator[str]:
    """The text in lines no wider than `width`, broken at blanks where there are any, ready to be drawn."""
    line, long, blank = "", 0.0, wide("x x", size, face) - wide("xx", size, face)
    for word in plain(text).split():
        for k, piece in enumerate(_broken(word, size, width, face)):
            more = wide(piece, size, face)
            if line and (k or long + blank + more > width):
                yield drawable(line)
                line, long = "", 0.0
            line, long = (f"{line} {piece}", long + blank + more) if line else (piece, more)
    if line:
        yield drawable(line)


def _broken(word: str, size: float, width: float, face: str) -> Iterator[str]:
    """A word in pieces that fit, broken after a hyphen or the like where there is one."""
    if wide(word, size, face) <= width:
        yield word
        return
    piece = ""
    for letter in word:
        if piece and wide(piece + letter, size, face) > width:
            end = max(piece.rfind(joint) for joint in JOINTS) + 1 or len(piece)
            yield piece[:end]
            piece = piece[end:]
        piece += letter
    yield piece


def shortened(lines: Iterable[str], most: int) -> list[str]:
    """At most so many lines; where there are more, the last ends in dots."""
    first = list(islice(lines, most + 1))
    return first if len(first) <= most else [*first[: most - 1], first[most - 1].rstrip()[:-1] + "…"]


def ended(text: str, size: float, width: float, face: str = FACE) -> str:
    """The text on one line, ready to be drawn; one too wide ends in dots."""
    text = plain(text)
    if wide(text, size, face) <= width:
        return drawable(text)
    while text and wide(text + "…", size, face) > width:
        text = text[:-1]
    return drawable(text.rstrip() + "…")


def inked_box(drawing: Drawing) -> Box:
    """Everything that is drawn, with a line's width about it."""
    boxes = [stroke.outline.box for stroke in drawing.strokes]
    boxes += [_about(cross.at, cross.size / 2) for cross in drawing.crosses]
    boxes += [_about(n.at, max(n.height, wide(n.text, n.height / CAP_HEIGHT) / 2)) for n in drawing.notes]
    x0, y0 = min(b[0] for b in boxes), min(b[1] for b in boxes)
    x1, y1 = max(b[2] for b in boxes), max(b[3] for b in boxes)
    edge = _LINE[Layer.CUT]
    return (x0 - edge, y0 - edge, x1 + edge, y1 + edge)


def _about(at: Point, half: float) -> Box:
    return (at[0] - half, at[1] - half, at[0] + half, at[1] + half)


def draw(canvas: Any, drawing: Drawing) -> None:
    """Draws everything on a canvas whose unit is mm."""
    for stroke in drawing.strokes:
        _pen(canvas, stroke.layer)
        canvas.drawPath(path_of(canvas, stroke.outline))
    for cross in drawing.crosses:
        _cross(canvas, cross)
    for note in drawing.notes:
        _note(canvas, note)


def _pen(canvas: Any, layer: Layer) -> None:
    canvas.setLineWidth(_LINE[layer])
    canvas.setStrokeGray(_GREY[layer])
    canvas.setFillGray(_GREY[layer])
    canvas.setDash(_DASH[layer])


def path_of(canvas: Any, outline: Outline) -> Any:
    """The outline as a closed path."""
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
    """Bézier curves of at most 45°, which lie within 5e-6 of the diameter of the arc."""
    count = max(1, ceil(abs(arc.sweep) / 45))
    reach = arc.diameter / 2 * 4 / 3 * tan(radians(arc.sweep / count / 4))
    for k in range(count):
        a, b = (radians(arc.begin + arc.sweep * (k + j) / count) for j in (0, 1))
        (x0, y0), (x1, y1) = arc.at(k / count), arc.at((k + 1) / count)
        yield x0 - reach * sin(a), y0 + reach * cos(a), x1 + reach * sin(b), y1 - reach * cos(b), x1, y1


def _cross(canvas: Any, cross: Cross) -> None:
    _pen(canvas, cross.layer)
    canvas.setDash([])
    (x, y), half = cross.at, cross.size / 2
    canvas.line(x - half, y, x + half, y)
    canvas.line(x, y - half, x, y + half)


def _note(canvas: Any, note: Note) -> None:
    _pen(canvas, note.layer)
    canvas.saveState()
    canvas.translate(*note.at)
    canvas.rotate(note.turn)
    canvas.setFont(FACE, note.height / CAP_HEIGHT)
    canvas.drawCentredString(0, -note.height / 2, drawable(note.text))
    canvas.restoreState()
