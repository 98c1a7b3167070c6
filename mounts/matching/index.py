"""The index of a library's panels and jobs: read once, kept on disk, brought up to date file by file.

Panels are found by the triangles of their points, whose sides no motion, mirror or order changes; jobs by the panel
that they are for.

The keys by which a pattern is found among thousands: the sides of its triangles, in one whole number each.

A key holds the three sides in steps of 2 mm, the longest first, so that keys in rising order lie together where
triangles are alike; below that it holds each side's part of a step, so that what lies near by its steps alone is
refused without looking at its panel.
"""

from __future__ import annotations

import json
import os
import sqlite3
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any
from zlib import crc32

from mounts import __version__
from mounts.geometry.registration import Point, triangle_sides
from mounts.load.catalogue.cache import (
    SUFFIX,
    Stamp,
    cache_file,
    checksum,
    copy_tables,
    new_tables,
    read_stamps,
    read_tables,
    remove_rows,
    serialize_tables,
    stamp_of,
)
from mounts.load.catalogue.folders import FOLDERS
from mounts.load.catalogue.panel_summary import PanelSummary, as_tree, from_tree

STEP = 2.0  # mm
PARTS = 128  # of a step
STEP_BITS, PART_BITS = 11, 7  # of a side's steps (one of 1000 mm, the longest there is, has 500), and of its parts
Between = Callable[[int, int], Sequence[tuple[int, int]]]
STEPS, MASK = (1 << STEP_BITS) - 1, PARTS - 1
FORM = {"version": __version__, "form": 2, "known": [field.name for field in fields(PanelSummary)]}
SETTLED = 2_000_000_000  # ns: a file changed so shortly before it was read may change again within the clock's grain
CHAIN = 20  # jobs based on each other, at most, that are followed

Tell = Callable[[int, int], None]  # done, of how many


def panel_keys(known: PanelSummary) -> tuple[int, ...]:
    """Return the keys by which a panel is found, one a triangle."""
    return tuple({_key(sides, pins=known.pins) for sides in triangle_sides(known.pattern)})


def candidates(between: Between, points: Sequence[Point], tolerance: float, *, pins: bool) -> list[int]:
    """Return the rows that share a triangle with a pattern: all with three points alike, and some by chance.

    Args:
        between: the panels' keys in a range, each with its row.
        points: of the pattern.
        tolerance: by which a side may differ, mm.
        pins: whether they are pins.
    """
    found: set[int] = set()
    for sides in triangle_sides(points):
        a, b, c = (_steps(side, tolerance) for side in sides)
        for long in a:
            for middle in b:
                low, high = (_first((long, middle, short), pins=pins) for short in (c[0], c[-1] + 1))
                found.update(row for key, row in between(low, high) if _is_near(key, sides, tolerance))
    return sorted(found)


def _key(sides: Sequence[float], *, pins: bool) -> int:
    a, b, c = (int(side * PARTS / STEP) for side in sides)
    fine = ((a & MASK) << PART_BITS | b & MASK) << PART_BITS | c & MASK
    return _first((a >> PART_BITS, b >> PART_BITS, c >> PART_BITS), pins=pins) | fine


def _first(steps: Sequence[int], *, pins: bool) -> int:
    """Return the least key of the triangles whose sides lie in some steps."""
    a, b, c = steps
    coarse = ((int(pins) << STEP_BITS | a) << STEP_BITS | b) << STEP_BITS | c
    return coarse << 3 * PART_BITS


def _steps(side: float, tolerance: float) -> range:
    """Return the steps in which a side may lie; a side of 0, as in two points' triangle, has step 0."""
    if side == 0:
        return range(1)
    return range(int(max(side - tolerance, 0.0) / STEP), int((side + tolerance) / STEP) + 1)


def _is_near(key: int, sides: Sequence[float], tolerance: float) -> bool:
    """Return whether the sides in a key are those of a triangle, to parts of a step."""
    coarse, slack = key >> 3 * PART_BITS, tolerance + STEP / PARTS
    for number, side in enumerate(reversed(sides)):
        steps, parts = coarse >> STEP_BITS * number & STEPS, key >> PART_BITS * number & MASK
        if abs((steps * PARTS + parts) * STEP / PARTS - side) > slack:
            return False
    return True


