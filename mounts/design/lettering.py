"""Lettering on a wall that runs round a part: each character on a flat of its own, never mirrored.

A `Strip` is the belt of wall that letters can stand on; `fit_label` finds a free stretch of it for a text.

Names that every format takes.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from math import ceil, hypot, inf

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.distance import depths
from mounts.geometry.frames import Array, Frame
from mounts.geometry.outline import Outline, Point, polygon
from mounts.geometry.ties import first_most
from mounts.load.models.job import Glyph
from mounts.shape.sheet import Sheet

CAP = 0.729  # of an em: height of a capital in the shipped font
SIZES = (6.0, 5.0, 4.0)  # mm cap height; below 4 the strokes are thinner than a printed line
TRACKING = 0.06  # em added between letters, so that sunk strokes do not run together
CLEAR = 1.5  # mm of bare wall before and after a text
EVEN = 0.3  # mm that a wall may leave a letter's flat: half of what the letter is sunk
WIDEST = 9.1  # mm: the broadest character at the largest size
MUCH_ALIKE = 1e-3  # mm or degrees: places that are no better than each other by more
STEP = 0.6  # mm between the places at which a strip is sampled

Places = NDArray[np.bool_]  # which places of a strip


def slug(text: str) -> str:
    """Return a text as an ASCII name for files and STEP: letters, digits, hyphens; "part" when nothing is left."""
    plain = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-")[:80].rstrip("-") or "part"


@dataclass(frozen=True, slots=True)
class Letter:
    """One character on its own flat: solid outlines in the frame's plane, each with its islands."""

    frame: Frame
    shapes: tuple[tuple[Outline, tuple[Outline, ...]], ...]


@dataclass(frozen=True, slots=True)
class Label:
    """Lettering, sunk by `depth` or raised by it."""

    text: str
    letters: tuple[Letter, ...]
    depth: float
    raised: bool


@dataclass(frozen=True, slots=True)
class Strip:
    """A closed belt of wall, sampled at places about STEP apart.

    Attributes:
        low, high: (n, 3) points between which letters must stay.
        normal: (n, 3) outward unit normals half way up.
        free: (n,) whether a place can be written on.
    """

    low: Array
    high: Array
    normal: Array
    free: Places

    @property
    def middle(self) -> Array:
        """(n, 3) points half way up."""
        half: Array = (self.low + self.high) / 2
        return half

    @property
    def up(self) -> Array:
        """(n, 3) unit vectors up the wall: along it, as near to the panel's z as they can be."""
        level = np.array((0.0, 0.0, 1.0)) - self.normal[:, 2:] * self.normal
        upright: Array = level / np.linalg.norm(level, axis=1, keepdims=True)
        return upright

    @property
    def height(self) -> Array:
        """(n,) room for letters up the wall, mm."""
        room: Array = np.einsum("nk,nk->n", self.high - self.low, self.up)
        return room

    def without(self, taken: Places) -> Strip:
        """Return the strip with some places no longer free."""
        return replace(self, free=self.free & ~taken)


@dataclass(frozen=True, slots=True)
class Lettering:
    """Lettering style: the font's characters, sunk or raised, and the depth, mm."""

    glyphs: Mapping[str, Glyph]
    raised: bool
    depth: float

    def width(self, text: str, cap: float) -> float:
        """Return the width of a text in mm at a cap height."""
        return cap / CAP * (sum(self.glyph(c).advance + TRACKING for c in text) - TRACKING)

    def extent(self, text: str) -> tuple[float, float]:
        """Return the lowest and highest point of a text's characters over the baseline, em."""
        heights = [y for character in text for loop in self.glyph(character).loops for _, y in loop]
        return (min(heights, default=0.0), max(heights, default=CAP))

    def height(self, text: str, cap: float) -> float:
        """Return the height of a text in mm at a cap height, tails included."""
        low, high = self.extent(text)
        return cap / CAP * (high - low)

    def glyph(self, character: str) -> Glyph:
        """Return the character's outlines; a hyphen for what the font lacks."""
        return self.glyphs.get(character) or self.glyphs["-"]


@lru_cache(maxsize=16)  # the outside is as it was once a single value of a job was edited
def strip_on(sheet: Sheet, bottom: float, margin: float) -> Strip:
    """Return the strip of a two-section sheet over the height `bottom`, `margin` clear of either end."""
    along = _places(sheet)
    foot, top = sheet.at(along, np.zeros(len(along))), sheet.at(along, np.ones(len(along)))
    rise = np.maximum(top[:, 2] - foot[:, 2], 1e-9)
    start = np.clip((bottom + margin - foot[:, 2]) / rise, 0, 1)
    end = np.maximum(start, 1 - margin / np.linalg.norm(top - foot, axis=1))
    normal = sheet.normal(along, np.minimum((start + end) / 2, 0.999))  # a span may end in a point
    strip = Strip(sheet.at(along, start), sheet.at(along, end), normal, rise > margin)
    return strip.without(_unevenness(strip) > EVEN)


