"""Tables of what was read once from a folder of files: a SQLite database, kept in the user's cache as one file.

A file is known by name, size and time of change. The database is never changed in its place but replaced as a whole,
so that a reader needs no lock and two programs at once disturb nobody. SQLite does not notice changed bytes; the
header's `user_version` therefore holds a checksum of all others.
"""

from __future__ import annotations

import os
import sqlite3
from array import array
from collections.abc import Iterable, Mapping
from contextlib import suppress
from itertools import chain
from mmap import ACCESS_READ, mmap
from pathlib import Path
from zlib import crc32

SUFFIX = ".yaml"
SUM = slice(60, 64)  # bytes of user_version: https://www.sqlite.org/fileformat2.html, 1.3 "The Database Header"
TABLES = """
CREATE TABLE note (note TEXT, listed INTEGER, settled INTEGER, sd REAL, count INTEGER);
CREATE TABLE files (row INTEGER PRIMARY KEY, name BLOB UNIQUE, size INTEGER, time INTEGER, record TEXT, sd REAL);
CREATE TABLE keys (key INTEGER, row INTEGER, PRIMARY KEY (key, row)) WITHOUT ROWID;
CREATE INDEX broken ON files (row) WHERE record = 'null';
CREATE TABLE beside (row INTEGER, name BLOB, size INTEGER, time INTEGER);
"""

Stamp = tuple[int, int]  # size, and time of the last change in ns


def read_stamps(folder: Path) -> dict[str, Stamp]:
    """Return size and time of every profile in a folder, by name without ending; none where there is no folder."""
    found = {}
    with suppress(FileNotFoundError, NotADirectoryError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.endswith(SUFFIX):
                stat = entry.stat()
                found[entry.name[: -len(SUFFIX)]] = (stat.st_size, stat.st_mtime_ns)
    return found


def stamp_of(file: Path) -> Stamp:
    """Return size and time of one file; (−1, 0) for one that is not there."""
    try:
        stat = file.stat()
    except OSError:
        return (-1, 0)
    return (stat.st_size, stat.st_mtime_ns)


def checksum(listed: Mapping[str, Stamp]) -> int:
    """Return a checksum of a folder's listing, in the order of the disk."""
    numbers = array("q", chain.from_iterable(listed.values()))
    return crc32(numbers.tobytes(), crc32(os.fsencode("/".join(listed))))


def new_tables() -> sqlite3.Connection:
    """Return empty tables, in memory."""
    tables = sqlite3.connect(":memory:", isolation_level=None)
    tables.executescript(TABLES)
    return tables


def read_tables(file: Path) -> sqlite3.Connection | None:
    """Return the tables in a file, to be read; None where there are none or a byte of them is wrong."""
    try:
        with file.open("rb") as opened, mmap(opened.fileno(), 0, access=ACCESS_READ) as content:
            if int.from_bytes(content[SUM], "big") != _sum(content):
                return None
        return sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro&immutable=1", isolation_level=None, uri=True)
    except (OSError, ValueError, sqlite3.Error):  # a ValueError for an empty file
        return None


def copy_tables(tables: sqlite3.Connection) -> sqlite3.Connection:
    """Return the same tables in memory, where they can be changed; the ones given are closed."""
    copy = sqlite3.connect(":memory:", isolation_level=None)
    tables.backup(copy)
    tables.close()
    return copy


def serialize_tables(tables: sqlite3.Connection) -> bytes:
    """Return the tables as a file holds them."""
    content = tables.serialize()
    return b"".join([content[: SUM.start], _sum(content).to_bytes(4, "big"), content[SUM.stop :]])


def remove_rows(tables: sqlite3.Connection, rows: Iterable[int]) -> None:
    """Remove files with all that belongs to them."""
    held = [(row,) for row in rows]
    tables.execute("CREATE TEMP TABLE gone (row INTEGER PRIMARY KEY)")
    tables.executemany("INSERT INTO gone VALUES (?)", held)
    for table in ("files", "keys", "beside"):
        tables.execute(f"DELETE FROM {table} WHERE row IN (SELECT row FROM gone)")
    tables.execute("DROP TABLE gone")


def _sum(content: bytes | mmap) -> int:
    with memoryview(content) as view, view[: SUM.start] as before, view[SUM.stop :] as after:
        return crc32(after, crc32(before))


def cache_file(folder: Path, what: str) -> Path:
    """Return the file that keeps what was read from a folder; raises as `cache_root` does."""
    return cache_root() / f"{what}-{crc32(os.fsencode(folder.resolve())):08x}.sqlite"


def cache_root() -> Path:
    """Return the program's own folder in the user's cache, as the XDG base directory specification says.

    Raises:
        RuntimeError: where there is no home and XDG_CACHE_HOME is not an absolute path.
    """
    given = os.environ.get("XDG_CACHE_HOME", "")
    root = Path(given) if given and Path(given).is_absolute() else Path.home() / ".cache"
    return root / "mounts"
