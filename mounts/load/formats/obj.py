"""The faces of an OBJ as loose triangles: its lines of `v` and `f`; normals, colours and materials do not matter.

A face names its corners by number, from 1 or, negative, from the last vertex; one of more than three is a fan.
"""

from __future__ import annotations

import re
from array import array
from itertools import pairwise
from typing import BinaryIO

import numpy as np

from mounts.geometry.frames import Array
from mounts.load.formats.bounds import CORNERS, TRIANGLES, lines_of, refuse_above, rows_of
from mounts.load.formats.stl import parse_number

LINE = re.compile(rb"^[ \t]*([vf])[ \t]+([^\n]*)$", re.MULTILINE)


def triangles_of(file: BinaryIO) -> Array:
    """Return the corners of all triangles, (m, 3, 3) float.

    Raises:
        ValueError: if it is no OBJ that can be read, or holds too much; the text says why.
    """
    places, corners = array("d"), array("q")
    file.seek(0)
    for block in lines_of(file):
        for kind, words in LINE.findall(block.replace(b"\\\n", b" ").replace(b"\\\r\n", b" ")):
            if kind == b"v":
                row = [parse_number(word) for word in words.split()[:3]]
                if len(row) != 3:
                    raise ValueError(f"has a vertex of {len(row)} numbers; one has three")
                places.extend(row)
            else:
                _add_face(corners, words, len(places) // 3)
        refuse_above(CORNERS, len(places) // 3, f"{len(places) // 3:,} vertices")
        refuse_above(TRIANGLES, len(corners) // 3, f"more than {TRIANGLES:,} triangles")
    index = np.frombuffer(corners, dtype=np.int64) if corners else np.zeros(0, dtype=np.int64)
    if len(index) and not 0 <= index.min() <= index.max() < len(places) // 3:
        raise ValueError("has a face whose corner is not there")
    found: Array = rows_of(places)[index].reshape(-1, 3, 3)
    return found


def _add_face(corners: array[int], words: bytes, count: int) -> None:
    """Add a face's triangles; a corner is "vertex", "vertex/texture" or "vertex/texture/normal"."""
    told = [word.partition(b"/")[0] for word in words.partition(b"#")[0].split()]
    try:
        face = [int(word) for word in told]
    except ValueError as error:
        raise ValueError(
            f"has the face {words[:40].decode('ascii', 'replace')}, whose corners are no numbers"
        ) from error
    if not all(0 < abs(at) <= CORNERS for at in face):
        raise ValueError("has a face whose corner is not there")
    face = [at - 1 if at > 0 else count + at for at in face]
    for second, third in pairwise(face[1:]):
        corners.extend((face[0], second, third))
