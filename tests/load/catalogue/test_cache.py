"""Tables of what was read once, kept on disk: listed, written, corrupted, cut short."""

from __future__ import annotations

import os
import random
import sqlite3

import pytest

from mounts.load.catalogue.cache import (
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

OLD = 1_600_000_000  # s


@pytest.fixture
def folder(tmp_path):
    """Three profiles and something else."""
    held = tmp_path / "panels"
    held.mkdir()
    for name in ("a.yaml", "b.yaml", "ü.yaml", "rim.dxf"):
        (held / name).write_text(name[0] * 3, "utf-8")
        os.utime(held / name, (OLD, OLD))
    return held


@pytest.fixture
def content():
    """Three rows in a file's bytes."""
    tables = new_tables()
    for row, name in enumerate(("a", "b", "c")):
        tables.execute("INSERT INTO files VALUES (?, ?, 3, 4, ?, 0.1)", (row, name.encode(), f'{{"is": "{name}"}}'))
        tables.executemany("INSERT INTO keys VALUES (?, ?)", [(7, row), (100 + row, row)])
    return serialize_tables(tables)


def test_the_listing_holds_profiles_alone(folder):
    stamp = (3, OLD * 10**9)
    assert read_stamps(folder) == {"a": stamp, "b": stamp, "ü": (6, stamp[1])}
    assert read_stamps(folder / "none") == read_stamps(folder / "a.yaml") == {}
    assert (stamp_of(folder / "a.yaml"), stamp_of(folder / "none")) == (stamp, (-1, 0))


@pytest.mark.parametrize(
    "other",
    [{}, {"a": (1, 2)}, {"a": (1, 2), "b": (3, 5)}, {"a": (1, 3), "b": (3, 4)}, {"a": (1, 2), "c": (3, 4)}],
)
def test_another_listing_has_another_checksum(other):
    assert checksum(other) != checksum({"a": (1, 2), "b": (3, 4)})


def test_what_is_read_is_what_was_written(content, tmp_path):
    (tmp_path / "k").write_bytes(content)
    tables = copy_tables(read_tables(tmp_path / "k"))
    assert tables.execute("SELECT row FROM keys WHERE key >= 7 AND key < 101 ORDER BY row").fetchall() == [
        (0,), (0,), (1,), (2,),
    ]  # fmt: skip
    remove_rows(tables, [0, 2])
    assert tables.execute("SELECT name, record FROM files").fetchall() == [(b"b", '{"is": "b"}')]
    assert tables.execute("SELECT key, row FROM keys").fetchall() == [(7, 1), (101, 1)]
    assert len(read_tables(tmp_path / "k").execute("SELECT * FROM files").fetchall()) == 3


def test_any_sqlite_opens_it(content, tmp_path):
    (tmp_path / "k").write_bytes(content)
    held = sqlite3.connect(f"file:{tmp_path}/k?mode=ro", uri=True)
    assert held.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert held.execute("SELECT count(*) FROM files").fetchone() == (3,)


def test_a_wrong_byte_anywhere_is_noticed(content, tmp_path):
    file = tmp_path / "k"
    for place in [*range(200), *range(200, len(content), 61), len(content) - 1]:
        file.write_bytes(content[:place] + bytes([content[place] ^ 0x10]) + content[place + 1 :])
        assert read_tables(file) is None


def test_a_file_cut_short_or_of_noise_is_none(content, tmp_path):
    file = tmp_path / "k"
    for length in (*range(110), *range(110, len(content), 97), len(content) - 1):
        file.write_bytes(content[:length])
        assert read_tables(file) is None
    file.write_bytes(random.Random(1).randbytes(4000))
    assert read_tables(file) is None
    assert read_tables(tmp_path) is None
    assert read_tables(tmp_path / "missing") is None


def test_it_lies_where_the_xdg_specification_says(monkeypatch, tmp_path):
    """XDG base directory specification 0.8: XDG_CACHE_HOME, where it is an absolute path, else ~/.cache."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache_file(tmp_path, "panels").parent == tmp_path / "mounts"
    monkeypatch.setenv("XDG_CACHE_HOME", "not/absolute")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    assert cache_file(tmp_path, "panels").parent == tmp_path / "home" / ".cache" / "mounts"
    assert cache_file(tmp_path, "panels") != cache_file(tmp_path.parent, "panels")