def _unevenness(strip: Strip) -> Array:
    """Return how far the wall leaves each place's tangent plane within reach of the largest letter there, (n,) mm."""
    count, wide, tall = len(strip.free), WIDEST / 2, SIZES[0] / 2
    across = np.cross(strip.up, strip.normal)
    ruling = strip.high - strip.low
    half = np.linalg.norm(ruling, axis=1, keepdims=True) / 2
    ruling /= np.maximum(2 * half, 1e-9)
    reach = ceil((wide + tall) / STEP)  # as far on as a ruling may start that comes by here aslant
    near = (np.arange(count) + np.arange(-reach, reach + 1)[:, None]) % count
    axes = np.stack([across, strip.up, strip.normal])
    away = np.einsum("mnk,ank->amn", strip.middle[near] - strip.middle, axes)
    along = np.einsum("mnk,ank->amn", ruling[near], axes)
    worst = np.zeros(count)
    for level in np.linspace(-tall, tall, 5):
        beside, above, off = np.abs(away + np.clip(level, -half, half)[near, 0] * along)
        worst = np.maximum(worst, np.where((beside <= wide) & (above <= tall), off, 0).max(axis=0))
    return worst


def fit_label(
    strip: Strip, how: Lettering, texts: Sequence[str], facing: float | None = None
) -> tuple[Label, Places] | None:
    """Return the first text that finds a free stretch, as large as it goes, and the places that it takes.

    Args:
        strip: wall to write on.
        how: font and depth.
        texts: texts in order of preference.
        facing: clock direction that the text must face within 30 degrees; None for where the wall is highest.
    """
    for text in texts:
        for cap in SIZES:
            middle = _stretch(strip, how.width(text, cap), how.height(text, cap), facing)
            if middle is not None:
                return _glyph_run(strip, how, text, cap, middle)
    return None


def first_free(
    grid: Array, size: Point, within: tuple[Outline, float], taken: Sequence[tuple[Outline, float]], along: int
) -> Point | None:
    """Return the first place of a grid (n, 2) for the middle of a box; None where it has room at none.

    Args:
        grid: places, in the order in which they are wanted.
        size: width and height of the box.
        within: outline that has to lie round it, and the least way to that.
        taken: outlines that lie beside it, and the least way to each.
        along: at how many places along the box it is asked what lies beside it.
    """
    half = np.array(size) / 2
    inside = depths(within[0], grid) > half[1] + within[1]
    for outline, room in taken:
        inside[inside] = depths(outline, grid[inside]) < -room - half[1]
    likely = grid[inside]
    corners = np.array([(a, b) for a in (-1, 1) for b in (-1, 1)]) * half  # as near to a convex edge as any of the box
    likely = likely[_depths_round(within[0], likely, corners).min(axis=1) > within[1]]
    around = np.array([(a, b) for a in np.linspace(-1, 1, along) for b in (-1, 0, 1)]) * half
    for outline, room in taken:
        likely = likely[_depths_round(outline, likely, around).max(axis=1) < -room]
    return (float(likely[0, 0]), float(likely[0, 1])) if len(likely) else None


def _depths_round(outline: Outline, places: Array, around: Array) -> Array:
    """Return how far inside an outline the points (m, 2) round each of some places (n, 2) lie, (n, m)."""
    return depths(outline, (places[:, None, :] + around).reshape(-1, 2)).reshape(-1, len(around))


def on_plane(how: Lettering, text: str, cap: float, centre: Point, z: float) -> Label:
    """Return a text written upright on a plane at the height z, its box centred at (x, y)."""
    left = centre[0] - how.width(text, cap) / 2
    letters = _set(how, text, cap, lambda along: Frame((left + along, centre[1], z)))
    return Label(text, letters, how.depth, how.raised)


def _set(how: Lettering, text: str, cap: float, flat: Callable[[float], Frame]) -> tuple[Letter, ...]:
    """Return the characters of a text, each on the flat that lies its middle's distance along the line."""
    em, pen, middle = cap / CAP, 0.0, sum(how.extent(text)) / 2
    letters = []
    for character in text:
        glyph = how.glyph(character)
        if glyph.loops:
            letters.append(Letter(flat(pen + glyph.advance * em / 2), _shapes(glyph, em, middle)))
        pen += (glyph.advance + TRACKING) * em
    return tuple(letters)


def _places(sheet: Sheet) -> Array:
    """Return the places along a two-section sheet: evenly by length half way up, never on a span of no length."""
    found = []
    for k in range(sheet.spans):
        length = sum(section.outline.spans[k].length for section in sheet.sections) / 2
        if length > 1e-6:
            count = max(1, round(length / STEP))
            found.append(k + (np.arange(count) + 0.5) / count)
    return np.concatenate(found)


