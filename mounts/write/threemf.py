"""3MF: triangles with a unit, names and places, in a zip file whose bytes repeat from run to run.

Source: 3MF Core Specification 1.3. One model part; objects of type "model" with ids from 1; a build item for every
place of an object. Names go into `name` and `partnumber`, since slicers differ in which they show.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.write.stl import check_rigid
from mounts.write.text_shaping import plain_text

Transform = tuple[tuple[float, ...], ...]
HERE: Transform = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest that a zip file can hold; a true one would change the bytes
_MODEL = "3D/3dmodel.model"
_TYPES = """<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
"""
_LINKS = f"""<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Target="/{_MODEL}" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>
"""


class TriangleMesh(Protocol):
    """Mesh of a part, as it is written."""

    @property
    def vertices(self) -> NDArray[np.float64]:
        """(n, 3), mm."""

    @property
    def triangles(self) -> NDArray[np.int64]:
        """(m, 3), counter-clockwise seen from outside."""


@dataclass(frozen=True, slots=True, eq=False)
class PlacedPart:
    """One part on the plate.

    Attributes:
        part: part in the panel frame, or wherever its places start from.
        name: name that the slicer shows.
        places: rigid transforms (4 rows of 4) from there to the plate, one for each copy.
    """

    part: TriangleMesh
    name: str
    places: tuple[Transform, ...] = (HERE,)


def threemf_bytes(title: str, items: Sequence[PlacedPart]) -> bytes:
    """Return a 3MF file in mm with every item as one object, placed as often as it has places.

    Raises:
        ValueError: if there is nothing to write or a place is not rigid.
    """
    if not any(item.places for item in items):
        raise ValueError("a 3MF file needs at least one part in one place")
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        for name, text in (("[Content_Types].xml", _TYPES), ("_rels/.rels", _LINKS), (_MODEL, _model(title, items))):
            entry = zipfile.ZipInfo(name, _DATE)
            entry.compress_type, entry.create_system = zipfile.ZIP_DEFLATED, 3
            archive.writestr(entry, text.encode(), compresslevel=6)
    return file.getvalue()


def _model(title: str, items: Sequence[PlacedPart]) -> str:
    objects = "".join(_object(k, item) for k, item in enumerate(items, 1))
    build = "".join(_build_item(k, item, place) for k, item in enumerate(items, 1) for place in item.places)
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<model unit="millimeter" xml:lang="en-US" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
<metadata name="Title">{_text(title)}</metadata>
<metadata name="Application">mounts</metadata>
<resources>
{objects}</resources>
<build>
{build}</build>
</model>
"""


def _object(number: int, item: PlacedPart) -> str:
    vertices, triangles = _merge_vertices(item.part.vertices, item.part.triangles)
    points = _rows('<vertex x="%.9g" y="%.9g" z="%.9g"/>\n', vertices)
    faces = _rows('<triangle v1="%d" v2="%d" v3="%d"/>\n', triangles)
    name = _text(item.name) or f"part {number}"
    return (
        f'<object id="{number}" type="model" name="{name}" partnumber="{name}"><mesh>\n'
        f"<vertices>\n{points}</vertices>\n<triangles>\n{faces}</triangles>\n</mesh></object>\n"
    )


def _build_item(number: int, item: PlacedPart, place: ArrayLike) -> str:
    """Return a build item; points are rows in the file's mathematics, so the matrix is written column by column."""
    cells = check_rigid(place)[:3].T.ravel()
    told = " ".join("%.9g" % (round(cell, 9) + 0.0) for cell in cells)
    return f'<item objectid="{number}" transform="{told}" partnumber="{_text(item.name) or f"part {number}"}"/>\n'


def _merge_vertices(
    vertices: NDArray[np.float64], triangles: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Return the mesh with every place once to 1e-5 mm, and without the triangles that this leaves no area."""
    places, index = np.unique(np.round(vertices, 5) + 0.0, axis=0, return_inverse=True)
    corners = index.reshape(-1)[triangles]
    a, b, c = corners.T
    return places, corners[(a != b) & (b != c) & (c != a)]


def _rows(form: str, table: NDArray[np.float64] | NDArray[np.int64]) -> str:
    """Return one line for each row, made by a single formatting: thirty times as fast as one by one."""
    return (form * len(table)) % tuple(table.ravel().tolist())


def _text(text: str) -> str:
    return escape(plain_text(text), {'"': "&quot;"})
