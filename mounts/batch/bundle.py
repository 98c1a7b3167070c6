"""A finished part as plain values and bytes: what a worker sends home, and what is kept for the next run.

It is one zip file: `manifest.json` with the part's report and the SHA-256 of each file, the files under `files/`, and
its mesh in print pose as two arrays of numpy's own plain format, and what papers need of it. Nothing in it is code.

Frozen values as plain JSON and back, each under the name of its type; only types that are listed come back.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, is_dataclass
from enum import Enum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.findings.report import PartReport
from mounts.load.results.report import parse_part_report
from mounts.write.report import part_tree

TYPE = ""  # the key under which a value's type stands; no field has that name
MANIFEST = "manifest.json"
ARRAYS = ("vertices.npy", "triangles.npy")
_DATE = (1980, 1, 1, 0, 0, 0)  # so that the same part gives the same bytes, whenever it was made
_EFFORT = 3  # of the packing: a STEP file shrinks to a fifth of itself; more effort gains little

Solid = tuple[NDArray[np.float64], NDArray[np.int64]]  # vertices (n, 3) mm in print pose, triangles (m, 3)


def encode(value: Any) -> Any:
    """Encode a value of frozen dataclasses, enumerations, tuples, texts and numbers as plain JSON.

    Raises:
        TypeError: for any other value.
    """
    if isinstance(value, Enum):
        return {TYPE: _type_name(type(value)), "value": value.value}
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if isinstance(value, tuple | list):
        return [encode(item) for item in value]
    if is_dataclass(value) and not isinstance(value, type):
        return {TYPE: _type_name(type(value))} | {one.name: encode(getattr(value, one.name)) for one in fields(value)}
    raise TypeError(f"{type(value).__name__} cannot be encoded")


def decode(tree: Any, types: Sequence[type]) -> Any:
    """Return the value that `encode` was given; lists come back as tuples.

    Args:
        tree: plain JSON.
        types: that may occur in it.

    Raises:
        KeyError, TypeError, ValueError: if it is anything else.
    """
    return _decode(tree, {_type_name(one): one for one in types})


def _type_name(kind: type) -> str:
    """Return a type's name with its module, since names may repeat."""
    return f"{kind.__module__}.{kind.__name__}"


def _decode(tree: Any, types: Mapping[str, Any]) -> Any:
    if isinstance(tree, list):
        return tuple(_decode(item, types) for item in tree)
    if isinstance(tree, dict):
        held = {key: _decode(value, types) for key, value in tree.items() if key != TYPE}
        return types[tree[TYPE]](**held)
    return tree


@dataclass(frozen=True, slots=True, eq=False)
class Bundle:
    """One part of a batch, finished.

    Attributes:
        job: name of the job.
        report: of the part, with the names of its files.
        digests: SHA-256 of each file, by its name.
        packed: the whole of it as bytes.
    """

    job: str
    report: PartReport
    digests: Mapping[str, str]
    packed: bytes = field(repr=False)

    def files(self) -> dict[str, bytes]:
        """Return names and contents of all its files."""
        with zipfile.ZipFile(io.BytesIO(self.packed)) as archive:
            return {name: archive.read(f"files/{name}") for name in self.digests}

    def solid(self) -> Solid | None:
        """Return its mesh in print pose; None where it has none."""
        with zipfile.ZipFile(io.BytesIO(self.packed)) as archive:
            if ARRAYS[0] not in archive.namelist():
                return None
            vertices, triangles = (np.load(io.BytesIO(archive.read(name)), allow_pickle=False) for name in ARRAYS)
            return vertices, triangles

    def beside(self, name: str) -> bytes | None:
        """Return what was put beside its files under a name; None where nothing was."""
        with zipfile.ZipFile(io.BytesIO(self.packed)) as archive:
            return archive.read(f"beside/{name}") if f"beside/{name}" in archive.namelist() else None


def pack_bundle(
    job: str,
    report: PartReport,
    files: Mapping[str, bytes],
    solid: Solid | None,
    beside: Mapping[str, bytes] | None = None,
) -> Bundle:
    """Bundle a part's report, files and mesh with what else is needed of it later."""
    digests = {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}
    tree = {"job": job, "report": part_tree(report), "digests": digests}
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        _write_entry(archive, MANIFEST, json.dumps(tree, allow_nan=False).encode())
        for name, content in files.items():
            _write_entry(archive, f"files/{name}", content)
        for name, content in (beside or {}).items():
            _write_entry(archive, f"beside/{name}", content)
        for name, array in zip(ARRAYS, solid or (), strict=False):
            held = io.BytesIO()
            np.save(held, array, allow_pickle=False)
            _write_entry(archive, name, held.getvalue())
    return Bundle(job, report, digests, stream.getvalue())


def unpack_bundle(packed: bytes) -> Bundle:
    """Return a bundle from its bytes.

    Raises:
        ValueError: if they are none, or one of its files is missing.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(packed)) as archive:
            tree = json.loads(archive.read(MANIFEST))
            held = set(archive.namelist())
        if missing := [name for name in tree["digests"] if f"files/{name}" not in held]:
            raise KeyError(missing[0])
        return Bundle(str(tree["job"]), parse_part_report(tree["report"]), dict(tree["digests"]), packed)
    except (
        zipfile.BadZipFile,
        zlib.error,
        KeyError,
        TypeError,
        AttributeError,
        EOFError,
        NotImplementedError,
    ) as error:
        raise ValueError(f"no bundle of a part: {error}") from error


def _write_entry(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
    entry = zipfile.ZipInfo(name, _DATE)
    entry.compress_type, entry.create_system = zipfile.ZIP_DEFLATED, 3
    archive.writestr(entry, content, compresslevel=_EFFORT)
