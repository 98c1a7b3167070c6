"""Keeps finished parts between runs: whole or not at all, and never more than a certain room.

Two runs may keep the same thing at once: each writes a file of its own and renames it, and both hold the same.
"""

from __future__ import annotations

import os
import secrets
import shutil
from contextlib import suppress
from pathlib import Path

from mounts.errors import FileError
from mounts.load.results.shelf import seal, shelf_file
from mounts.write.files import LEFT

UNUSED = 7 * 24 * 3600.0  # s after which what another version kept goes
CACHE_BYTES = 2_000_000_000  # bytes in all: some thousand parts


def keep(folder: Path, key: str, contents: bytes, most: int = CACHE_BYTES) -> None:
    """Keep contents under a key; what was not used for longest goes when there is more than `most` bytes.

    Raises:
        FileError: if it cannot be written; what was kept before is still there.
    """
    target = shelf_file(folder, key)
    spare = target.with_name(f".{secrets.token_hex(8)}.part")
    try:
        make_private(folder)
        target.parent.mkdir(exist_ok=True)
        try:
            spare.write_bytes(seal(key, contents))
            spare.replace(target)
        finally:
            spare.unlink(missing_ok=True)
    except OSError as trouble:
        reason = (trouble.strerror or str(trouble)).lower()
        raise FileError(f"nothing can be kept for the next run in {folder}: {reason}") from trouble
    _evict(folder, most, target)


def make_private(folder: Path) -> None:
    """Make a folder that only its owner may enter, with those above it, as the XDG specification wants a cache to be.

    Raises:
        OSError: if it cannot be made, or is somebody else's.
    """
    for place in reversed([place for place in (folder, *folder.parents) if not place.is_dir()]):
        place.mkdir(0o700, exist_ok=True)
    if folder.stat().st_mode & 0o077:
        folder.chmod(0o700)


def mark_used(folder: Path, key: str) -> None:
    """Note that what is kept under a key was used, so that it stays longest."""
    with suppress(OSError):
        os.utime(shelf_file(folder, key))


def drop(folder: Path, key: str) -> None:
    """Forget what is kept under a key."""
    with suppress(OSError):
        shelf_file(folder, key).unlink()


def _evict(folder: Path, most: int, newest: Path) -> None:
    """Remove the oldest until the rest fits, leftovers of runs that were killed, and what other versions kept.

    Another run may do so as well. Ages are by the clock that dates the files, which may be a server's.
    """
    try:
        now = newest.stat().st_mtime
    except OSError:  # another run has removed it
        return
    held: list[tuple[float, int, Path]] = []
    for path in folder.glob("*/*"):
        with suppress(OSError):
            told = path.stat()
            if path.suffix == ".part" and told.st_mtime < now - LEFT:
                path.unlink()
                continue
            held.append((told.st_mtime, told.st_size, path))
    room = sum(size for _, size, _ in held)
    for _, size, path in sorted(held):
        if room <= most:
            break
        if path != newest:
            with suppress(OSError):
                path.unlink()
                room -= size
    _evict_versions(folder, now)


def _evict_versions(folder: Path, now: float) -> None:
    """Remove the folders of other versions that were not used for a week; they lie beside this one's."""
    for other in folder.parent.iterdir() if folder.parent.name == "parts" else ():
        with suppress(OSError):
            last = max(path.stat().st_mtime for path in (other, *other.glob("*/*")))
            if other != folder and last < now - UNUSED:
                shutil.rmtree(other)
