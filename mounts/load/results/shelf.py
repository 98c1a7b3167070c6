"""Parts kept by earlier runs, read back and verified; `write/disk_cache.py` puts them there.

Mark of this program, which changes whenever anything does that could change a part.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Mapping
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from mounts.load.catalogue.cache import cache_root

PACKAGE = Path(__file__).resolve().parents[2]
KERNELS = ("cadquery", "cadquery-ocp", "manifold3d", "numpy")
DIGEST = 32  # bytes of SHA-256 before the contents


@lru_cache(maxsize=1)
def program_mark() -> str:
    """Return a SHA-256 over our own sources and data and the versions of what draws and measures."""
    mark = hashlib.sha256()
    for path in sorted(path for path in PACKAGE.rglob("*") if path.is_file() and path.suffix != ".pyc"):
        mark.update(path.relative_to(PACKAGE).as_posix().encode())
        mark.update(hashlib.sha256(path.read_bytes()).digest())
    for name, known in library_versions().items():
        mark.update(f"{name} {known}".encode())
    return mark.hexdigest()


def library_versions() -> dict[str, str]:
    """Return the version of each library that draws or measures."""
    return {name: _version(name) for name in KERNELS}


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "unknown"


def shelf_folder(program: str) -> Path:
    """Return the folder of a program's finished parts, in the person's own cache folder."""
    return cache_root() / "parts" / program[:16]


def shelf_file(folder: Path, key: str) -> Path:
    """Return the file of a key."""
    return folder / key[:2] / f"{key}.kept"


def seal(key: str, contents: bytes) -> bytes:
    """Return a file's bytes: a SHA-256 of key and contents, so that it fits no other key, and the contents."""
    return hashlib.sha256(key.encode() + contents).digest() + contents


def recall(folder: Path, key: str) -> bytes | None:
    """Return what is kept under a key; None when there is nothing, or others may write to the folder.

    Raises:
        ValueError: if it is there but damaged, or was kept under another key.
    """
    try:
        if not is_private(folder):
            return None
        held = shelf_file(folder, key).read_bytes()
    except OSError:
        return None
    if held != seal(key, contents := held[DIGEST:]):
        raise ValueError("damaged")
    return contents


def is_private(folder: Path) -> bool:
    """Return whether a folder is the person's own and writable by nobody else; true without file owners."""
    told = folder.stat()
    return not hasattr(os, "geteuid") or (told.st_uid == os.geteuid() and not told.st_mode & 0o022)


def holds_files(folder: Path, digests: Mapping[str, str]) -> bool:
    """Return whether a folder holds exactly these files: SHA-256 by name."""
    try:
        return all(
            hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest for name, digest in digests.items()
        )
    except OSError:
        return False


def old_beds(folder: Path, files: Iterable[str]) -> tuple[str, ...]:
    """Return the names of bed files in a kit's folder that are no longer among its files."""
    return tuple(sorted({path.name for path in folder.glob("bed-*.*")} - set(files)))
