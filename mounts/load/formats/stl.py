"""STL in either of its two forms, as loose triangles. Nothing in it is believed: lengths and numbers are checked.

A binary STL is 80 bytes of anything, the number of facets, and 50 bytes a facet; its first bytes may well say "solid",
so its length shows it. An ASCII STL is words; only those that say "vertex" matter.
"""

from __future__ import annotations

import re
from array import array
from typing import BinaryIO

import numpy as np

from mounts.geometry.frames import Array
from mounts.load.formats.threemf import CORNERS, TRIANGLES, lines_of, refuse_above, rows_of

HEAD, FACET = 84, 50  # bytes
RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
VERTEX = re.compile(rb"^\s*vertex[ \t]+([^\n]*)$", re.MULTILINE | re.IGNORECASE)
ENDS = 1000  # bytes at either end that are looked at


def triangles_of(file: BinaryIO) -> Array:
    """Return the corners of the facets of an STL, (m, 3, 3) float32.

    Raises:
        ValueError: if it is no STL, is cut short, or holds too much; the text says why.
    """
    size = file.seek(0, 2)
    if not size:
        raise ValueError("is empty")
    file.seek(max(0, size - ENDS))
    tail = file.read()
    file.seek(0)
    head = file.read(ENDS)
    is_text = all(byte in b"\t\n\r\f" or 32 <= byte < 127 for byte in head + tail)
    count = int.from_bytes(head[80:HEAD], "little") if size >= HEAD else -1
    if count >= 0 and size == HEAD + FACET * count:
        return _binary(file, count)
    if head.lstrip()[:5].lower() == b"solid" and is_text:
        return _ascii(file, b"endsolid" in tail.lower())
    held = (size - HEAD) // FACET
    if 0 < count <= held:  # some programs write more behind the facets
        return _binary(file, count)
    if 0 < held < count < 100 * max(held, 1000) and not is_text:
        raise ValueError(f"is cut short: it says {count} facets and holds {held}")
    raise ValueError("is neither a binary nor an ASCII STL")


def _binary(file: BinaryIO, count: int) -> Array:
    refuse_above(TRIANGLES, count, f"{count:,} facets")
    file.seek(HEAD)
    corners: Array = np.frombuffer(file.read(FACET * count), RECORD)["corners"]
    return corners


def _ascii(file: BinaryIO, is_whole: bool) -> Array:
    numbers = array("d")
    file.seek(0)
    for block in lines_of(file):
        rows = [row.split() for row in VERTEX.findall(block)]
        wrong = next((k for k, row in enumerate(rows) if len(row) != 3), None)
        if wrong is not None:
            facet = (len(numbers) // 3 + wrong) // 3 + 1
            raise ValueError(f"has a vertex of {len(rows[wrong])} numbers in facet {facet}; one has three")
        numbers.extend(parse_number(word) for row in rows for word in row)
        refuse_above(CORNERS, len(numbers) // 3, f"more than {TRIANGLES:,} facets, in corners")
    if not is_whole or len(numbers) % 9:
        raise ValueError(f"is cut short after facet {len(numbers) // 9}: there is no endsolid")
    return rows_of(numbers).reshape(-1, 3, 3).astype(np.float32)


def parse_number(word: bytes) -> float:
    """Return a word as a number; raise ValueError where it is none."""
    try:
        return float(word)
    except ValueError as error:
        raise ValueError(f"has {word[:40].decode('ascii', 'replace')} where a number should be") from error
