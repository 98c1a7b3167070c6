"""Outlines of the characters of labels, from the font that is shipped, so that parts are the same on every machine."""

from __future__ import annotations

import io
from collections.abc import Iterable
from functools import lru_cache
from math import ceil, hypot, sqrt
from pathlib import Path
from typing import Any, NamedTuple

from mounts.load.models.job import Glyph, Loop

FONT = Path(__file__).resolve().parents[2] / "data" / "DejaVuSans-Bold.ttf"
ALWAYS = "LEFT RIGHT left right UP → ← ↑ ↓"
SAG = 0.004  # em: how far a chord may leave its curve


class Knot(NamedTuple):
    """A point of a contour in font units, on its curve or controlling it."""

    x: float
    y: float
    on: bool


Contour = list[Knot]


def load_glyphs(text: Iterable[str], font: Path = FONT) -> dict[str, Glyph]:
    """Return the glyph of every character in `text`; one that the font lacks is its empty box.

    Args:
        text: characters or strings.
        font: a TrueType font.
    """
    return {character: _glyph(character, font) for character in sorted(set("".join(text)))}


@lru_cache(maxsize=1024)  # the jobs of a kit have nearly all their letters in common
def _glyph(character: str, font: Path) -> Glyph:
    file = _open_font(font)
    em, name = file["head"].unitsPerEm, file.getBestCmap().get(ord(character), ".notdef")
    loops = tuple(contour_polygon(contour, em) for contour in _contours(file["glyf"], name) if len(contour) > 2)
    return Glyph(file["hmtx"][name][0] / em, loops)


@lru_cache(maxsize=1)
def _open_font(font: Path) -> Any:
    from fontTools.ttLib import TTFont

    return TTFont(io.BytesIO(font.read_bytes()), lazy=True)


def _contours(outlines: Any, name: str) -> list[Contour]:
    """Return a glyph's contours, those of its components in their places."""
    points, ends, flags = outlines[name].getCoordinates(outlines)
    knots = [Knot(x, y, bool(flag & 1)) for (x, y), flag in zip(points, flags, strict=True)]
    return [knots[begin + 1 : end + 1] for begin, end in zip((-1, *ends), ends, strict=False)]


def contour_polygon(contour: Contour, em: float) -> Loop:
    """Return a contour as a closed polygon in em units, reversed since TrueType fills clockwise."""
    knots = _with_ends(contour)
    points: list[tuple[float, float]] = []
    for i, knot in enumerate(knots):
        if knot.on:
            points.append((knot.x, knot.y))
        else:
            points += _flatten(knots[i - 1], knot, knots[(i + 1) % len(knots)], SAG * em)
    return tuple((x / em, y / em) for x, y in reversed(points))


def _with_ends(contour: Contour) -> Contour:
    """Return the contour with the implied points of TrueType: midway between two control points."""
    knots: Contour = []
    for knot, after in zip(contour, contour[1:] + contour[:1], strict=True):
        knots.append(knot)
        if not knot.on and not after.on:
            knots.append(Knot((knot.x + after.x) / 2, (knot.y + after.y) / 2, True))
    return knots


def _flatten(start: Knot, control: Knot, end: Knot, sag: float) -> list[tuple[float, float]]:
    """Return points between `start` and `end` such that no chord leaves the curve by more than `sag`."""
    bend = hypot(start.x - 2 * control.x + end.x, start.y - 2 * control.y + end.y)
    pieces = max(1, ceil(sqrt(bend / (4 * sag))))
    found = []
    for k in range(1, pieces):
        t = k / pieces
        a, b, c = (1 - t) ** 2, 2 * t * (1 - t), t * t
        found.append((a * start.x + b * control.x + c * end.x, a * start.y + b * control.y + c * end.y))
    return found
