"""The index of a library's panels and jobs: read once, kept on disk, brought up to date file by file.

Panels are found by the triangles of their points, whose sides no motion, mirror or order changes; jobs by the panel
that they are for.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from zlib import crc32

from mounts import __version__
from mounts.load.folders import FOLDERS
from mounts.load.kept import (
    SUFFIX,
    DamagedError,
    Kept,
    Row,
    Stamp,
    cache_file,
    is_current,
    stamp_of,
    stamps,
    unchanged,
)
from mounts.load.known import Known, as_tree, from_tree
from mounts.load.packed import opened, packed, unpacked
from mounts.matching.keys import panel_keys

NOTE = {"version": __version__, "format": 3}
CHAIN = 20  # jobs based on each other, at most, that are followed

Tell = Callable[[int, int], None]  # done, of how many


@dataclass(frozen=True, slots=True)
class Index:
    """A library's panels, or its jobs.

    Attributes:
        kept: the tables.
        sd: the greatest standard deviation with which a panel's points were read, mm.
        trouble: why they could not be kept on disk; "" when they are.
    """

    kept: Kept
    sd: float
    trouble: str

    def known(self, row: int) -> Known | None:
        """The panel of a row; None for one that does not load."""
        tree = self.kept.record(row)
        return from_tree(tree) if tree else None


def panels_of(root: Path, tell: Tell, *, anew: bool = False) -> Index:
    """The index of a library's panels, up to date.

    Args:
        root: the library's folder.
        tell: is told how many files of how many are read, where any must be.
        anew: whether everything is read again.
    """

    def row(name: str, stamp: Stamp) -> Row:
        from mounts.load.knowing import known_of, names_beside  # noqa: PLC0415 (only where files must be read)
        from mounts.load.library import Library  # noqa: PLC0415

        loaded = Library(root).load("panel", root / FOLDERS["panel"] / f"{name}{SUFFIX}")
        known = known_of(loaded)
        beside = tuple((other, stamp_of(root / FOLDERS["panel"] / other)) for other in names_beside(loaded.document))
        record = json.dumps(as_tree(known) if known else None, separators=(",", ":")).encode()
        return Row(name, stamp, record, panel_keys(known) if known else (), beside)

    return _up_to_date(root, "panel", row, tell, anew=anew)


def jobs_of(root: Path, tell: Tell, *, anew: bool = False) -> Index:
    """The index of a library's jobs, up to date; each record is what the job's own file says."""

    def row(name: str, stamp: Stamp) -> Row:
        from mounts.load.knowing import job_tree  # noqa: PLC0415

        tree = job_tree(root / FOLDERS["job"] / f"{name}{SUFFIX}")
        return Row(name, stamp, json.dumps(tree, separators=(",", ":")).encode(), ())

    return _up_to_date(root, "job", row, tell, anew=anew, finish=_for_panels)


def jobs_on(jobs: Index, panel: str) -> list[tuple[str, Mapping[str, Any]]]:
    """Names of the jobs for a panel, each with what its file says."""
    key = crc32(panel.encode())
    return [(jobs.kept.names[row], jobs.kept.record(row)) for row in jobs.kept.between(key, key + 1)[1]]


def _up_to_date(
    root: Path,
    kind: str,
    row: Callable[[str, Stamp], Row],
    tell: Tell,
    *,
    anew: bool,
    finish: Callable[[Iterable[Row]], Iterable[Row]] | None = None,
) -> Index:
    """What is kept, or what is kept with those files read again that have changed, and kept so."""
    folder, read = root / FOLDERS[kind], time.time_ns()
    found = stamps(folder)
    try:
        file: Path | None = cache_file(folder, FOLDERS[kind])
    except RuntimeError:
        file = None
    note = {**NOTE, "folder": str(folder.resolve())}
    kept = opened(file, note) if file and not anew else None
    if kept and is_current(kept, found, folder):
        return Index(kept, kept.note["sd"], "")
    now = found.by_name()
    rows = _still_good(kept, now, folder) if kept else {}
    missing = [name for name in now if name not in rows]
    for number, name in enumerate(missing):
        tell(number, len(missing))
        rows[name] = row(name, now[name])
    if missing:
        tell(len(missing), len(missing))
    listed = [rows[name] for name in found.names]
    done = tuple(finish(listed) if finish else listed)
    trees = [json.loads(one.record) for one in done]
    sd = max((tree["sd"] for tree in trees if tree and "sd" in tree), default=0.0)
    content = packed(done, {**note, "sd": sd}, read)
    return Index(unpacked(content), sd, _keep(file, content))


def _still_good(kept: Kept, now: Mapping[str, Stamp], folder: Path) -> dict[str, Row]:
    try:
        return unchanged(kept, now, folder)
    except DamagedError:
        return {}


def _keep(file: Path | None, content: bytes) -> str:
    from mounts.write.kept import keep  # noqa: PLC0415

    return keep(file, content) if file else "there is no home folder and no XDG_CACHE_HOME to keep it in"


def _for_panels(rows: Iterable[Row]) -> Iterable[Row]:
    """Jobs with the key of their panel, which may stand in a job that they are based on."""
    held = {row.name: (row, json.loads(row.record) or {}) for row in rows}
    trees = {name: tree for name, (_, tree) in held.items()}
    for name, (row, _) in held.items():
        panel = _panel(name, trees)
        yield replace(row, keys=(crc32(panel.encode()),) if panel else ())


def _panel(name: str, trees: Mapping[str, Mapping[str, Any]]) -> str:
    """Name of the panel that a job is for; "" where none is found."""
    for _ in range(CHAIN):
        tree = trees.get(name, {})
        if "panel" in tree:
            return _stem(tree["panel"])
        if "based_on" not in tree:
            return ""
        name = _stem(tree["based_on"])
    return ""


def _stem(reference: str) -> str:
    return Path(reference).stem if reference.endswith(SUFFIX) else reference
