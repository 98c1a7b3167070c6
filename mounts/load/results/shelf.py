"""What earlier runs kept, read back and verified; `write/shelved.py` puts it there."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Mapping
from pathlib import Path

from mounts.load.catalogue.cache import cache_root

DIGEST = 32  # bytes of SHA-256 before the contents


def kept_folder(program: str) -> Path:
    """Where finished parts of a program are kept between runs: in the person's own cache folder."""
    return cache_root() / "parts" / program[:16]


def kept_file(folder: Path, key: str) -> Path:
    """The file that holds what is kept under a key."""
    return folder / key[:2] / f"{key}.kept"


def sealed(key: str, contents: bytes) -> bytes:
    """The bytes of such a file: a digest of key and contents, so that it holds under no other key, and the contents."""
    return hashlib.sha256(key.encode() + contents).digest() + contents


def recalled(folder: Path, key: str) -> bytes | None:
    """What is kept under a key; None when there is nothing, or somebody else may write there.

    Raises:
        ValueError: if it is there but damaged, or was kept under another key.
    """
    try:
        if not is_private(folder):
            return None
        held = kept_file(folder, key).read_bytes()
    except OSError:
        return None
    if held != sealed(key, contents := held[DIGEST:]):
        raise ValueError("damaged")
    return contents


def is_private(folder: Path) -> bool:
    """Whether a folder is one's own and nobody else may write into it; where the system knows no owners, it is."""
    told = folder.stat()
    return not hasattr(os, "geteuid") or (told.st_uid == os.geteuid() and not told.st_mode & 0o022)


def stands(folder: Path, digests: Mapping[str, str]) -> bool:
    """Whether a folder holds these very files: SHA-256 by name."""
    try:
        return all(
            hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest for name, digest in digests.items()
        )
    except OSError:
        return False


def old_beds(folder: Path, files: Iterable[str]) -> tuple[str, ...]:
    """Names of the beds in a kit's folder that are not among its files any more."""
    return tuple(sorted({path.name for path in folder.glob("bed-*.*")} - set(files)))
