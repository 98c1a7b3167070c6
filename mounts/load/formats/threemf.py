"""The triangles of a 3MF file, every item of its plate in its place, in mm.

Source: 3MF Core Specification 1.3: one model part with a unit, meshes and components in resources, items in build.
The XML is read as a stream; nothing is placed before it is known how many triangles that makes.

Bounds on a mesh file. Every reader checks them before it makes room, so that no small file takes the memory.
"""

from __future__ import annotations

import zipfile
import zlib
from array import array
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, BinaryIO
from xml.parsers import expat

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array

TRIANGLES = 2_000_000
CORNERS = 3 * TRIANGLES  # vertices, where no triangle shares one
TEXT = 800_000_000  # bytes of an ASCII STL, an OBJ, or a 3MF's XML: 2,000,000 facets with room for 400 each
LINE = 1_000_000  # bytes of one line, or of one tag of XML
BLOCK = 1 << 22  # bytes that are read at a time
UNITS = {"micron": 0.001, "millimeter": 1.0, "centimeter": 10.0, "inch": 25.4, "foot": 304.8, "meter": 1000.0}
CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
MAIN = "3d/3dmodel.model"  # where nearly every program puts the model
RATIO = 200  # of unzipped to zipped bytes: a mesh as XML gives 5 to 30
SMALL = 1_000_000  # bytes unzipped, up to which no ratio is asked for
DIRECTORY = 4_000_000  # bytes of a zip file's list of its files: some 40 000 of them
ELEMENTS = CORNERS + TRIANGLES + 500_000
PLACES = 100_000  # times that a mesh is placed on the plate, by items and components
DEEPEST = 20  # components in components
NESTED = 100  # tags in tags
LOOP = "holds an object that holds itself"

Attributes = dict[str, str]


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


@dataclass(slots=True)
class ThreemfObject:
    """Object of the model: a mesh, or other objects as components."""

    places: array[float] = field(default_factory=lambda: array("d"))
    corners: array[int] = field(default_factory=lambda: array("q"))
    components: list[Attributes] = field(default_factory=list)


@dataclass(slots=True)
class ThreemfModel:
    """Model as far as it has been read.

    Attributes:
        unit: unit of its lengths.
        objects: objects by id.
        items: items on the plate.
        here: the object whose tags are read.
        elements, depth: how many tags there were, and are open.
    """

    unit: str = "millimeter"
    objects: dict[str, ThreemfObject] = field(default_factory=dict)
    items: list[Attributes] = field(default_factory=list)
    here: ThreemfObject = field(default_factory=ThreemfObject)
    elements: int = 0
    depth: int = 0

    def start(self, tag: str, told: Attributes) -> None:
        """Handle a start tag with its attributes."""
        self.elements, self.depth = self.elements + 1, self.depth + 1
        if self.elements > ELEMENTS or self.depth > NESTED:
            refuse_above(ELEMENTS, self.elements, "more tags of XML than a mesh needs")
            refuse_above(NESTED, self.depth, "more tags within each other than a mesh needs")
        space, _, name = tag.rpartition(" ")
        if space != CORE:
            return
        match name:
            case "vertex":
                self.here.places.extend([_number(told, key, float) for key in "xyz"])
            case "triangle":
                self.here.corners.extend([_number(told, key, int) for key in ("v1", "v2", "v3")])
            case "object":
                self.here = self.objects[told.get("id", "")] = ThreemfObject()
            case "component":
                self.here.components.append(told)
            case "item":
                self.items.append(told)
            case "model":
                self.unit = told.get("unit", self.unit)

    def end(self, _: str) -> None:
        """Handle an end tag."""
        self.depth -= 1


def triangles_of(file: BinaryIO) -> Array:
    """Return the corners of all triangles on the plate, (m, 3, 3) float, mm.

    Raises:
        ValueError: if it is no 3MF that can be read, or holds too much; the text says why.
    """
    model = _model(file)
    if model.unit not in UNITS:
        raise ValueError(f"is in the unit {model.unit[:40]}, which 3MF does not know")
    total = _count(model)
    found, at = np.empty((total, 3, 3)), 0
    for name, rows in _placements(model.objects, model.items):
        part = model.objects[name]
        corners = rows_of(part.places)[np.frombuffer(part.corners, dtype=np.int64)].reshape(-1, 3, 3)
        with np.errstate(all="ignore"):  # what is no number is reported with its facet
            placed = corners @ rows[:3] + rows[3]
            found[at : at + len(placed)] = placed if np.linalg.det(rows[:3]) > 0 else placed[:, ::-1]
        at += len(placed)
    found *= UNITS[model.unit]
    return found


