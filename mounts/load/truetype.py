"""A small reader of TrueType outlines: what a label needs, in a few milliseconds.

Follows the OpenType specification's tables head, hhea, hmtx, cmap (formats 4 and 12), loca and glyf.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from struct import unpack_from
from typing import NamedTuple

WORDS, OFFSETS, SCALE, MORE, SCALES, MATRIX = 1, 2, 8, 32, 64, 128  # flags of a component
ON, SHORT_X, SHORT_Y, REPEAT, SAME_X, SAME_Y = 1, 2, 4, 8, 16, 32  # flags of a point
DEEPEST = 8  # components within components


class Knot(NamedTuple):
    """A point of a contour in font units, on its curve or controlling it."""

    x: float
    y: float
    on: bool


Contour = list[Knot]


@dataclass(frozen=True)
class Font:
    """A TrueType font file's bytes and where its tables begin."""

    data: bytes
    tables: dict[str, int]

    @classmethod
    def read(cls, data: bytes) -> Font:
        """The font in a file's bytes."""
        count = unpack_from(">H", data, 4)[0]
        rows = (unpack_from(">4sIII", data, 12 + 16 * k) for k in range(count))
        return cls(data, {tag.decode("latin-1"): offset for tag, _, offset, _ in rows})

    @property
    def em(self) -> int:
        """Font units to the em."""
        return self._number(">H", "head", 18)

    def glyph(self, character: str) -> int:
        """Index of a character's glyph; 0, the empty box, when the font has none."""
        table, code = self.tables["cmap"], ord(character)
        for k in range(self._number(">H", "cmap", 2)):
            platform, encoding, offset = unpack_from(">HHI", self.data, table + 4 + 8 * k)
            kind = unpack_from(">H", self.data, table + offset)[0]
            if (platform, encoding) in ((3, 10), (3, 1), (0, 3), (0, 4)) and kind in (4, 12):
                found = (self._segmented if kind == 4 else self._grouped)(table + offset, code)
                if found:
                    return found
        return 0

    def advance(self, glyph: int) -> int:
        """Width that a glyph takes in a line of text."""
        last = self._number(">H", "hhea", 34) - 1
        return self._number(">H", "hmtx", 4 * min(glyph, last))

    def contours(self, glyph: int, depth: int = 0) -> list[Contour]:
        """A glyph's contours, those of its components in their places."""
        long = self._number(">h", "head", 50)
        step = 4 if long else 2
        begin, end = (
            self._number(">I" if long else ">H", "loca", step * k) * (1 if long else 2) for k in (glyph, glyph + 1)
        )
        if begin == end or depth > DEEPEST:
            return []
        at = self.tables["glyf"] + begin
        count = unpack_from(">h", self.data, at)[0]
        if count >= 0:
            return _simple(self.data, at + 10, count)
        return [contour for part in self._components(at + 10, depth) for contour in part]

    def _components(self, at: int, depth: int) -> Iterator[list[Contour]]:
        flags = MORE
        while flags & MORE:
            flags, glyph = unpack_from(">HH", self.data, at)
            at += 4
            dx, dy = unpack_from(">hh" if flags & WORDS else ">bb", self.data, at)
            at += 4 if flags & WORDS else 2
            count = 1 if flags & SCALE else 2 if flags & SCALES else 4 if flags & MATRIX else 0
            scales = [value / 16384 for value in unpack_from(f">{count}h", self.data, at)]
            at += 2 * count
            a, b, c, d = {0: [1, 0, 0, 1], 1: [*scales, 0, 0, *scales], 2: [*scales[:1], 0, 0, *scales[1:]]}.get(
                count, scales
            )
            if not flags & OFFSETS:
                dx = dy = 0  # points matched to points: no glyph of the shipped fonts does this
            yield [
                [Knot(a * x + c * y + dx, b * x + d * y + dy, on) for x, y, on in contour]
                for contour in self.contours(glyph, depth + 1)
            ]

    def _segmented(self, at: int, code: int) -> int:
        """Format 4: segments of the basic plane."""
        double = unpack_from(">H", self.data, at + 6)[0]
        if code > 0xFFFF:
            return 0
        for k in range(0, double, 2):
            if unpack_from(">H", self.data, at + 14 + k)[0] < code:
                continue
            start = unpack_from(">H", self.data, at + 16 + double + k)[0]
            if start > code:
                return 0
            shift = unpack_from(">h", self.data, at + 16 + 2 * double + k)[0]
            place = at + 16 + 3 * double + k
            offset = unpack_from(">H", self.data, place)[0]
            if not offset:
                return int(code + shift) & 0xFFFF
            found = unpack_from(">H", self.data, place + offset + 2 * (code - start))[0]
            return int(found + shift) & 0xFFFF if found else 0
        return 0

    def _grouped(self, at: int, code: int) -> int:
        """Format 12: groups over all planes."""
        for k in range(unpack_from(">I", self.data, at + 12)[0]):
            start, end, first = unpack_from(">III", self.data, at + 16 + 12 * k)
            if start <= code <= end:
                return int(first + code - start)
        return 0

    def _number(self, form: str, table: str, offset: int) -> int:
        found: int = unpack_from(form, self.data, self.tables[table] + offset)[0]
        return found


def _simple(data: bytes, at: int, count: int) -> list[Contour]:
    """Contours of a glyph that has no components; `at` is just after its header."""
    ends = unpack_from(f">{count}H", data, at)
    at += 2 * count
    at += 2 + unpack_from(">H", data, at)[0]  # instructions
    total = ends[-1] + 1 if ends else 0
    flags: list[int] = []
    while len(flags) < total:
        flag, at = data[at], at + 1
        times = 1
        if flag & REPEAT:
            times, at = data[at] + 1, at + 1
        flags += [flag] * times
    xs, at = _coordinates(data, at, flags, SHORT_X, SAME_X)
    ys, at = _coordinates(data, at, flags, SHORT_Y, SAME_Y)
    knots = [Knot(x, y, bool(flag & ON)) for x, y, flag in zip(xs, ys, flags, strict=True)]
    return [knots[begin + 1 : end + 1] for begin, end in zip((-1, *ends), ends, strict=False)]


def _coordinates(data: bytes, at: int, flags: list[int], short: int, same: int) -> tuple[list[int], int]:
    """One coordinate of every point, each told as its difference from the one before, and where they end."""
    found, value = [], 0
    for flag in flags:
        if flag & short:
            value += data[at] if flag & same else -data[at]
            at += 1
        elif not flag & same:
            value += unpack_from(">h", data, at)[0]
            at += 2
        found.append(value)
    return found, at
