"""Annotations of a picture: the line at its foot, the arrow that says which way is up, and numbered marks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import cos, hypot, pi, sin
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from mounts.write.camera import Array, Camera
from mounts.write.drawing_png import fit_text, load_font
from mounts.write.text_shaping import shape_text

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

_INK = (44, 50, 58)
_PALE = (112, 120, 130)
_RED = (190, 66, 36)
_BLUE = (18, 78, 138)
_WHITE = (255, 255, 255)
LEGEND = 36  # units from line to line of a legend
_HALF = 22  # units, half of a mark's disc
_FINE = 4  # sub-pixels of a smooth line, each way
_ARROW = ((-0.12, -0.5), (0.12, -0.5), (0.12, 0.1), (0.34, 0.1), (0.0, 0.5), (-0.34, 0.1), (-0.12, 0.1))


def draw_foot(image: Image, name: str, sizes: str, legend: Sequence[str] = ()) -> None:
    """Draw the lines of text at the foot: what each mark means, then name and sizes; what is too long ends in dots."""
    draw, unit = _drawing(image)
    edge, base = 50 * unit, image.height - 30 * unit
    large, small = load_font(32 * unit), load_font(28 * unit)
    for k, text in enumerate(reversed(legend), 1):
        said = fit_text(draw, text, small, image.width - 2 * edge)
        draw.text((edge, base - (12 + LEGEND * k) * unit), said, font=small, fill=_BLUE, anchor="ls")
    draw.text((image.width - edge, base), sizes, font=small, fill=_PALE, anchor="rs")
    room = image.width - 2.5 * edge - draw.textlength(sizes, font=small)
    draw.text((edge, base), fit_text(draw, name, large, room), font=large, fill=_INK, anchor="ls")


def draw_up_arrow(image: Image, camera: Camera, points: Array, foot: float = 0.0) -> None:
    """Draw an arrow along the panel's +y, flat on the table in the corner that the part leaves freest.

    Args:
        image: the picture.
        camera: from which it is taken.
        points: (n, 3) of the part, on the table.
        foot: pixels at the picture's foot that a legend takes.
    """
    _, unit = _drawing(image)
    seen = camera.seen(points)
    inset = 100 * unit
    corners = [(x, y) for x in (inset, image.width - inset) for y in (inset, image.height - 1.6 * inset - foot)]
    middle = max(corners, key=lambda corner: float(np.hypot(*(seen - corner).T).min()))
    way = camera.looks(np.array([middle], np.float32))[0].astype(float)
    place = camera.eye - way * camera.eye[2] / way[2]
    length = 90 * unit * float(np.linalg.norm(place - camera.eye)) / camera.focal
    shape = camera.seen(place + length * np.array([(x, y, 0.0) for x, y in _ARROW]))
    tip, tail = camera.seen(place + length * np.array([(0.0, 0.5, 0.0), (0.0, -0.5, 0.0)]))
    _draw_antialiased(image, shape, lambda draw, put: draw.polygon(put(shape), fill=_RED))
    ahead = (tip - tail) / max(hypot(*(tip - tail)), 1e-9)
    draw, _ = _drawing(image)
    draw.text(tuple(tip + ahead * 22 * unit), "UP", font=load_font(32 * unit), fill=_RED, anchor="mm")


def draw_names(image: Image, camera: Camera, named: Mapping[str, Array]) -> list[Array]:
    """Draw names beside points (3,), as of holes, and return the pixels at which they stand."""
    draw, unit = _drawing(image)
    middle, taken = np.array([image.width / 2, image.height / 2]), list[Array]()
    for name, point in named.items():
        (spot,) = camera.seen(point)
        place = _free_place(spot, spot - middle, taken, _HALF * unit, image.size)
        taken.append(place)
        font, ring = load_font(34 * unit), round(4 * unit)
        draw.text(
            tuple(place), shape_text(name), font=font, fill=_INK, anchor="mm", stroke_width=ring, stroke_fill=_WHITE
        )
    return taken


def draw_numbers(
    image: Image, camera: Camera, marks: Array, hidden: NDArray[np.bool_], taken: Sequence[Array] = ()
) -> None:
    """Draw numbers in discs beside points (n, 3), each with a line to its point: a dot, or a ring if hidden.

    No disc stands on another, nor on one of the pixels that are `taken`.
    """
    if not len(marks):
        return
    _, unit = _drawing(image)
    spots = camera.seen(marks)
    middle = np.array([image.width / 2, image.height / 2])
    taken = [*taken]
    for k, (spot, behind) in enumerate(zip(spots, hidden, strict=True), 1):
        disc = _free_place(spot, spot - middle, taken, _HALF * unit, image.size)
        taken.append(disc)
        _draw_mark(image, spot, disc, behind=bool(behind))
        draw, _ = _drawing(image)
        draw.text(tuple(disc), str(k), font=load_font((27 if k < 100 else 18) * unit), fill=_BLUE, anchor="mm")


def _free_place(spot: Array, outward: Array, taken: list[Array], half: float, size: tuple[int, int]) -> Array:
    """Return where a disc finds room near its point: outward first, then round the point, then further away."""
    first = np.arctan2(outward[1], outward[0])
    low, high = np.full(2, half), np.array(size) - half
    for reach in np.arange(2.2, 24.0, 1.2):
        for step in range(12):
            turn = first + (step + 1) // 2 * (-1) ** step * pi / 6
            place = spot + half * reach * np.array([cos(turn), sin(turn)])
            inside = bool((place >= low).all() and (place <= high).all())
            if inside and all(hypot(*(place - other)) > 2.1 * half for other in taken):
                return place
    return np.clip(spot, low, high)


def _draw_mark(image: Image, spot: Array, disc: Array, *, behind: bool) -> None:
    _, unit = _drawing(image)
    half, dot = _HALF * unit, 5 * unit

    def shapes(draw: ImageDraw, put: Callable[[Array], list[tuple[float, float]]]) -> None:
        draw.line(put(np.array([spot, disc])), fill=_BLUE, width=round(2 * unit * _FINE))
        draw.ellipse(put(np.array([spot - dot, spot + dot])), fill=_BLUE)
        if behind:
            draw.ellipse(put(np.array([spot - dot * 0.6, spot + dot * 0.6])), fill=_WHITE)
        draw.ellipse(put(np.array([disc - half, disc + half])), fill=_BLUE)
        draw.ellipse(put(np.array([disc - half * 0.86, disc + half * 0.86])), fill=_WHITE)

    _draw_antialiased(image, np.array([spot - dot, spot + dot, disc - half, disc + half]), shapes)


def _draw_antialiased(
    image: Image, around: Array, shapes: Callable[[ImageDraw, Callable[[Array], list[tuple[float, float]]]], None]
) -> None:
    """Draw shapes with smooth edges: the box about some points is drawn larger and then made small again."""
    from PIL import Image as Images
    from PIL import ImageDraw as Draws

    low = np.maximum(np.floor(around.min(axis=0)).astype(int) - 3, 0)
    high = np.minimum(np.ceil(around.max(axis=0)).astype(int) + 3, image.size)
    if (high <= low).any():
        return
    box = (int(low[0]), int(low[1]), int(high[0]), int(high[1]))
    patch = image.crop(box)
    large = patch.resize((patch.width * _FINE, patch.height * _FINE), Images.Resampling.NEAREST)
    shapes(Draws.Draw(large), lambda points: [((x - low[0]) * _FINE, (y - low[1]) * _FINE) for x, y in points])
    image.paste(large.reduce(_FINE), box)


def _drawing(image: Image) -> tuple[ImageDraw, float]:
    """Return an object that draws on the image, and the unit of sizes: a pixel of a picture 900 high."""
    from PIL import ImageDraw as Draws

    return Draws.Draw(image), image.height / 900
