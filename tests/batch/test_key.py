"""What a part is known by: the same for the same job wherever it stands, another for every value that could matter."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import pytest

from mounts.batch.run import key_of, to_plain
from mounts.load.resolve.job import load_job
from mounts.load.resolve.library import Library
from mounts.load.results.shelf import program_mark
from mounts.write.output import Wish

ROOT = Path(__file__).parents[2]
JOBS = Library(ROOT / "profiles").names("job")


@pytest.mark.parametrize("name", JOBS)
def test_every_side_of_every_job_has_a_key_of_its_own_that_loading_again_gives_again(name):
    path = ROOT / "profiles" / "jobs" / f"{name}.yaml"
    keys = [key_of(job, Wish(), "p") for job in load_job(path)]
    assert len(set(keys)) == len(keys)
    assert keys == [key_of(job, Wish(), "p") for job in load_job(path)]


def test_the_place_of_a_file_and_comments_in_it_change_nothing(tmp_path):
    text = (ROOT / "profiles" / "jobs" / "linnet-woofer.yaml").read_text("utf-8")
    (tmp_path / "linnet-woofer.yaml").write_text("# another line\n\n" + text, encoding="utf-8")
    moved = load_job(tmp_path / "linnet-woofer.yaml", ROOT / "profiles")[0]
    here = load_job(ROOT / "profiles" / "jobs" / "linnet-woofer.yaml")[0]
    assert key_of(moved, Wish(), "p") == key_of(here, Wish(), "p")


@pytest.mark.parametrize("name", ["linnet-woofer", "linnet-dash-tweeter-press", "linnet-port-slit"])
def test_every_number_and_word_of_a_job_is_in_its_key(name):
    job = load_job(ROOT / "profiles" / "jobs" / f"{name}.yaml")[0]
    known = {key_of(job, Wish(), "p")}
    for field in fields(job):
        if field.name in ("file", "digest", "places", "glyphs"):
            continue
        changed = replace(job, **{field.name: "another value"})
        known.add(key_of(changed, Wish(), "p"))
    assert len(known) == 1 + len(fields(job)) - 4


def test_a_deep_value_is_in_the_key_too():
    job = load_job(ROOT / "profiles" / "jobs" / "linnet-woofer.yaml")[0]
    glass = job.panel.behind.glass
    deeper = glass.model_copy(update={"at_clock": {**glass.at_clock, 0.0: glass.at_clock[0.0] + 1e-9}})
    panel = job.panel.model_copy(update={"behind": job.panel.behind.model_copy(update={"glass": deeper})})
    assert key_of(replace(job, panel=panel), Wish(), "p") != key_of(job, Wish(), "p")


def test_files_and_program_are_in_the_key(spacer):
    keys = {key_of(spacer, wish, mark) for wish in (Wish(), Wish(("stl",)), Wish(paper="letter")) for mark in "pq"}
    assert len(keys) == 6
    assert len(program_mark()) == 64


def test_a_value_without_a_plain_form_is_refused_rather_than_left_out():
    with pytest.raises(TypeError, match="object has no plain form"):
        to_plain({"a": [object()]})
