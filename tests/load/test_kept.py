"""What was read once and is kept on disk: current, changed, corrupted."""

from __future__ import annotations

import os
import random
import time
from pathlib import Path

import pytest

from mounts.load.kept import DamagedError, Row, cache_file, is_current, stamps, unchanged
from mounts.load.packed import opened, packed

NOTE = {"version": "1"}
OLD = 1_600_000_000  # s: long settled


@pytest.fixture
def folder(tmp_path):
    """Three profiles, changed long ago."""
    held = tmp_path / "panels"
    held.mkdir()
    for name in ("a", "b", "ü"):
        (held / f"{name}.yaml").write_text(name * 3, "utf-8")
        os.utime(held / f"{name}.yaml", (OLD, OLD))
    return held


def keep(folder: Path, file: Path, beside=()):
    """The folder's rows, kept as they are now; each has a record and two keys."""
    now = stamps(folder).by_name()
    rows = [
        Row(name, stamp, f'{{"is": "{name}"}}'.encode(), (7, 100 + number), beside if name == "b" else ())
        for number, (name, stamp) in enumerate(now.items())
    ]
    file.write_bytes(packed(rows, NOTE))


def test_it_says_what_was_put_in(folder, tmp_path):
    keep(folder, tmp_path / "k")
    kept = opened(tmp_path / "k", NOTE)
    assert set(kept.names) == {"a", "b", "ü"}
    assert kept.record(kept.row("ü")) == {"is": "ü"}
    assert kept.row("c") is None
    assert sorted(kept.between(7, 8)[1]) == [0, 1, 2]
    assert list(kept.between(100, 102)[0]) == [100, 101]
    assert is_current(kept, stamps(folder), folder)
    assert set(unchanged(kept, stamps(folder).by_name(), folder)) == {"a", "b", "ü"}


def test_a_changed_a_new_and_a_lost_file_are_seen(folder, tmp_path):
    keep(folder, tmp_path / "k")
    kept = opened(tmp_path / "k", NOTE)
    (folder / "a.yaml").write_text("AAA", "utf-8")  # as long as before: its time alone tells
    assert not is_current(kept, stamps(folder), folder)
    assert set(unchanged(kept, stamps(folder).by_name(), folder)) == {"b", "ü"}
    (folder / "ü.yaml").unlink()
    (folder / "c.yaml").write_text("c", "utf-8")
    assert set(unchanged(kept, stamps(folder).by_name(), folder)) == {"b"}


def test_a_file_with_the_same_time_and_another_size_is_seen(folder, tmp_path):
    keep(folder, tmp_path / "k")
    kept = opened(tmp_path / "k", NOTE)
    (folder / "a.yaml").write_text("aaaa", "utf-8")
    os.utime(folder / "a.yaml", (OLD, OLD))
    assert not is_current(kept, stamps(folder), folder)


def test_a_file_that_was_just_written_is_read_again_later(folder, tmp_path):
    os.utime(folder / "a.yaml", (time.time(), time.time()))
    keep(folder, tmp_path / "k")
    kept = opened(tmp_path / "k", NOTE)
    assert not is_current(kept, stamps(folder), folder)
    assert set(unchanged(kept, stamps(folder).by_name(), folder)) == {"b", "ü"}


def test_a_drawing_beside_counts_too(folder, tmp_path):
    drawing = folder / "rim.dxf"
    drawing.write_text("0\nEOF\n", "utf-8")
    told = drawing.stat()
    keep(folder, tmp_path / "k", (("rim.dxf", (told.st_size, told.st_mtime_ns)),))
    kept = opened(tmp_path / "k", NOTE)
    assert is_current(kept, stamps(folder), folder)
    drawing.write_text("0\nEOF\n\n", "utf-8")
    assert not is_current(kept, stamps(folder), folder)
    assert set(unchanged(kept, stamps(folder).by_name(), folder)) == {"a", "ü"}


def test_another_note_is_another_index(folder, tmp_path):
    keep(folder, tmp_path / "k")
    assert opened(tmp_path / "k", {"version": "2"}) is None
    assert opened(tmp_path / "missing", NOTE) is None


def test_whatever_byte_is_wrong_nothing_wrong_is_told(folder, tmp_path):
    """A flipped bit anywhere: the file is refused, or the one record that holds it is."""
    file = tmp_path / "k"
    keep(folder, file)
    whole = file.read_bytes()
    right = {name: {"is": name} for name in ("a", "b", "ü")}
    for place in range(len(whole)):
        file.write_bytes(whole[:place] + bytes([whole[place] ^ 0x10]) + whole[place + 1 :])
        kept = opened(file, NOTE)
        if kept is None:
            continue
        told = {}
        for row, name in enumerate(kept.names):
            try:
                told[name] = kept.record(row)
            except DamagedError:
                told[name] = right[name]
        assert told == right


def test_a_file_cut_short_or_of_noise_is_refused(folder, tmp_path):
    file = tmp_path / "k"
    keep(folder, file)
    whole = file.read_bytes()
    for length in range(len(whole)):
        file.write_bytes(whole[:length])
        assert opened(file, NOTE) is None
    file.write_bytes(random.Random(1).randbytes(4000))
    assert opened(file, NOTE) is None


def test_it_lies_where_the_xdg_specification_says(monkeypatch, tmp_path):
    """XDG base directory specification 0.8: XDG_CACHE_HOME, where it is an absolute path, else ~/.cache."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache_file(tmp_path, "panels").parent == tmp_path / "mounts"
    monkeypatch.setenv("XDG_CACHE_HOME", "not/absolute")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    assert cache_file(tmp_path, "panels").parent == tmp_path / "home" / ".cache" / "mounts"
    assert cache_file(tmp_path, "panels") != cache_file(tmp_path.parent, "panels")
