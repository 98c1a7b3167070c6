"""The store of finished parts, read by `load/results/shelf.py` and written by `write/disk_cache.py`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from mounts.errors import FileError
from mounts.load.results.shelf import recall
from mounts.write.disk_cache import drop, keep, mark_used


class Shelf:
    """A folder of finished parts. Trouble with it never stops a batch: then the part is made again, or not kept."""

    def __init__(self, folder: Path, tell: Callable[[str], None], *, fresh: bool = False) -> None:
        """Open the store.

        Args:
            folder: need not be there yet.
            tell: is given a sentence when something is wrong with it.
            fresh: whether what is kept is left alone and everything made anew.
        """
        self._folder, self._tell, self._fresh = folder, tell, fresh
        self._full = False

    def recall(self, key: str) -> bytes | None:
        """Return what is kept under a key, verified; None when there is nothing sound."""
        if self._fresh:
            return None
        try:
            found = recall(self._folder, key)
        except ValueError:
            self._tell("a part kept from an earlier run is damaged; it is made again")
            drop(self._folder, key)
            return None
        if found is not None:
            mark_used(self._folder, key)
        return found

    def keep(self, key: str, packed: bytes) -> None:
        """Keep a part; report once where that fails."""
        try:
            keep(self._folder, key, packed)
        except FileError as error:
            if not self._full:
                self._tell(f"{error}; this run goes on without")
            self._full = True
