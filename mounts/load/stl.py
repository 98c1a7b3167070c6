"""STL in either of its two forms, as loose triangles. Nothing in it is believed: lengths and numbers are checked.

A binary STL is 80 bytes of anything, the number of facets, and 50 bytes a facet; its first bytes may well say "solid",
so its length tells it. An ASCII STL is words; only those that say "vertex" matter.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array

HEAD, FACET = 84, 50  # bytes
RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
VERTEX = re.compile(rb"^\s*vertex[ \t]+([^\n]*)$", re.MULTILINE | re.IGNORECASE)


def triangles_of(data: bytes) -> Array:
    """Corners of the facets of an STL, (m, 3, 3) float32.

    Raises:
        ValueError: if it is no STL, or is cut short; the text says why.
    """
    if not data:
        raise ValueError("is empty")
    count = int.from_bytes(data[80:HEAD], "little") if len(data) >= HEAD else -1
    if count >= 0 and len(data) == HEAD + FACET * count:
        return _binary(data, count)
    if data.lstrip()[:5].lower() == b"solid" and _is_text(data):
        return _ascii(data)
    held = (len(data) - HEAD) // FACET
    if 0 < count <= held:  # some programs write more behind the facets
        return _binary(data, count)
    if 0 < held < count < 100 * max(held, 1000) and not _is_text(data):
        raise ValueError(f"is cut short: it says {count} facets and holds {held}")
    raise ValueError("is neither a binary nor an ASCII STL")


def numbers(rows: Sequence[Sequence[bytes | str]], kind: type) -> NDArray[Any]:
    """Words as numbers of a kind, (rows, columns).

    Raises:
        ValueError: if one is no number; it is told.
    """
    words = np.array(rows, dtype="S40" if rows and isinstance(rows[0][0], bytes) else "U40")
    try:
        return words.astype(kind)
    except ValueError as error:
        wrong = next(word for row in rows for word in row if not _is_number(word, kind))
        told = wrong.decode("ascii", "replace") if isinstance(wrong, bytes) else wrong
        raise ValueError(f"has {told[:40] or 'nothing'} where a number should be") from error


def _is_number(word: bytes | str, kind: type) -> bool:
    try:
        np.array(word).astype(kind)
    except ValueError:
        return False
    return True


def _binary(data: bytes, count: int) -> Array:
    corners: Array = np.frombuffer(data, RECORD, count, HEAD)["corners"]
    return corners


def _is_text(data: bytes) -> bool:
    """Whether the first kilobyte and the last are words."""
    return all(byte in b"\t\n\r\f" or 32 <= byte < 127 for byte in data[:1000] + data[-1000:])


def _ascii(data: bytes) -> Array:
    rows = [row.split() for row in VERTEX.findall(data)]
    wrong = next((k for k, row in enumerate(rows) if len(row) != 3), None)
    if wrong is not None:
        raise ValueError(f"has a vertex of {len(rows[wrong])} numbers in facet {wrong // 3 + 1}; one has three")
    corners = numbers(rows, np.float64)
    if b"endsolid" not in data[-1000:].lower() or len(corners) % 3:
        raise ValueError(f"is cut short after facet {len(corners) // 3}: there is no endsolid")
    return corners.reshape(-1, 3, 3).astype(np.float32)
