"""The only place where files come into being: all of a set, or none of it."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import re
import secrets
import shutil
import time
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from math import inf
from pathlib import Path

from mounts.errors import FileError

try:
    import fcntl
except ImportError:  # not on Windows
    fcntl = None  # type: ignore[assignment]

SPARE = ".{}.part"  # hidden folder in which a set of files is made ready
JOURNAL = "journal.json"
LEFT = 3600.0  # s after which a hidden file or folder without locks belongs to nobody
LONGEST = 80  # bytes of a safe name, so that a side, "not-ok" and an ending still fit behind it
_DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}
ENTRIES = 6  # that publishing needs besides its files: folders, a lock, a journal
_FULL = {errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)}
_BARRED = {errno.EACCES, errno.EPERM, errno.EROFS}


def publish(folder: Path, files: Mapping[str, bytes], remove: Iterable[str] = ()) -> tuple[Path, ...]:
    """Put a set of files into a folder, all of them or none; every other file there stays.

    Everything is first written into a hidden folder of its own, then a journal that says what belongs where; from then
    on the set is as good as there. When a step fails, what stood in the folder before stands there again. A run that is
    killed leaves that hidden folder: `settle` finishes what has a journal and removes what has none.

    Args:
        folder: made when missing, with the folders above it.
        files: plain file name to contents.
        remove: plain names of stale files to delete; missing ones and those just written are passed over.

    Returns:
        Paths of the files written, in the order given.

    Raises:
        FileError: if a name is not plain, or the folder or a file cannot be made.
    """
    stale = [name for name in remove if name not in files]
    for name in (*files, *stale):
        _check_plain(name)
    made: list[Path] = []
    try:
        _make_folders(folder, made)
        settle(folder)
        _replace_all(folder, files, stale)
    except BaseException as trouble:
        for empty in reversed(made):
            with suppress(OSError):
                empty.rmdir()
        if isinstance(trouble, OSError):
            raise FileError(_explain(trouble, folder, files, stale)) from trouble
        raise
    return tuple(folder / name for name in files)


def settle(folder: Path) -> None:
    """Finish or undo what killed runs left in a folder, so that each set of files in it is wholly old or wholly new.

    What another run is still writing is left alone. Raises OSError where the folder cannot be written to.
    """
    for spare in sorted(folder.glob(SPARE.format("*"))):
        if not spare.is_dir():
            if time.time() - spare.stat().st_mtime > LEFT:
                spare.unlink(missing_ok=True)
            continue
        with _hold_lock(spare) as is_ours:
            if is_ours:
                _recover(folder, spare)


def check_folder(folder: Path) -> None:
    """Check that a folder is there or could be made, before the work begins rather than after it.

    What killed runs left in it, in the folders beside it and in those that it holds is finished or undone first.

    Raises:
        FileError: if a file stands where it or a folder above it should be.
    """
    found = [*folder.parent.glob("*/" + SPARE.format("*")), *folder.glob("*/" + SPARE.format("*"))]
    for place in dict.fromkeys(spare.parent for spare in found):
        with suppress(OSError):  # it is reported where it is in the way
            settle(place)
    if any(place.exists() and not place.is_dir() for place in (folder, *folder.parents)):
        raise FileError(_explain(OSError(), folder, {}, ()))


def safe_name(text: str, *, ascii_only: bool = False) -> str:
    """Return a name for a file or folder from any text: never empty, never hidden, at most `LONGEST` bytes.

    Blanks become hyphens and accents fall away; letters of other scripts stay unless `ascii_only`. When more than
    that is lost, six figures that belong to the text are added, so that two jobs never share a folder by accident.
    """
    folded = "".join(_strip_accent(letter) for letter in unicodedata.normalize("NFC", text).strip())
    spaced = re.sub(r"\s+", "-", folded)
    kept = "".join(c if (c.isascii() or not ascii_only) and _is_allowed(c) else "-" for c in spaced)
    name = re.sub(r"-{2,}", "-", kept).strip("-.") or "unnamed"
    if name == spaced and len(name.encode()) <= LONGEST and name.split(".")[0].lower() not in _DEVICES:
        return name
    mark = "-" + hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:6]
    room = LONGEST - len(mark)
    return name.encode()[:room].decode(errors="ignore").rstrip("-.") + mark


def _strip_accent(letter: str) -> str:
    """Return the plain letter under an accent, where it is an ASCII one."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(c))
    return bare if bare.isascii() and bare.isalnum() else letter


def _is_allowed(letter: str) -> bool:
    return letter in "-_." or unicodedata.category(letter)[0] in "LMN"


def _check_plain(name: str) -> None:
    if name in {"", ".", ".."} or re.search(r'[\x00-\x1f/\\:*?"<>|]', name) or len(os.fsencode(name)) > 255:
        raise FileError(f"{name!r} is not a plain file name")


def _make_folders(folder: Path, made: list[Path]) -> None:
    """Make the folder and those above it, noting each one that was not there."""
    missing = [place for place in (folder, *folder.parents) if not place.is_dir()]
    for place in reversed(missing):
        place.mkdir(exist_ok=True)
        made.append(place)


