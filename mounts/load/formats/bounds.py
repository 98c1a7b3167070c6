"""Bounds on a mesh file. Every reader checks them before it makes room, so that no small file takes the memory."""

from __future__ import annotations

from array import array
from collections.abc import Iterator
from typing import BinaryIO

import numpy as np

from mounts.geometry.frames import Array

TRIANGLES = 2_000_000
CORNERS = 3 * TRIANGLES  # vertices, where no triangle shares one
TEXT = 800_000_000  # bytes of an ASCII STL, an OBJ, or a 3MF's XML: 2,000,000 facets with room for 400 each
LINE = 1_000_000  # bytes of one line, or of one tag of XML
BLOCK = 1 << 22  # bytes that are read at a time


def refuse_above(most: int, count: int, what: str) -> None:
    """Raise ValueError if `count` exceeds `most`; `what` names the excess."""
    if count > most:
        raise ValueError(f"holds {what}; the most is {most:,}")


def lines_of(file: BinaryIO) -> Iterator[bytes]:
    """Yield a file of text in blocks of whole lines.

    Raises:
        ValueError: if it is too long, or holds a line that is.
    """
    rest, size = b"", 0
    while block := file.read(BLOCK):
        size += len(block)
        refuse_above(TEXT, size, "more bytes of text than a mesh needs")
        whole, newline, after = (rest + block).rpartition(b"\n")
        refuse_above(LINE, len(after), "a line of more bytes than one may have")
        yield whole + newline
        rest = after
    yield rest


def rows_of(numbers: array[float]) -> Array:
    """Return numbers that follow each other as rows of three, (n, 3) float; the numbers are used, not copied."""
    return np.frombuffer(numbers, dtype=np.float64).reshape(-1, 3) if numbers else np.zeros((0, 3))
