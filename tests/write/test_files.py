"""A set of files appears whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mounts.errors import FileError
from mounts.write import files as written
from mounts.write.files import ENTRIES, LONGEST, check_folder, publish, safe_name, settle

OLD = {"left.stl": b"old left", "right.stl": b"old right", "stale.png": b"stale"}
NEW = {"left.stl": b"new left", "right.stl": b"new right", "report.json": b"{}"}


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    publish(tmp_path / "job", OLD)
    return tmp_path / "job"


def test_files_are_written_and_stale_ones_go(folder: Path) -> None:
    paths = publish(folder, NEW, remove=["stale.png", "never.was", "left.stl"])
    assert paths == tuple(folder / name for name in NEW)
    assert contents(folder) == NEW


def test_folders_above_are_made_and_the_umask_rules(tmp_path: Path) -> None:
    (path,) = publish(tmp_path / "a" / "b" / "c", {"part.stl": b"x"})
    mask = os.umask(0)
    os.umask(mask)
    assert path == tmp_path / "a" / "b" / "c" / "part.stl"
    assert stat.S_IMODE(path.stat().st_mode) == 0o666 & ~mask


@pytest.mark.parametrize("name", ["", ".", "..", "a/b", "..\\b", "a\0b", "a\nb", "c:d", "x" * 256])
def test_only_plain_names_are_taken(folder: Path, name: str) -> None:
    for files, remove in (({**NEW, name: b"x"}, []), (NEW, [name])):
        with pytest.raises(FileError, match="is not a plain file name"):
            publish(folder, files, remove)
    assert contents(folder) == OLD


def test_a_file_stands_where_the_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "out").write_bytes(b"mine")
    with pytest.raises(FileError) as raised:
        publish(tmp_path / "out" / "job", NEW)
    assert str(raised.value) == (
        f"cannot make the folder {tmp_path / 'out' / 'job'}: a file stands at {tmp_path / 'out'}; "
        "move it or give another --out"
    )
    assert contents(tmp_path) == {"out": b"mine"}


@pytest.mark.parametrize("remove", [[], ["held"]])
def test_a_folder_stands_where_a_file_should_be(folder: Path, remove: list[str]) -> None:
    (folder / "held").mkdir()
    files = NEW if remove else {**NEW, "held": b"x"}
    with pytest.raises(FileError) as raised:
        publish(folder, files, remove)
    assert str(raised.value) == (
        f"cannot write {folder / 'held'}: a folder of that name stands there; move it or give another --out"
    )
    (folder / "held").rmdir()
    assert contents(folder) == OLD


def test_a_full_disk_says_how_much_is_needed(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []

    def full(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 2:
            raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileError, match=r"^the disk is full: 0\.4 MB are needed in .*/job and [0-9.]+ MB are free$"):
        publish(folder, {"left.stl": b"x" * 200_000, "right.stl": b"y" * 200_000}, remove=["stale.png"])
    assert contents(folder) == OLD


def test_a_failed_first_run_leaves_no_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def read_only(handle: int) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(os, "fsync", read_only)
    with pytest.raises(FileError) as raised:
        publish(tmp_path / "out" / "job", NEW)
    assert str(raised.value) == (
        f"the folder {tmp_path / 'out' / 'job'} cannot be written to (read-only, or not yours); give another --out"
    )
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("failing", [1, 2, 3])
def test_a_failure_half_way_through_the_renaming_is_undone(
    folder: Path, monkeypatch: pytest.MonkeyPatch, failing: int
) -> None:
    replace, calls = Path.replace, []

    def breaks(self: Path, target: Any) -> Path:
        calls.append(target)
        if len(calls) == failing:
            raise OSError(errno.EIO, "Input/output error")
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", breaks)
    with pytest.raises(FileError) as raised:
        publish(folder, NEW, remove=["stale.png"])
    assert str(raised.value) == f"cannot write into {folder}: Input/output error"
    assert contents(folder) == OLD


def test_a_file_system_without_links_is_undone_too(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_: Any, **__: Any) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    unlink = Path.unlink

    def breaks(self: Path, missing_ok: bool = False) -> None:
        if self.name == "stale.png":
            raise OSError(errno.EIO, "Input/output error")
        unlink(self, missing_ok)

    monkeypatch.setattr(os, "link", no_links)
    monkeypatch.setattr(Path, "unlink", breaks)
    with pytest.raises(FileError):
        publish(folder, NEW, remove=["stale.png"])
    assert contents(folder) == OLD


def test_an_interrupt_is_undone_and_goes_on(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        publish(folder, NEW)
    assert contents(folder) == OLD


KILLED = """
import os, signal, sys
from pathlib import Path
from mounts.write import files
left = int(sys.argv[2])
def dying(function):
    def called(*words, **more):
        global left
        left -= 1
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        return function(*words, **more)
    return called
