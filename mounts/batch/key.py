"""Key of a part: the hash of all that decides it, so that equal keys mean equal parts."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from mounts.load.models.job import Job
from mounts.write.output import Wish

NOT_OF_THE_PART = {"file", "digest", "places", "glyphs"}  # the file, where values stand in it, the program's font


def key_of(job: Job, wish: Wish, program: str) -> str:
    """Return the key of a part: 64 hexadecimal digits.

    Args:
        job: one side of it, with everything looked up.
        wish: which files are wanted.
        program: mark of the program that makes it, see `program_mark`.
    """
    return hash_of({"job": to_plain(job), "wish": to_plain(wish), "program": program})


def hash_of(tree: object) -> str:
    """Return the SHA-256 of plain values, in hexadecimal digits."""
    text = json.dumps(tree, sort_keys=True, ensure_ascii=True, allow_nan=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def to_plain(value: Any) -> Any:
    """Return a value as plain lists, mappings, texts and numbers, each model under its own name.

    Raises:
        TypeError: for a value that has no such form, so that nothing is ever left out of a key by accident.
    """
    if isinstance(value, Enum | Path):
        return str(value)
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if isinstance(value, Mapping):
        return {str(name): to_plain(held) for name, held in value.items()}
    if isinstance(value, list | tuple):
        return [to_plain(item) for item in value]
    return {"": type(value).__name__, **{name: to_plain(getattr(value, name)) for name in _names(value)}}


def _names(value: object) -> list[str]:
    if isinstance(value, BaseModel):
        return list(type(value).model_fields)
    if is_dataclass(value):
        return [field.name for field in fields(value) if field.name not in NOT_OF_THE_PART]
    raise TypeError(f"{type(value).__name__} has no plain form")
