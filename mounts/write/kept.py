"""Keeping what was read, in the user's cache: the only writer there."""

from __future__ import annotations

from pathlib import Path

from mounts.errors import FileError
from mounts.write.files import publish


def keep(file: Path, content: bytes) -> str:
    """Puts a file in its place whole, so that another run reads the old one or the new one and never half of it.

    Returns:
        Why it could not be kept, which stops nobody; empty when it was.
    """
    try:
        publish(file.parent, {file.name: content})
    except FileError as error:
        return str(error)
    return ""