def _model(file: BinaryIO) -> ThreemfModel:
    try:
        _refuse_long_directory(file)
        with zipfile.ZipFile(file) as archive:
            entries = [one for one in archive.infolist() if one.filename.lower().endswith(".model")]
            if not entries:
                raise ValueError("is a zip file without a 3D model")
            entry = next((one for one in entries if one.filename.lower().strip("/") == MAIN), entries[0])
            refuse_above(TEXT, entry.file_size, f"{entry.file_size:,} bytes of XML")
            if entry.file_size > max(SMALL, RATIO * entry.compress_size):
                raise ValueError(f"unzips to more than {RATIO} times its size, as no mesh does")
            with archive.open(entry) as stream:
                return _read(stream)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError) as error:
        raise ValueError("is no zip file that can be read, as a 3MF is") from error


def _refuse_long_directory(file: BinaryIO) -> None:
    """Refuse a zip file that lists more files than a 3MF has, before that list is read."""
    size = file.seek(0, 2)
    file.seek(max(0, size - (1 << 16) - 22))
    _, found, end = file.read().rpartition(b"PK\x05\x06")
    if found:
        refuse_above(DIRECTORY, int.from_bytes(end[8:12], "little"), "a list of files of more bytes than a 3MF needs")


def _read(stream: Any) -> ThreemfModel:
    """Return the model in a stream of XML."""
    model, parser = ThreemfModel(), expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler, parser.EndElementHandler = model.start, model.end
    parser.StartDoctypeDeclHandler = _refuse_doctype
    size = 0
    try:
        while block := stream.read(BLOCK >> 3):
            parser.Parse(block)
            size += len(block)
            refuse_above(LINE, size - max(parser.CurrentByteIndex, 0), "a tag of more bytes than one may have")
        parser.Parse(b"", True)
    except expat.ExpatError as error:
        raise ValueError(f"holds XML that cannot be read: {error}") from error
    return model


def _refuse_doctype(*_: object) -> None:
    raise ValueError("declares entities of its own, which a 3MF must not")


def _number(told: Attributes, key: str, kind: type[float] | type[int]) -> Any:
    """Return an attribute as a number; raise ValueError where it is none or larger than any index may be."""
    word = told.get(key, "")
    try:
        value = kind(word)
        if kind is float or abs(value) <= CORNERS:
            return value
    except ValueError:
        pass
    raise ValueError(f"has {word[:40] or 'nothing'} where a number should be")


def _count(model: ThreemfModel) -> int:
    """Return how many triangles lie on the plate; raise ValueError for too many or for a missing corner."""
    objects = model.objects

    @cache
    def held(name: str) -> tuple[int, int]:
        """Return the triangles in an object, and how often a mesh is placed in it."""
        part = objects[name]
        if not part.components:
            _check_corners(part)
            return len(part.corners) // 3, 1
        return _sum(part.components)

    def _sum(users: list[Attributes]) -> tuple[int, int]:
        pairs = [held(user.get("objectid", "")) for user in users]
        return sum(count for count, _ in pairs), sum(places for _, places in pairs)

    _check_depth(objects, model.items)
    total, places = _sum(model.items)
    refuse_above(TRIANGLES, total, f"{total:,} triangles")
    refuse_above(PLACES, places, f"meshes placed {places:,} times")
    return total


def _check_depth(objects: Mapping[str, ThreemfObject], items: list[Attributes]) -> None:
    """Raise ValueError where an object is missing, holds itself, or is nested too deeply."""
    level = {item.get("objectid", "") for item in items}
    for _ in range(DEEPEST + 1):
        if missing := sorted(level - objects.keys()):
            raise ValueError(f"places an object {missing[0][:40]} that is not there")
        level = {part.get("objectid", "") for name in level for part in objects[name].components}
    if level:
        raise ValueError(LOOP)


def _check_corners(part: ThreemfObject) -> None:
    corners: NDArray[np.int64] = np.frombuffer(part.corners, dtype=np.int64) if part.corners else np.zeros(0, np.int64)
    if len(corners) and not 0 <= corners.min() <= corners.max() < len(part.places) // 3:
        raise ValueError("has a triangle whose corner is not there")


def _placements(objects: Mapping[str, ThreemfObject], users: list[Attributes]) -> Iterator[tuple[str, Array]]:
    """Yield each mesh that items or components place, with its transform (4, 3)."""
    for user in users:
        name, rows = user.get("objectid", ""), _transform(user)
        if not objects[name].components:
            if objects[name].corners:
                yield name, rows
            continue
        with np.errstate(all="ignore"):
            for inner, first in _placements(objects, objects[name].components):
                yield inner, np.vstack([first[:3] @ rows[:3], first[3] @ rows[:3] + rows[3]])


def _transform(user: Attributes) -> Array:
    """Return the transform of an item or a component, (4, 3): twelve numbers, row by row, points as rows."""
    told = user.get("transform")
    if told is None:
        return np.eye(4, 3)
    try:
        return np.array(told.split(), dtype=float).reshape(4, 3)
    except ValueError as error:
        raise ValueError(f"has a transform that is not twelve numbers: {told[:60]}") from error
