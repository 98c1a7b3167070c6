"""A printer's bed with its parts, as a picture from above: what to expect on the slicer's screen."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from mounts.beds.raster import Bed, BedPlacement, Piece, pieces_on, rotation
from mounts.write.drawing_png import fit_text, load_font

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

SCALE = 4.0  # pixels for a mm
FINE = 2  # drawn this many times larger, then made smaller, so that edges are smooth
EDGE = 30  # pixels round the bed
LINE = 34  # pixels for a line of the list below it
_INK = (44, 50, 58)
_BED = (247, 247, 244)
_GRID = (222, 224, 222)
_TAG = (18, 78, 138)


def bed_png(title: str, bed: Bed, pieces: Sequence[Piece], placed: Sequence[BedPlacement]) -> bytes:
    """Return a picture of the bed from above, its front edge at the bottom, pieces numbered as in the list."""
    from PIL import Image, ImageDraw

    kinds = pieces_on(placed)
    width, depth = (int(side * SCALE) for side in bed.size)
    size = (width + 2 * EDGE, depth + 2 * EDGE + LINE * (len(kinds) + 2))
    image = Image.new("RGB", (size[0] * FINE, size[1] * FINE), (255, 255, 255))
    draw = ImageDraw.Draw(image)
    _ground(draw, bed, depth)
    for one in placed:
        _add_part(draw, pieces[one.piece], one, depth)
    for one in placed:
        _add_tag(draw, pieces[one.piece], one, kinds.index(one.piece) + 1, depth)
    image = image.reduce(FINE)
    draw = ImageDraw.Draw(image)
    top = depth + 2 * EDGE
    room, large, small = size[0] - 2 * EDGE, load_font(24), load_font(20)
    draw.text((EDGE, top), fit_text(draw, title, large, room), font=large, fill=_INK)
    for number, k in enumerate(kinds, 1):
        count = sum(one.piece == k for one in placed)
        said = fit_text(draw, f"{number}   {pieces[k].name}" + (f"   × {count}" if count > 1 else ""), small, room)
        draw.text((EDGE, top + LINE * number + 6), said, font=small, fill=_INK)
    stream = io.BytesIO()
    image.save(stream, "png", compress_level=3)  # a tenth larger than at 6, in half the time
    return stream.getvalue()


def _ground(draw: ImageDraw, bed: Bed, depth: int) -> None:
    """Draw the bed with a line every 50 mm."""
    low, high = _to_pixel((0.0, 0.0), depth), _to_pixel(bed.size, depth)
    draw.rectangle((low[0], high[1], high[0], low[1]), fill=_BED, outline=_INK, width=2 * FINE)
    for axis in (0, 1):
        for mark in np.arange(50.0, bed.size[axis] - 1.0, 50.0):
            ends = [[mark, mark], [0.0, bed.size[1]]] if axis == 0 else [[0.0, bed.size[0]], [mark, mark]]
            draw.line([_to_pixel((x, y), depth) for x, y in zip(*ends, strict=True)], fill=_GRID, width=FINE)


def _add_part(draw: ImageDraw, piece: Piece, placed: BedPlacement, depth: int) -> None:
    """Draw the piece's upper side, lit from the upper left, lowest faces first."""
    turn = rotation(placed.turn)
    flat = piece.vertices[:, :2] @ turn.T + np.asarray(placed.at)
    points = np.column_stack([flat, piece.vertices[:, 2]])[piece.triangles]
    normals = np.cross(points[:, 1] - points[:, 0], points[:, 2] - points[:, 0])
    length = np.linalg.norm(normals, axis=1)
    seen = np.flatnonzero((normals[:, 2] > 0) & (length > 0))
    seen = seen[np.argsort(points[seen, :, 2].max(axis=1), kind="stable")]
    light = normals[seen] @ np.array([-0.4, 0.4, 0.82]) / length[seen]
    tones = (105 + 115 * np.maximum(light, 0.0)).astype(int).tolist()
    pixels = np.stack(_to_pixel(points[seen].transpose(2, 0, 1), depth), axis=-1)
    for corners, tone in zip(pixels.reshape(-1, 6).tolist(), tones, strict=True):
        draw.polygon(corners, fill=(tone - 12, tone - 4, tone))


def _add_tag(draw: ImageDraw, piece: Piece, placed: BedPlacement, number: int, depth: int) -> None:
    """Draw the piece's number, on the largest of its upper faces."""
    points = piece.vertices[piece.triangles]
    normals = np.cross(points[:, 1] - points[:, 0], points[:, 2] - points[:, 0])
    middle = points[int(np.argmax(normals[:, 2]))].mean(axis=0)[:2]
    x, y = _to_pixel(tuple(rotation(placed.turn) @ middle + np.asarray(placed.at)), depth)
    half = 15 * FINE
    draw.ellipse((x - half, y - half, x + half, y + half), fill=(255, 255, 255), outline=_TAG, width=2 * FINE)
    draw.text((x, y), str(number), font=load_font(18 * FINE), fill=_TAG, anchor="mm")


def _to_pixel(at: Any, depth: int) -> tuple[Any, Any]:
    """Return where a place on the bed is drawn, or many: x and y, mm."""
    return ((EDGE + at[0] * SCALE) * FINE, (EDGE + depth - at[1] * SCALE) * FINE)
