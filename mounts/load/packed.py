"""What is kept as the bytes of a file, and back: tables that are read as they lie, every byte under a checksum."""

from __future__ import annotations

import json
import sys
import time
from array import array
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any
from zlib import crc32

from mounts.load.kept import DamagedError, Kept, Row

MAGIC = b"mounts kept 2 " + sys.byteorder.encode() + b"\n"


def packed(rows: Iterable[Row], note: Mapping[str, Any], read: int | None = None) -> bytes:
    """The tables of some rows as the bytes of a file.

    Args:
        rows: in the order in which the disk lists their files.
        note: what `opened` must find there again.
        read: when the files were looked at, in ns since 1970; now when not given.
    """
    ordered = tuple(rows)
    keyed = sorted((key, number) for number, row in enumerate(ordered) for key in row.keys)
    starts = array("Q", [0])
    for row in ordered:
        starts.append(starts[-1] + len(row.record))
    head = {
        "note": {**note, "read": time.time_ns() if read is None else read},
        "rows": len(ordered),
        "keys": len(keyed),
        "beside": {row.name: row.beside for row in ordered if row.beside},
    }
    names = "\n".join(row.name for row in ordered).encode("utf-8", "surrogateescape")
    tables = [
        array("q", [row.stamp[0] for row in ordered]),
        array("q", [row.stamp[1] for row in ordered]),
        starts,
        array("I", [crc32(row.record) for row in ordered]),
        array("Q", [key for key, _ in keyed]),
        array("I", [number for _, number in keyed]),
    ]
    told = json.dumps(head).encode()
    lengths = array("Q", [len(told), len(names)])
    checked = b"".join([lengths.tobytes(), told, names, *(table.tobytes() for table in tables)])
    total = array("Q", [len(checked), crc32(checked)])
    return b"".join([MAGIC, total.tobytes(), checked, *(row.record for row in ordered)])


def opened(file: Path, note: Mapping[str, Any]) -> Kept | None:
    """What is kept in a file; None where there is none, where it does not check, or where its note is another."""
    try:
        kept = unpacked(file.read_bytes())
        return kept if {key: kept.note[key] for key in note} == dict(note) else None
    except (OSError, DamagedError, ValueError, KeyError, TypeError, IndexError, EOFError):
        return None


def unpacked(raw: bytes) -> Kept:
    """The tables in the bytes of a file; raises DamagedError or another error where they do not check."""
    if not raw.startswith(MAGIC):
        raise DamagedError
    begin = len(MAGIC) + 16
    length, total = array("Q", raw[len(MAGIC) : begin])
    view = memoryview(raw)
    checked, records = view[begin : begin + length], view[begin + length :]
    if len(checked) != length or crc32(checked) != total:
        raise DamagedError
    head_size, names_size = array("Q", bytes(checked[:16]))
    told = json.loads(bytes(checked[16 : 16 + head_size]))
    names = bytes(checked[16 + head_size : 16 + head_size + names_size]).decode("utf-8", "surrogateescape")
    rows, keys = told["rows"], told["keys"]
    kinds = (("q", rows), ("q", rows), ("Q", rows + 1), ("I", rows), ("Q", keys), ("I", keys))
    sizes, times, starts, sums, held, owners = _tables(checked[16 + head_size + names_size :], kinds)
    listed = names.split("\n") if rows else []
    if starts[-1] != len(records) or len(listed) != rows:
        raise DamagedError
    return Kept(listed, sizes, times, starts, sums, held, owners, records, told["beside"], told["note"])


def _tables(view: memoryview, kinds: Iterable[tuple[str, int]]) -> Iterator[array[int]]:
    """Tables that lie one behind the other, each of a type code and so many entries."""
    at = 0
    for code, count in kinds:
        table: array[int] = array(code)
        size = table.itemsize * count
        table.frombytes(view[at : at + size])
        if len(table) != count:
            raise DamagedError
        at += size
        yield table
