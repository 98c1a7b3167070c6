"""Strokes, crosses and notes of a drawing on a PDF page, in mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import islice

from mounts.write.text_shaping import FONT, plain_text, shape_text

FACE, STRONG = "DejaVuSans", "DejaVuSans-Bold"
POINT = 72 / 25.4  # points in a mm
JOINTS = "-/_."  # after which a name is broken that is wider than its line


def register_face() -> None:
    """Make the shipped fonts known to reportlab, which embeds what is used of them."""
    from reportlab.pdfbase.pdfmetrics import getRegisteredFontNames, registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    for face, file in ((FACE, FONT), (STRONG, FONT.with_name("DejaVuSans-Bold.ttf"))):
        if face not in getRegisteredFontNames():
            registerFont(TTFont(face, str(file)))


def text_width(text: str, size: float, face: str = FACE) -> float:
    """Return the width in mm of text in letters of `size` mm."""
    return size * _width_in_ems(text, face)


@lru_cache(maxsize=4096)
def _width_in_ems(text: str, face: str) -> float:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    register_face()
    return float(stringWidth(shape_text(text), face, 1.0))


def wrap_text(text: str, size: float, width: float, face: str = FACE) -> Iterator[str]:
    """Yield the text in lines no wider than `width`, broken at blanks where there are any, ready to be drawn."""
    line, long, blank = "", 0.0, text_width("x x", size, face) - text_width("xx", size, face)
    for word in plain_text(text).split():
        for k, piece in enumerate(_break_word(word, size, width, face)):
            more = text_width(piece, size, face)
            if line and (k or long + blank + more > width):
                yield shape_text(line)
                line, long = "", 0.0
            line, long = (f"{line} {piece}", long + blank + more) if line else (piece, more)
    if line:
        yield shape_text(line)


def _break_word(word: str, size: float, width: float, face: str) -> Iterator[str]:
    """Yield a word in pieces that fit, broken after a hyphen or the like where there is one."""
    if text_width(word, size, face) <= width:
        yield word
        return
    piece = ""
    for letter in word:
        if piece and text_width(piece + letter, size, face) > width:
            end = max(piece.rfind(joint) for joint in JOINTS) + 1 or len(piece)
            yield piece[:end]
            piece = piece[end:]
        piece += letter
    yield piece


def limit_lines(lines: Iterable[str], most: int) -> list[str]:
    """Return at most so many lines; where there are more, the last ends in dots."""
    first = list(islice(lines, most + 1))
    return first if len(first) <= most else [*first[: most - 1], first[most - 1].rstrip()[:-1] + "…"]


def fit_line(text: str, size: float, width: float, face: str = FACE) -> str:
    """Return the text on one line, ready to be drawn; one too wide ends in dots."""
    text = plain_text(text)
    if text_width(text, size, face) <= width:
        return shape_text(text)
    while text and text_width(text + "…", size, face) > width:
        text = text[:-1]
    return shape_text(text.rstrip() + "…")