def _replace_all(folder: Path, files: Mapping[str, bytes], stale: Sequence[str]) -> None:
    spare = folder / SPARE.format(secrets.token_hex(8))
    spare.mkdir(0o700)
    kept: dict[str, Path] = {}
    renamed: list[str] = []
    try:
        with _hold_lock(spare):
            for number, content in enumerate(files.values()):
                _write(spare / f"new-{number}", content)
            for name in (*files, *stale):
                if (folder / name).exists():
                    kept[name] = spare / f"old-{len(kept)}"
                    _link(folder / name, kept[name])
            journal = {"put": list(files), "remove": list(stale)}
            _write(spare / "written", json.dumps(journal).encode("utf-8", "surrogatepass"))
            (spare / "written").replace(spare / JOURNAL)
            for number, name in enumerate(files):
                (spare / f"new-{number}").replace(folder / name)
                renamed.append(name)
            for name in stale:
                (folder / name).unlink(missing_ok=True)
    except BaseException:
        for name in renamed:
            if name not in kept:
                (folder / name).unlink(missing_ok=True)
        for name, copy in kept.items():
            _restore(copy, folder / name)
        raise
    finally:
        _remove_spare(spare)


def _recover(folder: Path, spare: Path) -> None:
    """Put what is left of a set in its place, where its journal was written; remove the rest."""
    with suppress(FileNotFoundError, FileError, ValueError, KeyError, TypeError):  # no journal, or none of ours
        journal = json.loads((spare / JOURNAL).read_bytes().decode("utf-8", "surrogatepass"))
        names, stale = list(journal["put"]), list(journal["remove"])
        for name in (*names, *stale):
            _check_plain(name)
        for number, name in enumerate(names):
            if (spare / f"new-{number}").exists():
                (spare / f"new-{number}").replace(folder / name)
        for name in stale:
            (folder / name).unlink(missing_ok=True)
    _remove_spare(spare)


def _remove_spare(spare: Path) -> None:
    """Remove a hidden folder, its journal first: without it, what is left of the folder means nothing."""
    with suppress(OSError):
        (spare / JOURNAL).unlink(missing_ok=True)
    shutil.rmtree(spare, ignore_errors=True)


@contextmanager
def _hold_lock(spare: Path) -> Iterator[bool]:
    """Hold a hidden folder; whether nobody else does. The system lets go of it when the process ends, however it ends.

    Where the system has no such locks, a folder is held by nobody once it is as old as `LEFT`.
    """
    try:
        handle = os.open(spare / "lock", os.O_RDWR | os.O_CREAT, 0o600)
    except FileNotFoundError:  # it is gone meanwhile
        yield False
        return
    try:
        yield _try_lock(handle) if fcntl else time.time() - spare.stat().st_mtime > LEFT
    finally:
        os.close(handle)


def _try_lock(handle: int) -> bool:
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _write(path: Path, content: bytes) -> None:
    with path.open("xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _link(path: Path, copy: Path) -> None:
    """Give a file a second name, which takes no room on the disk; a copy where the file system knows no links."""
    try:
        os.link(path, copy, follow_symlinks=False)
    except OSError:
        if path.is_dir():
            raise
        shutil.copy2(path, copy)


def _restore(copy: Path, path: Path) -> None:
    if not copy.exists():
        return
    try:
        copy.replace(path)
    except OSError:
        with suppress(OSError, shutil.SameFileError):
            shutil.copy2(copy, path)


def _explain(trouble: OSError, folder: Path, files: Mapping[str, bytes], stale: Sequence[str]) -> str:
    """Return what went wrong and what to do, in one sentence."""
    in_the_way = next((place for place in (folder, *folder.parents) if place.exists() and not place.is_dir()), None)
    if in_the_way is not None:
        return f"cannot make the folder {folder}: a file stands at {in_the_way}; move it or give another --out"
    taken = next((name for name in (*files, *stale) if (folder / name).is_dir()), None)
    if taken is not None:
        return f"cannot write {folder / taken}: a folder of that name stands there; move it or give another --out"
    need = sum(map(len, files.values()))
    if trouble.errno in _FULL and (count := _free_entries(folder, need)) < len(files) + ENTRIES:
        return (
            f"the disk of {folder} has no room for {len(files)} more files (free inodes: {count}); "
            "delete some, or give another --out"
        )
    if trouble.errno in _FULL:
        return f"the disk is full: {_format_size(need)} are needed in {folder}{_free_space(folder)}"
    if trouble.errno in _BARRED:
        return f"the folder {folder} cannot be written to (read-only, or not yours); give another --out"
    return f"cannot write into {folder}: {trouble.strerror or trouble}"


def _free_entries(folder: Path, need: int) -> float:
    """Return how many files a file system that has room for so many bytes can still take.

    It is inf where the bytes are what is lacking; some count no files and say 0 of 0. What was written has gone again.
    """
    place = next(place for place in (folder, *folder.parents) if place.exists())
    with suppress(OSError, AttributeError):
        free = os.statvfs(place)
        if free.f_files > 0 and free.f_bavail * free.f_frsize > need:
            return free.f_favail
    return inf


def _free_space(folder: Path) -> str:
    place = next(place for place in (folder, *folder.parents) if place.exists())
    with suppress(OSError):
        return f" and {_format_size(shutil.disk_usage(place).free)} are free"
    return ""


def _format_size(count: int) -> str:
    return f"{count / 1e6:.1f} MB" if count >= 1e5 else f"{count / 1e3:.1f} kB"
