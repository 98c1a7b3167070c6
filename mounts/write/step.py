"""STEP file of a part: the exact solid in the panel frame, millimetres, every face named after its feature."""

from __future__ import annotations

import tempfile
import unicodedata
from pathlib import Path

import numpy as np

from mounts.errors import KernelError
from mounts.kernels.brep_triangles import faces_of
from mounts.kernels.occ import cadquery, kernel_step
from mounts.kernels.part import Part


def step_bytes(part: Part) -> bytes:
    """The part as a STEP file, one product with one solid; the header holds the time, so no two files are alike.

    Raises:
        KernelError: if the part has no solid, or the kernel fails.
    """
    if part.solid is None:
        raise KernelError(f"part {part.name}: the {part.kernel} kernel has no solid for a STEP file")
    name = ascii_name(part.name)
    with kernel_step(part.name, "write STEP"), tempfile.TemporaryDirectory(prefix="mounts-") as folder:
        body = cadquery.Assembly(part.solid, name=f"{name} solid")
        faces = faces_of(part.solid.wrapped)
        for number, feature in _owners(part).items():
            body.addSubshape(cadquery.Face(faces[number]), name=ascii_name(feature))
        path = Path(folder) / "part.step"
        cadquery.Assembly(name=name).add(body).export(str(path), "STEP", write_pcurves=False)
        return path.read_bytes()


def ascii_name(name: str) -> str:
    """The name as readers of STEP take it unharmed: accents dropped, what is no plain letter then told as "-"."""
    plain = unicodedata.normalize("NFKD", name).replace("\u00f8", "o").replace("\u00d8", "O")
    bare = "".join(c for c in plain if not unicodedata.combining(c))
    return "".join(c if c.isascii() and c.isprintable() and c not in "'\"\\" else "-" for c in bare) or "part"


def _owners(part: Part) -> dict[int, str]:
    """Name of the feature of every face, by the face's number."""
    faces, first = np.unique(part.face, return_index=True)
    return {int(face): part.features[feature] for face, feature in zip(faces, part.feature[first], strict=True)}
