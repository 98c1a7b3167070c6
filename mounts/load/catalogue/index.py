"""List of what a library holds: quick, since what files say is kept until they change.

Each folder's list is one JSON file in the person's cache. Files are checked for what they mean by `listing` alone.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, NamedTuple
from zlib import crc32

from mounts import __version__
from mounts.errors import FileError, Problem
from mounts.load.catalogue.cache import cache_root
from mounts.load.catalogue.folders import FOLDERS, is_path, label_of, read_kind, same_name, short_path, yaml_files
from mounts.load.catalogue.layers import Layers

FORMAT = [__version__, 1]
SETTLED = 2_000_000_000  # ns: a file changed so shortly before it was read may change again within the clock's grain
DEEPEST = 8  # jobs that are based on one another, of which texts are looked for


@dataclass(frozen=True, slots=True)
class LibraryEntry:
    """One thing that a library holds.

    Attributes:
        kind: panel, speaker, material, printer, hardware, port, device, job or kit.
        name: by which a job refers to it; of a hardware file that cannot be read, the file's.
        about: what it is, in a few words.
        file: the file that holds it.
        problems: why it does not load, as far as was looked; none when it does.
        vehicle, date: of a job or a kit, as its file says.
        measured: of a panel, who measured it, when and how well.
        marks: by what it can be asked for: place, holes, pins, size (mm), each with its value where the file says so.
        layer: what its layer is called.
        hides: files of lower layers that have something of the same kind and name.
    """

    kind: str
    name: str
    about: str
    file: Path
    problems: tuple[Problem, ...] = ()
    vehicle: str = ""
    date: str = ""
    measured: str = ""
    marks: tuple[tuple[str, str | float], ...] = ()
    layer: str = ""
    hides: tuple[Path, ...] = ()


class LibraryRow(NamedTuple):
    """Row of the list: all that is kept of one thing in a file."""

    name: str
    about: str
    vehicle: str = ""
    date: str = ""
    measured: str = ""
    marks: Sequence[Sequence[Any]] = ()
    based_on: str = ""


Held = tuple[Path, Sequence[LibraryRow], tuple[Problem, ...]]  # a file, what it holds, and what is wrong with it


def list_entries(layers: Layers, kinds: Iterable[str] = FOLDERS, here: Path | None = None) -> tuple[LibraryEntry, ...]:
    """Return everything in a library, or only some kinds of it, by kind and then by name; hardware item by item.

    Problems are only those of reading the files; `listing.entries` looks for all of them.

    Args:
        layers: the library.
        kinds: kinds to list.
        here: a folder whose own files lie over the library, whatever their kinds.
    """
    loose = _files_here(layers, here) if here else {}
    return tuple(entry for kind in kinds for entry in _of_kind(layers, kind, loose.get(kind, ())))


def merge_layers(found: Iterable[LibraryEntry], *, by_file: bool = False) -> list[LibraryEntry]:
    """Return entries of one kind, the topmost layer's first, each with what it hides and without what is hidden."""
    top: dict[str, LibraryEntry] = {}
    kept: list[LibraryEntry] = []
    hidden: dict[str, list[Path]] = {}
    for entry in found:
        first = top.setdefault(same_name(entry.name), entry)
        if first.layer == entry.layer:
            kept.append(entry)
        else:
            hidden.setdefault(same_name(entry.name), []).append(entry.file)
    whole = [
        replace(entry, hides=tuple(hidden[same_name(entry.name)])) if same_name(entry.name) in hidden else entry
        for entry in kept
    ]
    return whole if by_file else sorted(whole, key=lambda entry: entry.name)


def _of_kind(layers: Layers, kind: str, loose: Sequence[Held]) -> list[LibraryEntry]:
    places: list[tuple[str, Iterable[Held]]] = [("here", loose)] if loose else []
    places += [(label_of(root), _read_folder(root, root / FOLDERS[kind], kind)) for root in layers.roots]
    found: list[tuple[LibraryEntry, str]] = []
    for label, held in places:
        for file, rows, problems in held:
            for row in rows:
                marks = tuple((mark[0], mark[1]) for mark in row.marks)
                entry = LibraryEntry(
                    kind, row.name, row.about, file, problems, row.vehicle, row.date, row.measured, marks, label
                )
                found.append((entry, row.based_on))
    if kind == "job":
        entries: Iterable[LibraryEntry] = _inherit_vehicle(found)
    else:
        entries = (entry for entry, _ in found)
    return merge_layers(entries, by_file=kind == "hardware")


