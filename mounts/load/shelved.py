"""What earlier runs kept, read back and verified; `write/shelved.py` puts it there."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from pathlib import Path

from mounts.load.kept import cache_root

DIGEST = 32  # bytes of SHA-256 before the contents


def kept_folder() -> Path:
    """Where finished parts are kept between runs: the person's own cache folder."""
    return cache_root() / "parts"


def kept_file(folder: Path, key: str) -> Path:
    """The file that holds what is kept under a key."""
    return folder / key[:2] / f"{key}.kept"


def recalled(folder: Path, key: str) -> bytes | None:
    """What is kept under a key; None when there is nothing.

    Raises:
        ValueError: if it is there but damaged.
    """
    try:
        held = kept_file(folder, key).read_bytes()
    except OSError:
        return None
    if hashlib.sha256(held[DIGEST:]).digest() != held[:DIGEST]:
        raise ValueError("damaged")
    return held[DIGEST:]


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
