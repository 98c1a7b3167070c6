"""`mounts outcome`: five answers on a fitted mount, kept with its record, learned from, and used by the next plan."""

from __future__ import annotations

import io
import shutil
import sys
from pathlib import Path

import pytest
import yaml

from mounts.cli import main

ROOT = Path(__file__).parents[2]
JOB, ORIGIN, CHANGES = "my-door", "linnet-woofer", {"sides: [left, right]": "sides: [left]"}
FILLED = {
    "went_on:": "went_on: yes",
    "tightest:": "tightest: {hole: C, off: 0.7}",
    '"flange to trim":': '"flange to trim": 7.9',
    '"body to glass":': '"body to glass": 15.0',
    '"holes B to D":': '"holes B to D": 164.1',
    "bore:": "bore: 116.2",
}


@pytest.fixture
def answers(run, shop):
    """Writes a blank, fills it in, and returns its file."""

    def filled(**more: str) -> Path:
        assert run("outcome", JOB, "--blank").code == 0
        file = shop / "out" / JOB / "outcome.yaml"
        text = file.read_text("utf-8")
        for key, value in {**FILLED, **more}.items():
            assert f"{key}" in text
            text = text.replace(f" {key}", f" {value}", 1)
        file.write_text(text, "utf-8")
        return file

    return filled


def test_answers_are_kept_learned_from_shown_and_used(run, shop, answers):
    before = run("check", JOB).out
    done = run("outcome", JOB, "--answers", answers())
    assert (done.code, done.err) == (0, "")
    assert "went on as printed: 1 of 1" in done.out and "(table 0.7), learned from 1 mount" in done.out
    (kept,) = (shop / "profiles" / "outcomes").iterdir()
    (record,) = (shop / "profiles" / "records").iterdir()
    assert record.read_bytes() == (shop / "out" / JOB / "record.yaml").read_bytes()
    assert yaml.safe_load(kept.read_text("utf-8"))["went_on"] == "yes"
    listed = run("list", "printers").out
    assert "learned from 1 mount in asa: shrink" in listed and "\n  clay: 0.8" in listed
    learned = yaml.safe_load((shop / "profiles" / "learned.yaml").read_text("utf-8"))
    printer = learned["printers"]["bed-250"]["asa"]
    assert printer["shrink_sd_pct"] < 0.1  # the material's range is 0.4 to 0.7
    after = run("check", JOB).out
    assert before != after and f"{printer['shrink_pct']:g} % by the printer" in " ".join(after.split())


def test_it_survives_a_clean_of_out_and_the_record_holds_what_was_learned(run, shop, answers):
    run("outcome", JOB, "--answers", answers())
    shutil.rmtree(shop / "out")
    assert "learned from 1 mount" in run("list", "printers").out
    (record,) = (shop / "profiles" / "records").iterdir()
    done = run("build", "--again", record, "--only", "stl")
    said = " ".join(done.out.split())
    assert "again left: the very same part" in said  # made as it was, before anything was learned
    assert "today learned.yaml is used too" in said


def test_two_outcomes_of_one_mount_are_one_clear_message(run, shop, answers):
    file = answers()
    run("outcome", JOB, "--answers", file)
    learned = (shop / "profiles" / "learned.yaml").read_bytes()
    again = run("outcome", JOB, "--answers", file)
    assert again.code == 2 and "there is an outcome of this mount already" in again.err
    assert len(again.err.splitlines()) == 1 and (shop / "profiles" / "learned.yaml").read_bytes() == learned


def test_a_job_that_was_never_built_and_one_that_is_none(run, shop):
    shutil.rmtree(shop / "out")
    done = run("outcome", JOB, "--blank")
    assert (done.code, done.out) == (2, "")
    assert done.err == f"{JOB} was never built here: there is no record.yaml in out/{JOB}; build it, or give --out\n"
    assert "no job" in run("outcome", "none").err


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ('"holes B to D":', '"holes B to D": 140', "no printer gives that"),
        ("bore:", "bore: 117 kg", "117 kg"),
        ("tightest:", "tightest: {hole: Q, off: 0.4}", 'there is no hole "Q"; holes: A, B, C, D'),
        ("tightest:", "tightest: {hole: C, off: 40}", "no screw stands 40 off its hole"),
        ('"flange to trim":', '"flange to trams": 6', '"flange to trim"'),
        ('"body to glass":', '"body to glass": 900', "look again"),
        ("went_on:", "went_on: maybe", "maybe"),
        ("left:", "up:", "has no such part; it has left"),
    ],
)
def test_nonsense_is_one_line_and_nothing_is_kept(run, answers, key, value, says):
    file = answers(**{key: value})
    done = run("outcome", JOB, "--answers", file)
    assert (done.code, done.out) == (2, "")
    assert says in done.err and len(done.err.splitlines()) == 1 and ".yaml:" in done.err
    shop = file.parents[2] / "profiles"
    assert not (shop / "learned.yaml").exists() and not (shop / "outcomes").exists()


def test_answers_on_another_build_and_a_record_of_another_version(run, shop, answers):
    file = answers()
    text = file.read_text("utf-8")
    file.write_text(text.replace("record: ", "record: ff").replace('ff"', '"ff'), "utf-8")
    assert "write a blank of it with --blank" in run("outcome", JOB, "--answers", file).err
    record = shop / "out" / JOB / "record.yaml"
    record.write_text(record.read_text("utf-8").replace("schema: 1", "schema: 9", 1), "utf-8")
    done = run("outcome", JOB, "--answers", file)
    assert done.code == 2 and "is a record of version 9" in done.err and len(done.err.splitlines()) == 1


def test_nothing_answered_and_a_broken_learned_file(run, shop):
    run("outcome", JOB, "--blank")
    assert "nothing is answered" in run("outcome", JOB, "--answers", f"out/{JOB}/outcome.yaml").err
    (shop / "profiles" / "learned.yaml").write_text("kind: learned\nmounts: many\n", "utf-8")
    done = run("check", JOB)
    assert done.code == 2 and "delete this file" in done.err and len(done.err.splitlines()) == 1


def test_it_asks_on_the_screen(shop, monkeypatch, capsys):
    import io

    said = ["yes", "C", "0.7", "7.9", "", "", "15", "", "", "164.1", "", "", "", "116.2", "a tight fit", "me"]
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n".join(said) + "\n"))
    monkeypatch.setattr(sys, "argv", ["mounts", "outcome", JOB])
    with pytest.raises(SystemExit) as ended:
        main()
    assert not ended.value.code
    (kept,) = (shop / "profiles" / "outcomes").iterdir()
    told = yaml.safe_load(kept.read_text("utf-8"))
    assert (told["by"], told["notes"], len(told["seen"])) == ("me", "a tight fit", 5)
    assert "clay: 0.8" in capsys.readouterr().out


def test_the_end_of_the_input_at_a_question_keeps_nothing(run, shop, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    done = run("outcome", JOB)
    assert (done.code, done.err.splitlines()[-1]) == (130, "stopped")
    assert not (shop / "profiles" / "outcomes").exists()
