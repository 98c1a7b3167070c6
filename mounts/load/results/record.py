"""The record of a job that was built, read back: what it was made from, by which program, and what was found."""

from __future__ import annotations

import base64
import hashlib
import json
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, ValidationError

from mounts.errors import InputError, Problem
from mounts.load.models.base import Frozen, Name, Number, Text
from mounts.load.models.inputs import JobInputs
from mounts.load.parse.document import parse
from mounts.load.parse.units import quote_value

RECORD = "record.yaml"
SCHEMA = 1  # of a record; it rises when a key changes its meaning
MOST_BYTES = 20_000_000


class RecordedFile(Frozen):
    """One file that a job was made from: its text, or its bytes packed by zlib and base64 where it is no plain text."""

    sha256: Text
    text: str | None = None
    packed: str | None = None

    @property
    def contents(self) -> bytes:
        """The file's bytes; raise ValueError where they cannot be unpacked."""
        return (self.text or "").encode() if self.packed is None else zlib.decompress(base64.b64decode(self.packed))


class RecordedSize(Frozen):
    """One size to take with a caliper, as drawn, mm, and the property of the printer that it shows; "" for none."""

    drawn: Number
    shows: Text = ""


class RecordedPart(Frozen):
    """One part: SHA-256 of its STL file, what warns or fails, by code, and the sizes to take on the print."""

    stl: Text
    missed: dict[Name, Text] = Field(default={})
    sizes: dict[Name, RecordedSize] = Field(default={})


class Record(Frozen):
    """Record of a job that was built."""

    kind: Literal["record"]
    job: Name
    file: Text
    id: Text
    measured: Text = ""
    verdict: Text
    program: dict[Name, Text]
    parts: dict[str, RecordedPart]
    defaults: dict[str, Any] = Field(default={})
    own: Text
    files: dict[str, RecordedFile]

    @property
    def inputs(self) -> JobInputs:
        """Inputs of the job."""
        files = {key: one.contents for key, one in self.files.items()}
        return JobInputs(self.own, self.file, files, self.defaults, self.measured)


def inputs_id(files: Mapping[str, bytes], defaults: Mapping[str, Any]) -> str:
    """Return the first digits of a SHA-256 over everything that decides a part but the program."""
    mark = hashlib.sha256(json.dumps(defaults, sort_keys=True).encode())
    for key in sorted(files):
        mark.update(key.encode() + hashlib.sha256(files[key]).digest())
    return mark.hexdigest()[:8]


def read_record(path: Path) -> Record:
    """Return the record in a file.

    Raises:
        InputError: if it is none, is of another version, or was changed since it was written.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise InputError(Problem("is larger than 20 MB; no record of a job is", file=path))
        text = path.read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise InputError(Problem(f"cannot be read: {reason.lower()}", file=path)) from error
    data = dict(parse(text, path).data)
    if data.get("kind") != "record":
        raise InputError(Problem(f"is no record of a job; give the {RECORD} that build wrote", file=path))
    version = data.pop("schema", None)
    if version != SCHEMA:
        what = f"is a record of version {quote_value(version)}, and this program reads version {SCHEMA}"
        raise InputError(Problem(f"{what}; read it with the program that its key `program` names", file=path))
    try:
        found = Record.model_validate(data)
        wrong = [key for key, one in found.files.items() if hashlib.sha256(one.contents).hexdigest() != one.sha256]
    except (ValidationError, ValueError, zlib.error) as error:
        raise InputError(Problem("is damaged: it does not hold what a record holds", file=path)) from error
    if found.own not in found.files or not all(map(_is_inside, found.files)):
        raise InputError(Problem("is damaged: its files are not those of a job", file=path))
    if wrong or inputs_id(found.inputs.files, found.defaults) != found.id:
        what = f"was changed since it was written: {', '.join(wrong) or 'its defaults'}"
        raise InputError(Problem(f"{what}; take a copy as build wrote it", file=path))
    return found


def _is_inside(key: str) -> bool:
    """Return whether a file's key leads nowhere but into the record's own folders."""
    first, *rest = key.split("/")
    return (first == "here" or first.isdigit()) and bool(rest) and not {"", ".", ".."} & set(rest) and "\\" not in key