@dataclass(frozen=True, slots=True)
class IndexRecord:
    """One file as it was read.

    Attributes:
        tree: what it says; None for what does not load.
        keys: by which it is found, whole numbers from 0 up to 2⁶³.
        beside: other files in its folder that it was read from.
    """

    tree: Mapping[str, Any] | None
    keys: Iterable[int] = ()
    beside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Index:
    """A library's panels, or its jobs.

    Attributes:
        tables: as `mounts.load.catalogue.cache` has them.
        trouble: why they could not be kept on disk; "" when they are.
    """

    tables: sqlite3.Connection
    trouble: str

    @property
    def sd(self) -> float:
        """The greatest standard deviation with which a panel's points were read, mm."""
        return float(self.tables.execute("SELECT sd FROM note").fetchone()[0])

    @property
    def count(self) -> int:
        """Number of files."""
        return int(self.tables.execute("SELECT count FROM note").fetchone()[0])

    def names(self, where: str = "") -> list[str]:
        """Return the names of the files, in the order of the disk when they were read."""
        return [os.fsdecode(name) for (name,) in self.tables.execute(f"SELECT name FROM files {where} ORDER BY row")]

    def broken(self) -> tuple[str, ...]:
        """Return the names of the files that do not load."""
        return tuple(self.names("WHERE record = 'null'"))

    def row(self, name: str) -> int | None:
        """Return the row of a name; None when there is none."""
        found = self.tables.execute("SELECT row FROM files WHERE name = ?", (os.fsencode(name),)).fetchone()
        return found and int(found[0])

    def known(self, row: int) -> PanelSummary | None:
        """Return the panel of a row; None for one that does not load."""
        tree = json.loads(self.tables.execute("SELECT record FROM files WHERE row = ?", (row,)).fetchone()[0])
        return from_tree(tree) if tree else None

    def between(self, low: int, high: int) -> list[tuple[int, int]]:
        """Return the keys from `low` up to but not including `high`, each with its row."""
        return self.tables.execute("SELECT key, row FROM keys WHERE key >= ? AND key < ?", (low, high)).fetchall()


def panels_of(root: Path, tell: Tell) -> Index:
    """Return the index of a library's panels, up to date.

    Args:
        root: the library's folder.
        tell: is called with how many files of how many are read, where any must be.
    """

    def read(file: Path) -> IndexRecord:
        from mounts.load.resolve.library import Library
        from mounts.load.resolve.summarise import drawings_beside, summarise_panel  # (only where files must be read)

        loaded = Library(root).load("panel", file)
        known = summarise_panel(loaded)
        beside = drawings_beside(loaded.document)
        return IndexRecord(as_tree(known), panel_keys(known), beside) if known else IndexRecord(None, (), beside)

    return _update_index(root, "panel", read, tell)


def jobs_of(root: Path, tell: Tell) -> Index:
    """Return the index of a library's jobs, up to date; each record holds what the job's own file says."""

    def read(file: Path) -> IndexRecord:
        from mounts.load.resolve.summarise import summarise_job

        return IndexRecord(summarise_job(file))

    return _update_index(root, "job", read, tell, finish=_key_by_panel)


def jobs_on(jobs: Index, panel: str) -> list[str]:
    """Return the names of the jobs for a panel, or for a key of `based_on`."""
    return jobs.names(f"WHERE row IN (SELECT row FROM keys WHERE key = {crc32(panel.encode())})")


def based_on(job: str) -> str:
    """Return the key, in place of a panel's, of jobs based on a job of another layer that names the panel."""
    return f"\0{job}"


