"""The shipped font for pictures, and text that is cut to its room."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mounts.write.text_shaping import FONT, shape_text

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont


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
