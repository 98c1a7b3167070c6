"""The triangles of a 3MF file, every item of its plate in its place, in mm.

Source: 3MF Core Specification 1.3: one model part with a unit, meshes and components in resources, items in build.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Mapping
from xml.etree import ElementTree

import numpy as np

from mounts.geometry.frames import Array
from mounts.load.stl import numbers

UNITS = {"micron": 0.001, "millimeter": 1.0, "centimeter": 10.0, "inch": 25.4, "foot": 304.8, "meter": 1000.0}
CORE = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
MOST_BYTES = 1_000_000_000  # of XML
DEEPEST = 20  # components in components
LOOP = "holds an object that holds itself"


def triangles_of(data: bytes) -> Array:
    """Corners of all triangles on the plate, (m, 3, 3) float, mm.

    Raises:
        ValueError: if it is no 3MF that can be read; the text says why.
    """
    root = _model(data)
    unit = root.get("unit", "millimeter")
    if unit not in UNITS:
        raise ValueError(f"is in the unit {unit}, which 3MF does not know")
    objects = {item.get("id", ""): item for item in root.iterfind(f"{CORE}resources/{CORE}object")}
    items = root.findall(f"{CORE}build/{CORE}item")
    found = [_placed(_of(objects, item, 0), item) for item in items]
    return UNITS[unit] * np.concatenate([*found, np.zeros((0, 3, 3))])


def _model(data: bytes) -> ElementTree.Element:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entry = next((one for one in archive.infolist() if one.filename.lower().endswith(".model")), None)
            if entry is None:
                raise ValueError("is a zip file without a 3D model")
            if entry.file_size > MOST_BYTES:
                raise ValueError("holds more than 1 GB of XML")
            text = archive.read(entry)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError) as error:
        raise ValueError("is no zip file that can be read, as a 3MF is") from error
    if b"<!" in text.replace(b"<!--", b""):  # entities can make a small file a huge one
        raise ValueError("declares entities of its own, which a 3MF must not")
    try:
        return ElementTree.fromstring(text)
    except ElementTree.ParseError as error:
        raise ValueError(f"holds XML that cannot be read: {error}") from error


def _of(objects: Mapping[str, ElementTree.Element], user: ElementTree.Element, depth: int) -> Array:
    """Corners of the object that an item or a component stands for, in the object's own frame."""
    name = user.get("objectid", "")
    if name not in objects or depth > DEEPEST:
        raise ValueError(f"places an object {name} that is not there" if name not in objects else LOOP)
    mesh = objects[name].find(f"{CORE}mesh")
    if mesh is not None:
        return _mesh(mesh)
    parts = objects[name].findall(f"{CORE}components/{CORE}component")
    return np.concatenate([*(_placed(_of(objects, part, depth + 1), part) for part in parts), np.zeros((0, 3, 3))])


def _mesh(mesh: ElementTree.Element) -> Array:
    points = [[v.get(k, "") for k in "xyz"] for v in mesh.iterfind(f"{CORE}vertices/{CORE}vertex")]
    corners = [[t.get(f"v{k}", "") for k in (1, 2, 3)] for t in mesh.iterfind(f"{CORE}triangles/{CORE}triangle")]
    places, index = (numbers(rows, kind).reshape(-1, 3) for rows, kind in ((points, float), (corners, np.int64)))
    if len(index) and not 0 <= index.min() <= index.max() < len(places):
        raise ValueError("has a triangle whose corner is not there")
    found: Array = places[index]
    return found


def _placed(corners: Array, user: ElementTree.Element) -> Array:
    """Corners carried by the transform of an item or a component: twelve numbers, row by row, points as rows."""
    told = user.get("transform")
    if told is None:
        return corners
    try:
        rows = np.array(told.split(), dtype=float).reshape(4, 3)
    except ValueError as error:
        raise ValueError(f"has a transform that is not twelve numbers: {told[:60]}") from error
    placed: Array = corners @ rows[:3] + rows[3]
    return placed if np.linalg.det(rows[:3]) > 0 else placed[:, ::-1]
