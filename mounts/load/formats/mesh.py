"""Any mesh file as a part: STL, 3MF or OBJ, drawn here or elsewhere, sound or not.

What cannot be read at all is an InputError. What can be read but is no sound solid becomes a part all the same, and
`mounts.checks.mesh.soundness` says what is wrong with it.

The faces of an OBJ as loose triangles: its lines of `v` and `f`; normals, colours and materials do not matter.

A face names its corners by number, from 1 or, negative, from the last vertex; one of more than three is a fan.
"""

from __future__ import annotations

import re
from array import array
from itertools import pairwise
from pathlib import Path
from typing import BinaryIO

import numpy as np

from mounts.errors import InputError, Problem
from mounts.geometry.facets import (
    Edges,
    Whole,
    cross,
    degenerate_triangles,
    mesh_components,
    smooth_patches,
    weld_vertices,
)
from mounts.geometry.frames import Array
from mounts.identity import UNNAMED
from mounts.kernels.part import Part
from mounts.load.formats import stl, threemf
from mounts.load.formats.stl import parse_number
from mounts.load.formats.threemf import CORNERS, TRIANGLES, lines_of, refuse_above, rows_of
from mounts.load.parse.units import replace_unprintable

LINE = re.compile(rb"^[ \t]*([vf])[ \t]+([^\n]*)$", re.MULTILINE)
ZIP = b"PK\x03\x04"
FURTHEST = 1e6  # mm of a corner from the file's origin
NO_VOLUME = 1e-9  # mm³


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


def read_mesh(path: Path) -> Part:
    """Read the part in a mesh file, in the file's frame, mm: kernel "file", one feature, smooth patches as faces.

    An STL and an OBJ say no unit; they are taken for mm.

    Raises:
        InputError: if there is no such file, it is no mesh, it is cut short, it holds no facets, or corners that are no
            numbers.
    """
    try:
        corners = _read(path)
        if not len(corners):
            raise ValueError("holds no facets")
        wrong = np.flatnonzero(~np.isfinite(corners).all(axis=(1, 2)))
        if len(wrong):
            many = "1 facet" if len(wrong) == 1 else f"{len(wrong)} facets"
            raise ValueError(f"has {many} with corners that are no numbers, the first is facet {wrong[0] + 1}")
        if (furthest := float(np.abs(corners).max())) > FURTHEST:
            raise ValueError(f"has a corner {furthest:.3g} mm from its origin; the most is {FURTHEST:,.0f}")
    except ValueError as error:
        what = replace_unprintable(f"{path.name} {error}")  # which quotes the file
        raise InputError(Problem(f"{what}; give a mesh as STL, 3MF or OBJ", file=path)) from error
    vertices, triangles = weld_vertices(corners)
    return mesh_part(path.stem, vertices, triangles)


def mesh_part(name: str, vertices: Array, triangles: Whole) -> Part:
    """Return a part of bare triangles; counts and volume hold as far as they are closed and oriented."""
    edges = Edges(triangles)
    whole = ~degenerate_triangles(triangles)
    lump = mesh_components(triangles, edges)[whole]
    sixfold, middles = _volumes(vertices, triangles)
    each = np.bincount(lump, sixfold[whole])
    shells, total = int((np.bincount(lump) > 0).sum()), float(sixfold.sum())
    euler = len(np.unique(triangles[whole])) - len(edges.sides) + len(lump)
    closed = not len(edges.open) and not len(edges.nonmanifold)
    return Part(
        name=name,
        kernel="file",
        vertices=vertices,
        triangles=triangles,
        face=smooth_patches(vertices, triangles, edges),
        feature=np.zeros(len(triangles), dtype=np.int64),
        features=(UNNAMED,),
        volume=total / 6,
        centroid=middles.T @ sixfold / total if abs(total) > NO_VOLUME else vertices.mean(axis=0),
        solids=int((each > NO_VOLUME).sum()),
        shells=shells,
        genus=max(0, shells - euler // 2) if closed else 0,
    )


def _volumes(vertices: Array, triangles: Whole) -> tuple[Array, Array]:
    """Return six times the volume between each triangle and the origin, (m,), and four times its centroid, (m, 3)."""
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    return np.einsum("ij,ij->i", a, cross(b, c)), (a + b + c) / 4


def _read(path: Path) -> Array:
    """Return the corners of a file's facets, (m, 3, 3) float.

    Raises:
        ValueError: if they cannot be read; the text says why.
        InputError: if there is no such file.
    """
    try:
        with path.open("rb") as file:
            if file.read(len(ZIP)) == ZIP:
                return threemf.triangles_of(file)
            return triangles_of(file) if path.suffix.lower() == ".obj" else stl.triangles_of(file)
    except FileNotFoundError as error:
        raise InputError(Problem(f"there is no file {path.name}", file=path)) from error
    except IsADirectoryError as error:
        raise InputError(Problem(f"{path.name} is a folder; give a mesh file in it", file=path)) from error
    except OSError as error:
        raise InputError(Problem(f"{path.name} cannot be read: {error.strerror or error}", file=path)) from error
