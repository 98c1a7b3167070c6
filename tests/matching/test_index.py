"""The index on disk: kept up to date, rebuilt where it is damaged, done without where it cannot be kept."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import time
from pathlib import Path

from mounts.load.catalogue.cache import new_tables, read_tables, serialize_tables
from mounts.matching import index
from mounts.matching.index import jobs_of, jobs_on, panels_of
from mounts.matching.match import SearchOptions, search_panels
from mounts.write import files
from tests.libraries import DOOR, OLD, nobody, write

ROOT = Path(__file__).parents[2]
BOTH = """
from pathlib import Path
from mounts.matching.match import SearchOptions, search_panels
looked = search_panels(Path({root!r}), "asked", SearchOptions(), lambda *_: None)
assert [match.known.name for match in looked.matches] == ["known"], looked
"""


def counting():
    """A callback and the numbers of files that were read."""
    read = []
    return (lambda done, count: read.append(count) if done == count else None), read


def test_only_what_has_changed_is_read_again(tmp_path):
    tell, read = counting()
    for name in ("asked", "known", "third"):
        write(tmp_path, name)
    panels_of(tmp_path, tell)
    panels_of(tmp_path, tell)
    assert read == [3]
    write(tmp_path, "third", {**DOOR, "A": (61.0, 53.5)}, when=OLD + 1)
    write(tmp_path, "fourth")
    panels_of(tmp_path, tell)
    assert read == [3, 2]
    (tmp_path / "panels" / "known.yaml").unlink()
    names = {match.known.name for match in search_panels(tmp_path, "asked", SearchOptions(), tell).matches}
    assert read == [3, 2]
    assert names == {"fourth", "third"}


def test_a_file_as_long_as_before_or_just_written_is_read_again(tmp_path):
    tell, read = counting()
    write(tmp_path, "asked")
    write(tmp_path, "same")
    panels_of(tmp_path, tell)
    file = write(tmp_path, "same", {**DOOR, "A": (58.0, 53.6)}, when=OLD + 1)
    panels_of(tmp_path, tell)
    os.utime(file, (time.time(), time.time()))  # within the clock's grain: it may change again and look the same
    panels_of(tmp_path, tell)
    panels_of(tmp_path, tell)
    assert read == [2, 1, 1, 1]


def test_a_damaged_index_is_made_again(tmp_path, cache):
    write(tmp_path, "asked")
    write(tmp_path, "known")
    search_panels(tmp_path, "asked", SearchOptions(), nobody)
    (file,) = cache.iterdir()
    whole = file.read_bytes()
    empty = serialize_tables(new_tables())
    for bad in (b"", whole[:-1], whole[:-1] + b"?", b"noise" * 100, whole[: len(whole) // 2], empty):
        file.write_bytes(bad)
        assert [match.known.name for match in search_panels(tmp_path, "asked", SearchOptions(), nobody).matches] == [
            "known"
        ]
        assert read_tables(file) is not None
        assert len(file.read_bytes()) == len(whole)
    file.unlink()
    file.mkdir()
    looked = search_panels(tmp_path, "asked", SearchOptions(), nobody)
    assert [match.known.name for match in looked.matches] == ["known"]
    assert str(file) in looked.trouble


def test_another_version_or_another_folder_is_another_index(tmp_path, monkeypatch, cache):
    tell, read = counting()
    write(tmp_path, "asked")
    panels_of(tmp_path, tell)
    monkeypatch.setitem(index.FORM, "version", "0.0")
    panels_of(tmp_path, tell)
    write(tmp_path / "two", "other")
    (file,) = cache.iterdir()
    content = file.read_bytes()
    panels_of(tmp_path / "two", tell)
    next(other for other in cache.iterdir() if other != file).write_bytes(content)
    assert panels_of(tmp_path / "two", tell).names() == ["other"]
    assert read == [1, 1, 1, 1]


def refuse(*_):
    """What a read-only file system says, to root as well."""
    raise OSError(errno.EROFS, "Read-only file system")


def test_a_cache_that_is_read_only_still_answers_and_spares_reading(tmp_path, cache, monkeypatch):
    tell, read = counting()
    write(tmp_path, "asked")
    write(tmp_path, "known")
    search_panels(tmp_path, "asked", SearchOptions(), tell)
    monkeypatch.setattr(files, "_write", refuse)
    assert search_panels(tmp_path, "asked", SearchOptions(), tell).trouble == ""
    write(tmp_path, "third", when=OLD + 1)
    for _ in range(2):
        looked = search_panels(tmp_path, "asked", SearchOptions(), tell)
        assert {match.known.name for match in looked.matches} == {"known", "third"}
        assert "read-only" in looked.trouble
    assert read == [2, 1, 1]
    assert len(list(cache.iterdir())) == 1


def test_it_works_without_where_nothing_can_be_kept(tmp_path, cache):
    write(tmp_path, "asked")
    write(tmp_path, "known")
    cache.parent.write_text("a file stands where the folder should be", "utf-8")
    for _ in range(2):
        looked = search_panels(tmp_path, "asked", SearchOptions(), nobody)
        assert [match.known.name for match in looked.matches] == ["known"]
        assert str(cache.parent) in looked.trouble


def test_two_runs_at_once_do_not_disturb_each_other(tmp_path, cache):
    write(tmp_path, "asked")
    write(tmp_path, "known")
    setting = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", BOTH.format(root=str(tmp_path))]
    for _ in range(3):
        running = [subprocess.Popen(command, env=setting) for _ in range(2)]
        assert [run.wait(60) for run in running] == [0, 0]
        assert [path.suffix for path in cache.iterdir()] == [".sqlite"]
        next(cache.iterdir()).unlink()


def test_jobs_are_found_by_their_panel_also_through_what_they_are_based_on(tmp_path):
    write(tmp_path, "door")
    jobs = {
        "plain": "kind: ring\nname: plain\npanel: door\nspeaker: s\n",
        "later": "kind: ring\nname: later\nbased_on: plain\nspeaker: t\n",
        "other": "kind: ring\nname: other\nbased_on: plain\npanel: elsewhere\n",
        "in-place": "kind: ring\nname: in-place\npanel: {opening: {round: 100}}\n",
        "circle": "kind: ring\nname: circle\nbased_on: circle\n",
    }
    (tmp_path / "jobs").mkdir()
    for name, text in jobs.items():
        (tmp_path / "jobs" / f"{name}.yaml").write_text(text, "utf-8")
    found = jobs_of(tmp_path, nobody)
    assert sorted(jobs_on(found, "door")) == ["later", "plain"]
    assert jobs_on(found, "elsewhere") == ["other"]


def test_a_drawing_that_changes_is_read_again(tmp_path):
    import ezdxf

    write(tmp_path, "asked", opening="{outline: rim.dxf}")
    drawing = tmp_path / "panels" / "rim.dxf"
    for across in (100.0, 110.0):
        document = ezdxf.new(units=4)
        document.modelspace().add_circle((0, 0), across / 2)
        document.saveas(drawing)
        looked = search_panels(tmp_path, "asked", SearchOptions(), nobody)
        assert looked.known.opening[1:3] == (across, across)