def _stretch(strip: Strip, width: float, height: float, facing: float | None) -> int | None:
    """Return the index of the middle of the best free stretch for a text of a width and height."""
    path, count = strip.middle, len(strip.free)
    steps = np.linalg.norm(np.roll(path, -1, axis=0) - path, axis=1)
    run = np.concatenate([[0.0], np.cumsum(np.tile(steps, 3))])
    good = np.concatenate([[0], np.cumsum(np.tile(~(strip.free & (strip.height >= height)), 3))])
    here = run[count : 2 * count]
    first = np.searchsorted(run, here - width / 2 - CLEAR)
    last = np.searchsorted(run, here + width / 2 + CLEAR)
    clear = (good[np.minimum(last, 3 * count)] == good[first]) & (width + 2 * CLEAR < steps.sum())
    if facing is None:
        worth = np.where(clear, strip.height, -inf)
    else:
        off = np.abs((_facing(strip, first, last) - facing + 180) % 360 - 180)
        worth = np.where(clear & (off < 30), -off, -inf)
    best = first_most(worth, MUCH_ALIKE)
    return best if np.isfinite(worth[best]) else None


def _facing(strip: Strip, first: NDArray[np.intp], last: NDArray[np.intp]) -> Array:
    """Return the clock direction that a run of places round the strip faces, for each `first` up to its `last`."""
    count = len(strip.free)
    sums = np.concatenate([np.zeros((1, 3)), np.cumsum(np.tile(strip.normal, (3, 1)), axis=0)])
    x, y, _ = (sums[np.minimum(last, 3 * count)] - sums[first]).T
    faced: Array = np.degrees(np.arctan2(x, y))
    return faced


def _glyph_run(strip: Strip, how: Lettering, text: str, cap: float, middle: int) -> tuple[Label, Places]:
    count = len(strip.free)
    order = (middle + np.arange(-(count // 2), count - count // 2)) % count
    path = strip.middle[order]
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    run -= run[count // 2]
    half = how.width(text, cap) / 2
    taken = np.zeros(count, dtype=bool)
    taken[order[np.abs(run) < half + CLEAR]] = True
    lines = np.column_stack([strip.middle, strip.normal, strip.up])[order]
    letters = _set(how, text, cap, lambda along: _flat(lines, run, along - half))
    return Label(text, letters, how.depth, how.raised), taken


def _flat(lines: Array, run: Array, at: float) -> Frame:
    """Return the tangent frame on a strip's middle line: z outward, y up the wall, x to the reader's right.

    Args:
        lines: points, normals and upward vectors along the line, (n, 9).
        run: lengths along it, (n,) mm.
        at: the length at which the frame stands, mm.
    """
    after = int(np.clip(np.searchsorted(run, at, side="right"), 1, len(run) - 1))
    share = np.clip((at - run[after - 1]) / (run[after] - run[after - 1]), 0.0, 1.0)
    middle, normal, up = (lines[after - 1] + share * (lines[after] - lines[after - 1])).reshape(3, 3)
    (ux, uy, uz), (nx, ny, nz) = up.tolist(), normal.tolist()
    x, y, z = uy * nz - uz * ny, uz * nx - ux * nz, ux * ny - uy * nx
    long, steep = hypot(x, y, z), hypot(nx, ny, nz)
    a, b, c = middle.tolist()
    return Frame((a, b, c), (x / long, y / long, z / long), (nx / steep, ny / steep, nz / steep))


@lru_cache(maxsize=256)  # the same few characters, at the same few sizes
def _shapes(glyph: Glyph, em: float, middle: float) -> tuple[tuple[Outline, tuple[Outline, ...]], ...]:
    """Return character on its flat, `middle` em over the baseline: each solid piece with the islands that lie in it."""
    loops = [[((x - glyph.advance / 2) * em, (y - middle) * em) for x, y in loop] for loop in glyph.loops]
    solid = [polygon(loop) for loop in loops if _turns_left(loop)]
    holes = [polygon(loop[::-1]) for loop in loops if not _turns_left(loop)]
    homes = [_home(hole, solid) for hole in holes]
    return tuple((piece, tuple(h for h, home in zip(holes, homes, strict=True) if home is piece)) for piece in solid)


def _home(hole: Outline, solid: Sequence[Outline]) -> Outline | None:
    """Return the piece that a hole is cut out of: the smallest round it, as with a letter in a ring."""
    around = [piece for piece in solid if piece.holds(hole.spans[0].start)]
    return min(around, key=lambda piece: piece.area, default=None)


def _turns_left(loop: Sequence[Point]) -> bool:
    return sum(a[0] * b[1] - a[1] * b[0] for a, b in pairwise([*loop, loop[0]])) > 0