os.fsync, os.link = dying(os.fsync), dying(os.link)
Path.replace, Path.unlink, Path.mkdir = dying(Path.replace), dying(Path.unlink), dying(Path.mkdir)
new = {"left.stl": b"new left", "right.stl": b"new right", "report.json": b"{}"}
files.publish(Path(sys.argv[1]), new, ["stale.png"])
"""


def test_a_run_that_is_killed_anywhere_leaves_all_old_or_all_new(tmp_path: Path) -> None:
    """At each step that changes the disk; the next command settles it, and a file of somebody else stays."""
    seen = set()
    for step in range(1, 30):
        folder = tmp_path / f"{step}" / "job"
        publish(folder, OLD)
        (folder / "notes.txt").write_bytes(b"mine")
        setting = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
        ended = subprocess.run([sys.executable, "-c", KILLED, str(folder), str(step)], env=setting, check=False)
        check_folder(folder.parent / "another")
        found = contents(folder)
        assert found.pop("notes.txt") == b"mine"
        assert found in (OLD, NEW)
        seen.add(found == NEW)
        if ended.returncode == 0:
            break
    assert ended.returncode == 0
    assert seen == {False, True}


def test_what_a_living_run_writes_is_left_alone(folder: Path) -> None:
    spare = folder / ".0123456789abcdef.part"
    spare.mkdir()
    (spare / "new-0").write_bytes(b"half")
    with written._hold_lock(spare):
        settle(folder)
        assert (spare / "new-0").read_bytes() == b"half"
        publish(folder, NEW, ["stale.png"])
    settle(folder)
    assert contents(folder) == NEW


@pytest.mark.parametrize(
    "journal", [b"", b"{}", b'{"put": ["../x"], "remove": []}', b'{"put": 1, "remove": [2]}', b"\xff"]
)
def test_a_journal_that_says_nothing_sound_changes_nothing(folder: Path, journal: bytes) -> None:
    spare = folder / ".0123456789abcdef.part"
    spare.mkdir()
    (spare / "journal.json").write_bytes(journal)
    (spare / "new-0").write_bytes(b"x")
    settle(folder)
    assert contents(folder) == OLD
    assert not (folder.parent / "x").exists()


def test_a_disk_without_room_for_another_file_says_so(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    need = len(NEW) + ENTRIES
    for entries, blocks, said in ((0, 10**6, True), (need - 1, 10**6, True), (need, 10**6, False), (0, 0, False)):
        disk = SimpleNamespace(
            f_files=1000, f_favail=entries, f_blocks=10**6, f_bfree=blocks, f_bavail=blocks, f_frsize=4096
        )
        monkeypatch.setattr(os, "statvfs", lambda place, disk=disk: disk)
        room = rf"no room for {len(NEW)} more files \(free inodes: {entries}\)"
        with pytest.raises(FileError, match=room if said else "the disk is full"):
            publish(folder, NEW)
        assert contents(folder) == OLD


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("linnet-woofer", "linnet-woofer"),
        ("Linnet_v1.2", "Linnet_v1.2"),
        ("front door  left", "front-door-left"),
        ("Tür für Élan", "Tur-fur-Elan"),
        ("дверь", "дверь"),
        ("山", "山"),
        ("दरवाज़ा", "दरवाज़ा"),
    ],
)
def test_safe_names_that_lose_nothing(text: str, name: str) -> None:
    assert safe_name(text) == name


@pytest.mark.parametrize(
    ("text", "start"),
    [
        ("🚐", "unnamed-"), ("", "unnamed-"), ("..", "unnamed-"), (".hidden", "hidden-"), ("../../etc/x", "etc-x-"),
        ("a/b", "a-b-"), ("a\\b", "a-b-"), ("con", "con-"), ("NUL.txt", "NUL.txt-"), ("<i>", "i-"),
        ("x" * 200, "x" * 73 + "-"), ("山" * 200, "山" * 24 + "-"),
    ],
)  # fmt: skip
def test_safe_names_that_lose_something_are_marked(text: str, start: str) -> None:
    name = safe_name(text)
    assert name.startswith(start)
    assert len(name) == len(start) + 6
    assert int(name[-6:], 16) >= 0


def test_two_texts_that_look_alike_without_their_signs_stay_apart() -> None:
    assert len({safe_name(text) for text in ("a/b", "a\\b", "a:b", "a-b", "🚐", "🚌", "")}) == 7


def test_ascii_only() -> None:
    assert safe_name("дверь 2", ascii_only=True).startswith("2-")
    assert safe_name("Tür", ascii_only=True) == "Tur"


@given(st.text(max_size=300), st.booleans())
def test_any_safe_name_can_be_published(text: str, ascii_only: bool) -> None:
    name = safe_name(text, ascii_only=ascii_only)
    assert name and not name.startswith((".", "-")) and not name.endswith(".")
    assert len(name.encode()) <= LONGEST
    assert not set(name) & set('/\\:*?"<>|\0\n')
    assert name.isascii() or not ascii_only
    assert safe_name(name) == name or not name.isascii()
