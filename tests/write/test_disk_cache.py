"""What is kept between runs: whole or not at all, verified, bounded, safe with two runs at once or one that dies."""

from __future__ import annotations

import errno
import os
import signal
import stat
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from mounts.batch.run import Shelf
from mounts.errors import FileError
from mounts.load.results.shelf import recall, shelf_file
from mounts.write import disk_cache
from mounts.write.disk_cache import drop, keep

ROOT = Path(__file__).parents[2]
KEYS = [f"{n:02x}" * 32 for n in range(6)]


def test_what_is_kept_comes_back(tmp_path):
    keep(tmp_path, KEYS[0], b"a part")
    assert recall(tmp_path, KEYS[0]) == b"a part"
    assert recall(tmp_path, KEYS[1]) is None
    drop(tmp_path, KEYS[0])
    assert recall(tmp_path, KEYS[0]) is None


@pytest.mark.parametrize("spoil", [lambda held: held[:-1], lambda held: held[:-1] + b"!", lambda _: b""])
def test_a_damaged_entry_is_dropped_and_said(tmp_path, spoil):
    keep(tmp_path, KEYS[0], b"a part")
    file = shelf_file(tmp_path, KEYS[0])
    file.write_bytes(spoil(file.read_bytes()))
    with pytest.raises(ValueError, match="damaged"):
        recall(tmp_path, KEYS[0])
    said: list[str] = []
    assert Shelf(tmp_path, said.append).recall(KEYS[0]) is None
    assert said == ["a part kept from an earlier run is damaged; it is made again"]
    assert not file.exists()


def test_what_was_kept_under_another_key_is_refused(tmp_path):
    keep(tmp_path, KEYS[0], b"a part")
    keep(tmp_path, KEYS[1], b"another")
    shelf_file(tmp_path, KEYS[1]).write_bytes(shelf_file(tmp_path, KEYS[0]).read_bytes())
    said: list[str] = []
    assert Shelf(tmp_path, said.append).recall(KEYS[1]) is None
    assert said == ["a part kept from an earlier run is damaged; it is made again"]
    assert recall(tmp_path, KEYS[0]) == b"a part"


def test_only_its_owner_may_enter_and_what_others_may_write_to_is_not_believed(tmp_path):
    """XDG base directory specification 0.8: what is made is made with 0700."""
    folder = tmp_path / "mounts" / "parts"
    keep(folder, KEYS[0], b"a part")
    assert [stat.S_IMODE(one.stat().st_mode) for one in (folder, folder.parent)] == [0o700, 0o700]
    folder.chmod(0o777)
    assert recall(folder, KEYS[0]) is None
    keep(folder, KEYS[0], b"a part")
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert recall(folder, KEYS[0]) == b"a part"


def test_other_versions_go_once_they_are_not_used_and_so_do_leftovers(tmp_path):
    parts = tmp_path / "parts"
    week = 7 * 24 * 3600
    for version, age in (("old", week + 60), ("recent", week - 3600)):
        keep(parts / version, KEYS[0], b"a part")
        leftover = parts / version / KEYS[0][:2] / ".0123456789abcdef.part"
        now = shelf_file(parts / version, KEYS[0]).stat().st_mtime
        for path in (shelf_file(parts / version, KEYS[0]), parts / version):
            os.utime(path, (now - age,) * 2)
    leftover.write_bytes(b"half")
    os.utime(leftover, (now - 4000,) * 2)
    keep(parts / "recent", KEYS[1], b"another")
    assert sorted(path.name for path in parts.iterdir()) == ["recent"]
    assert not leftover.exists()
    assert recall(parts / "recent", KEYS[0]) == b"a part"


def test_no_more_is_kept_than_there_is_room_for_and_the_oldest_goes_first(tmp_path):
    for number, key in enumerate(KEYS):
        keep(tmp_path, key, bytes(1000), most=4 * 1032)
        os.utime(shelf_file(tmp_path, key), (number, number))
    assert [recall(tmp_path, key) is not None for key in KEYS] == [False, False, True, True, True, True]


def test_what_was_used_stays_longest(tmp_path):
    for number, key in enumerate(KEYS[:3]):
        keep(tmp_path, key, bytes(1000))
        os.utime(shelf_file(tmp_path, key), (number, number))
    assert Shelf(tmp_path, print).recall(KEYS[0]) == bytes(1000)
    keep(tmp_path, KEYS[3], bytes(1000), most=2 * 1032)
    assert [recall(tmp_path, key) is not None for key in KEYS[:4]] == [True, False, False, True]


def test_a_run_killed_in_the_middle_of_writing_leaves_nothing_half_written(tmp_path):
    keep(tmp_path, KEYS[0], b"before")
    script = f"""
        import os, signal
        from pathlib import Path
        from mounts.write import disk_cache
        write = Path.write_bytes
        def half(path, data):
            write(path, data[: len(data) // 2])
            os.kill(os.getpid(), signal.SIGKILL)
        Path.write_bytes = half
        disk_cache.keep(Path({str(tmp_path)!r}), {KEYS[0]!r}, b"after" * 1000)
    """
    ended = subprocess.run([sys.executable, "-c", textwrap.dedent(script)], cwd=ROOT, check=False)
    assert ended.returncode == -signal.SIGKILL
    assert recall(tmp_path, KEYS[0]) == b"before"
    keep(tmp_path, KEYS[1], b"later", most=0)  # the half is cleared away with the oldest
    assert [path.name for path in tmp_path.glob("*/*")] == [f"{KEYS[1]}.kept"]


def test_two_runs_keep_the_same_thing_at_once(tmp_path):
    script = f"""
        from pathlib import Path
        from mounts.load.results.shelf import recall
        from mounts.write.disk_cache import keep
        for turn in range(300):
            keep(Path({str(tmp_path)!r}), {KEYS[0]!r}, bytes([turn % 256]) * 20_000)
            held = recall(Path({str(tmp_path)!r}), {KEYS[0]!r})
            assert held is not None and len(set(held)) == 1 and len(held) == 20_000
    """
    command = [sys.executable, "-c", textwrap.dedent(script)]
    runs = [subprocess.Popen(command, cwd=ROOT) for _ in range(2)]
    assert [run.wait() for run in runs] == [0, 0]


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EACCES])
def test_a_full_or_barred_disk_is_said_once_and_the_batch_goes_on(tmp_path, monkeypatch, number):
    keep(tmp_path, KEYS[0], b"before")

    def barred(*_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(disk_cache.Path, "write_bytes", barred)
    with pytest.raises(FileError, match="nothing can be kept for the next run in"):
        keep(tmp_path, KEYS[1], b"after")
    said: list[str] = []
    shelf = Shelf(tmp_path, said.append)
    shelf.keep(KEYS[1], b"after")
    shelf.keep(KEYS[2], b"after")
    assert said == [
        f"nothing can be kept for the next run in {tmp_path}: {os.strerror(number).lower()}; this run goes on without"
    ]
    assert shelf.recall(KEYS[0]) == b"before"
    assert list(tmp_path.glob("*/.*")) == []


def test_fresh_leaves_alone_what_is_kept(tmp_path):
    keep(tmp_path, KEYS[0], b"before")
    assert Shelf(tmp_path, print, fresh=True).recall(KEYS[0]) is None
    assert recall(tmp_path, KEYS[0]) == b"before"