def _update_index(
    root: Path,
    kind: str,
    read: Callable[[Path], IndexRecord],
    tell: Tell,
    *,
    finish: Callable[[sqlite3.Connection], None] | None = None,
) -> Index:
    """Return the cached tables after reading again the files that have changed, and cache them."""
    folder, begun = root / FOLDERS[kind], time.time_ns()
    now, note = read_stamps(folder), json.dumps({**FORM, "folder": os.fsencode(folder.resolve()).hex()})
    try:
        file: Path | None = cache_file(folder, FOLDERS[kind])
    except RuntimeError:
        file = None
    tables = read_tables(file) if file else None
    if tables is None or tables.execute("SELECT note FROM note").fetchone() != (note,):
        tables = new_tables()
    stale = _stale(tables, folder)
    if not stale and tables.execute("SELECT listed, settled FROM note").fetchone() == (checksum(now), 1):
        return Index(tables, "")
    tables = copy_tables(tables)
    tables.execute("BEGIN")
    settled = begun - SETTLED
    held = {
        os.fsdecode(name): row
        for row, name, size, changed in tables.execute("SELECT row, name, size, time FROM files")
        if now.get(os.fsdecode(name)) == (size, changed) and changed < settled and row not in stale
    }
    remove_rows(tables, {row for (row,) in tables.execute("SELECT row FROM files")} - set(held.values()))
    missing = [name for name in now if name not in held]
    for number, name in enumerate(missing):
        tell(number, len(missing))
        _insert_record(tables, folder, name, now[name], read(folder / f"{name}{SUFFIX}"))
    if missing:
        tell(len(missing), len(missing))
    if finish:
        finish(tables)
    quiet = max((changed for _, changed in now.values()), default=0) < settled
    tables.execute("DELETE FROM note")
    told = "INSERT INTO note SELECT ?, ?, ?, ifnull(max(sd), 0.0), count(*) FROM files"
    tables.execute(told, (note, checksum(now), int(quiet)))
    tables.execute("COMMIT")
    return Index(tables, _write_cache(file, serialize_tables(tables)))


def _stale(tables: sqlite3.Connection, folder: Path) -> set[int]:
    """Return the rows of files that depend on other files which have changed."""
    beside = tables.execute("SELECT row, name, size, time FROM beside")
    return {row for row, name, size, changed in beside if stamp_of(folder / os.fsdecode(name)) != (size, changed)}


def _insert_record(tables: sqlite3.Connection, folder: Path, name: str, stamp: Stamp, entry: IndexRecord) -> None:
    record = json.dumps(entry.tree, separators=(",", ":"))
    sd = (entry.tree or {}).get("sd")
    put = "INSERT INTO files (name, size, time, record, sd) VALUES (?, ?, ?, ?, ?)"
    row = tables.execute(put, (os.fsencode(name), *stamp, record, sd)).lastrowid
    tables.executemany("INSERT INTO keys VALUES (?, ?)", [(key, row) for key in set(entry.keys)])
    beside = [(row, os.fsencode(other), *stamp_of(folder / other)) for other in entry.beside]
    tables.executemany("INSERT INTO beside VALUES (?, ?, ?, ?)", beside)


def _write_cache(file: Path | None, content: bytes) -> str:
    """Publish the tables; return why that failed, which is no error, or ""."""
    from mounts.errors import FileError
    from mounts.write.disk_cache import make_private
    from mounts.write.files import publish

    if file is None:
        return "there is no home folder and no XDG_CACHE_HOME to keep it in"
    try:
        with suppress(OSError):  # publish says what is in the way
            make_private(file.parent)
        publish(file.parent, {file.name: content})
    except FileError as error:
        return str(error)
    return ""


def _key_by_panel(tables: sqlite3.Connection) -> None:
    """Give each job the key of its panel, which may stand in a job that it is based on."""
    held = tables.execute("SELECT row, name, record FROM files").fetchall()
    trees = {os.fsdecode(name): json.loads(record) or {} for _, name, record in held}
    panels = ((row, _panel(os.fsdecode(name), trees)) for row, name, _ in held)
    tables.execute("DELETE FROM keys")
    tables.executemany("INSERT INTO keys VALUES (?, ?)", [(crc32(p.encode()), row) for row, p in panels if p])


def _panel(name: str, trees: Mapping[str, Mapping[str, Any]]) -> str:
    """Return the name of the panel that a job is for; "" where none is found."""
    for _ in range(CHAIN):
        tree = trees.get(name, {})
        if "panel" in tree:
            return _stem(tree["panel"])
        if "based_on" not in tree:
            return ""
        name = _stem(tree["based_on"])
        if name not in trees:
            return based_on(name)
    return ""


def _stem(reference: str) -> str:
    return Path(reference).stem if reference.endswith(SUFFIX) else reference
