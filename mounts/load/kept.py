"""What was read once from a folder of files, kept on disk by each file's name, size and time of change.

One file of tables that are read as they lie, without a parser: names, sizes, times, a record a file (JSON, read only
where it is asked for), and keys in rising order, each with the row that it belongs to. The tables have one checksum and
every record its own; what does not check is no longer there, and whoever asked reads the folder anew.
"""

from __future__ import annotations

import json
import os
from array import array
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from zlib import crc32

SETTLED = 2_000_000_000  # ns: a file changed so shortly before it was read may change again within the clock's grain
SUFFIX = ".yaml"

Stamp = tuple[int, int]  # size, and time of the last change in ns


class DamagedError(Exception):
    """What was kept does not check; it is of no use."""


@dataclass(frozen=True, slots=True, eq=False)
class Stamps:
    """Names without ending, sizes and times of the profiles in a folder."""

    names: Sequence[str]
    sizes: array[int]
    times: array[int]

    def by_name(self) -> dict[str, Stamp]:
        """Each file's stamp."""
        return dict(zip(self.names, zip(self.sizes, self.times, strict=True), strict=True))


@dataclass(frozen=True, slots=True)
class Row:
    """One file as it was read.

    Attributes:
        name: of the file, without its ending.
        stamp: of the file.
        record: what it says, as JSON.
        keys: by which it is found, whole numbers from 0 up to 2⁶⁴.
        beside: stamps of the other files that it was read from, by name.
    """

    name: str
    stamp: Stamp
    record: bytes
    keys: tuple[int, ...]
    beside: tuple[tuple[str, Stamp], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Kept:
    """The tables of one folder.

    Attributes:
        names: of the rows, as the disk lists them.
        sizes, times: of their files.
        starts, sums: where in `records` each record begins, one more than rows, and each one's checksum.
        keys, owners: keys in rising order, and the row of each.
        records: all of them.
        beside: stamps of other files, by row's name and their own.
        note: the version of what was read, and what of the folder matters as a whole.
    """

    names: Sequence[str]
    sizes: array[int]
    times: array[int]
    starts: array[int]
    sums: array[int]
    keys: array[int]
    owners: array[int]
    records: memoryview
    beside: Mapping[str, Sequence[tuple[str, Stamp]]]
    note: Mapping[str, Any]

    def record(self, row: int) -> Any:
        """What the file of a row says; raises DamagedError where that does not check."""
        return json.loads(self.raw(row))

    def raw(self, row: int) -> bytes:
        """The same as it lies on the disk."""
        raw = bytes(self.records[self.starts[row] : self.starts[row + 1]])
        if crc32(raw) != self.sums[row]:
            raise DamagedError
        return raw

    def row(self, name: str) -> int | None:
        """The row of a name, None when there is none."""
        return self.names.index(name) if name in self.names else None

    def between(self, low: int, high: int) -> tuple[array[int], array[int]]:
        """The keys from `low` up to but not including `high`, and the row of each."""
        part = slice(bisect_left(self.keys, low), bisect_left(self.keys, high))
        return self.keys[part], self.owners[part]

    def keys_of(self) -> list[list[int]]:
        """The keys of every row."""
        found: list[list[int]] = [[] for _ in self.names]
        for key, owner in zip(self.keys, self.owners, strict=True):
            found[owner].append(key)
        return found


def stamps(folder: Path) -> Stamps:
    """Stamps of every profile in a folder, as the disk lists them; none where there is no folder."""
    names, sizes, times = [], array("q"), array("q")
    with suppress(FileNotFoundError, NotADirectoryError), os.scandir(folder) as held:
        for entry in held:
            name = entry.name
            if name.endswith(SUFFIX) and "\n" not in name:
                told = entry.stat()
                names.append(name[: -len(SUFFIX)])
                sizes.append(told.st_size)
                times.append(told.st_mtime_ns)
    return Stamps(names, sizes, times)


def stamp_of(file: Path) -> Stamp:
    """Stamp of one file; of one that is not there, (−1, 0)."""
    try:
        told = file.stat()
    except OSError:
        return (-1, 0)
    return (told.st_size, told.st_mtime_ns)


def is_current(kept: Kept, now: Stamps, folder: Path) -> bool:
    """Whether every file is as it was when it was read."""
    if now.names != kept.names or now.sizes != kept.sizes or now.times != kept.times:
        return False  # at once where the disk lists the files as it did; whatever else is found out file by file
    settled = max(now.times, default=0) < kept.note["read"] - SETTLED
    return settled and not any(_is_stale(kept, name, folder) for name in kept.beside)


def unchanged(kept: Kept, now: Mapping[str, Stamp], folder: Path) -> dict[str, Row]:
    """The rows whose files are as they were, by name; raises DamagedError where their records do not check."""
    found: dict[str, Row] = {}
    keys = kept.keys_of()
    before = kept.note["read"] - SETTLED
    for row, name in enumerate(kept.names):
        stamp = (kept.sizes[row], kept.times[row])
        if now.get(name) == stamp and stamp[1] < before and not _is_stale(kept, name, folder):
            beside = tuple((other, (held[0], held[1])) for other, held in kept.beside.get(name, ()))
            found[name] = Row(name, stamp, kept.raw(row), tuple(keys[row]), beside)
    return found


def _is_stale(kept: Kept, name: str, folder: Path) -> bool:
    """Whether a file that a row was read from besides has changed."""
    return any(stamp_of(folder / other) != tuple(stamp) for other, stamp in kept.beside.get(name, ()))


def cache_file(folder: Path, what: str) -> Path:
    """Where what was read from a folder is kept; raises as `cache_root` does."""
    return cache_root() / f"{what}-{crc32(os.fsencode(folder.resolve())):08x}.kept"


def cache_root() -> Path:
    """The program's own folder in the user's cache, as the XDG base directory specification says.

    Raises:
        RuntimeError: where there is no home and XDG_CACHE_HOME is not an absolute path.
    """
    given = os.environ.get("XDG_CACHE_HOME", "")
    root = Path(given) if given and Path(given).is_absolute() else Path.home() / ".cache"
    return root / "mounts"