def _inherit_vehicle(found: Sequence[tuple[LibraryEntry, str]]) -> Iterator[LibraryEntry]:
    """Yield the jobs, each with vehicle and date, if need be from the job that it is based on."""
    by_name = {entry.name: (entry, base) for entry, base in reversed(found)}
    for entry, base in found:
        vehicle, date, name = entry.vehicle, entry.date, base
        for _ in range(DEEPEST):
            if (vehicle and date) or is_path(name) or name not in by_name:
                break
            other, name = by_name[name]
            vehicle, date = vehicle or other.vehicle, date or other.date
        yield replace(entry, vehicle=vehicle, date=date) if (vehicle, date) != (entry.vehicle, entry.date) else entry


def _files_here(layers: Layers, here: Path) -> dict[str, list[Held]]:
    """Return the files of a folder outside the library, grouped by the kind that each declares."""
    if any(layers.holds(kind, here / "any") for kind in FOLDERS):
        return {}
    found: dict[str, list[Held]] = {}
    for name in yaml_files(here):
        if kind := read_kind(here / name):
            found.setdefault(kind, []).append(_skim(here, kind, here / name))
    return found


def _read_folder(root: Path, folder: Path, kind: str) -> list[Held]:
    """Return what the files of one folder hold: from the cache, or read again where a file has changed."""
    now = _read_stamps(folder)
    if not now:
        return []
    store = _cache_file(folder)
    kept = _read_cache(store)
    shown, read = short_path(folder), time.time_ns()
    found: list[Held] = []
    rows: dict[str, Any] = {}
    for name, stamp in now.items():
        known = kept.get(name)
        if known is not None and known[:2] == stamp[:2]:
            found.append((shown / name, [LibraryRow(*row) for row in known[2]], ()))
            rows[name] = known
            continue
        held = _skim(root, kind, shown / name)
        found.append(held)
        if not held[2] and not stamp[2] and stamp[1] < read - SETTLED:
            rows[name] = [*stamp[:2], held[1]]
    if store and rows != kept:
        _write_cache(store, rows)
    return found


def _skim(root: Path, kind: str, file: Path) -> Held:
    from mounts.load.catalogue.skim import skim_file  # (which parses YAML)

    return (file, *skim_file(root, kind, file))


def _read_stamps(folder: Path) -> dict[str, list[int]]:
    """Return size, time of change (ns) and whether it is a link, of each YAML file in a folder, by name."""
    names = set(yaml_files(folder))
    found = {}
    if names:
        with os.scandir(folder) as held:
            for entry in held:
                if entry.name in names:
                    linked = entry.is_symlink()
                    told = entry.stat(follow_symlinks=False)
                    found[entry.name] = [told.st_size, told.st_mtime_ns, int(linked)]
    return dict(sorted(found.items()))


def _cache_file(folder: Path) -> Path | None:
    try:
        return cache_root() / f"list-{crc32(os.fsencode(folder.resolve())):08x}.json"
    except RuntimeError:
        return None


def _read_cache(store: Path | None) -> Mapping[str, Any]:
    try:
        found = json.loads(store.read_bytes()) if store else {}
    except (OSError, ValueError):
        return {}
    rows = found.get("rows") if isinstance(found, dict) and found.get("format") == FORMAT else None
    return rows if isinstance(rows, dict) else {}


def _write_cache(store: Path, rows: Mapping[str, Any]) -> None:
    from mounts.write.disk_cache import make_private
    from mounts.write.files import publish

    content = json.dumps({"format": FORMAT, "rows": rows}, ensure_ascii=False, separators=(",", ":")).encode()
    with suppress(OSError, FileError):  # then the next list reads the files again
        make_private(store.parent)
        publish(store.parent, {store.name: content})
