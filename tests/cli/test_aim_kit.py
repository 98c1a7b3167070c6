"""`mounts aim KIT` as a person types it: every speaker's aim, and one table of delays for all of them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from mounts.kinds.kind import kind_of
from mounts.kinds.ring.plan import plan_ring
from mounts.load.resolve.job import load_job

LIBRARY = Path(__file__).parents[2] / "profiles"
SMALL = """kind: kit
name: small
jobs: [linnet-woofer, {job: linnet-slider-oblong, sides: [right]}, linnet-port-round, linnet-rear-oval]
"""


@pytest.fixture
def aim(run, tmp_path):
    """Aims the jobs of a kit's text."""

    def aimed(text: str, *words: str):
        (tmp_path / "small.yaml").write_text(text, "utf-8")
        return run("aim", tmp_path / "small.yaml", "--library", LIBRARY, "--out", tmp_path / "out", *words)

    return aimed


def test_delays_of_all_mounts_by_the_tape_and_the_speed_of_sound(aim, tmp_path) -> None:
    """Ways from the tape's readings on a door that leans by 7, where the seat is; ideal gas for the speed of sound."""
    done = aim(SMALL, "--json", "--temperature", "35")
    told = json.loads(done.out)
    assert (done.code, told["kit"], told["silent"], told["refused"]) == (0, "small", ["linnet-port-round"], [])
    assert not (tmp_path / "out").exists()
    assert [(one["job"], one["side"]) for one in told["mounts"]] == [
        ("linnet-woofer", "left"), ("linnet-woofer", "right"), ("linnet-slider-oblong", "right"),
        ("linnet-rear-oval", "left"), ("linnet-rear-oval", "right"),
    ]  # fmt: skip
    lean, speed = np.radians(7), (1.4 * 287.058 * 308.15) ** 0.5
    out = 22 * np.array([0, np.cos(lean), np.sin(lean)])  # of the woofer's seat from its opening's centre, inboard, up
    near, far = (float(np.linalg.norm(np.array([540, inboard, 610]) - out)) for inboard in (430, 1160))
    here = {one["mount"]: one for one in told["arrivals"] if one["seat"] == "left seat"}
    assert here["linnet-woofer left"]["path"] == pytest.approx(near, abs=0.06)
    assert here["linnet-woofer right"]["path"] == pytest.approx(far, abs=0.06)
    longest = max(one["path"] for one in here.values())
    for one in here.values():
        ahead = longest - one["path"]
        assert one["ahead"] == pytest.approx(ahead, abs=0.11)
        assert one["delay_ms"] == pytest.approx(ahead / speed, abs=5e-4)
        for rate in (48000, 96000):
            assert one["samples"][str(rate)] == pytest.approx(ahead / speed * rate / 1000, abs=0.55)
        assert one["louder_db"] == pytest.approx(20 * np.log10(longest / one["path"]), abs=0.01)
    assert sorted({one["mount"] for one in told["arrivals"]}) == [
        "linnet-slider-oblong right", "linnet-woofer left", "linnet-woofer right",
    ]  # fmt: skip


def test_on_a_screen_every_mount_has_its_line(aim) -> None:
    done = aim(SMALL.replace("linnet-rear-oval", "linnet-front-aimed"), "--all")
    assert done.code == 0
    lines = done.out.splitlines()
    assert max(map(len, lines)) <= 80
    (own,) = (line for line in lines if line.startswith("linnet-woofer left") and "10:30" in line)
    assert own.split()[2:8] == ["8°", "10:30", "22.0", "50.2°", "58.2°", "−5.1"]
    said = " ".join(done.out.split())
    assert "linnet-front-aimed left was found, held by flange to trim: 1 mm more there gains 0.4°" in said
    assert "No speaker in linnet-port-round." in said
    seats = [line for line in lines if line.startswith("for the tuner, heard at the")]
    assert len(seats) == 2
    after = lines[lines.index(seats[0]) + 2]
    assert after.split()[-5:] == ["0", "0.000", "0", "0", "0.0"]  # the furthest comes first and waits for none


def test_in_a_screen_every_speaker_has_one_line_with_its_delays(aim) -> None:
    """Those of `--json`, for both seats of the row that hears more than one speaker."""
    done = aim(SMALL)
    lines = done.out.splitlines()
    assert (done.code, lines[0].partition("; ")[0]) == (0, "small: UNKNOWN: 5 speakers")  # the rear doors lack readings
    assert len(lines) <= 24
    assert max(map(len, lines)) <= 80
    held = {(one["mount"], one["seat"]): one["delay_ms"] for one in json.loads(aim(SMALL, "--json").out)["arrivals"]}
    (own,) = (line for line in lines if line.startswith("linnet-woofer left"))
    assert own.split()[2:6] == ["8°", "10:30", "50.2°", "−5.1"]
    seats = ("left seat", "right seat")
    assert own.split()[6:] == [f"{held['linnet-woofer left', seat]:.3f}" for seat in seats]


def test_its_table_is_that_of_the_kit_s_booklet(aim) -> None:
    from mounts.made import Made
    from mounts.papers.aim import _delays, paths_to_ears

    told = json.loads(aim("kind: kit\nname: small\njobs: [linnet-woofer]\n", "--json").out)
    jobs = load_job(LIBRARY / "jobs" / "linnet-woofer.yaml")
    made = [Made(kind_of(job), job, plan_ring(job), None, None, None) for job in jobs]  # type: ignore[arg-type]
    chapters = [SimpleNamespace(job=one.job.part, paths=paths_to_ears(one), units=one.job.units) for one in made]
    booklet = {tuple(row[:2]): row for row in _delays(chapters).rows}  # type: ignore[arg-type]
    for one in told["arrivals"]:
        row = booklet[one["seat"], one["mount"]]
        assert float(row[2]) == pytest.approx(one["path"], abs=0.56)
        assert [float(cell) for cell in row[3:5]] == pytest.approx([one["time_ms"], one["delay_ms"]], abs=6e-3)
        assert row[5] == f"{one['samples']['48000']} / {one['samples']['96000']}"
        assert float(row[6]) == pytest.approx(one["louder_db"], abs=0.06)


def test_a_mount_that_cannot_be_drawn_is_told_and_the_others_are_aimed(run, tmp_path) -> None:
    shutil.copytree(LIBRARY, tmp_path / "profiles")
    low = "kind: ring\nname: low\nbased_on: linnet-woofer\nheight: 9\nsides: [left]\n"
    (tmp_path / "profiles/jobs/low.yaml").write_text(low, "utf-8")
    kit = tmp_path / "profiles/kits/small.yaml"
    kit.write_text("kind: kit\nname: small\njobs: [low, linnet-slider-oblong]\n", "utf-8")
    done = run("aim", kit)
    assert done.code == 4
    assert done.out.startswith("small: UNKNOWN: 2 speakers; 1 more cannot be drawn; ")
    assert "LOST     low left cannot be drawn:" in done.out
    assert "needs a height of" in " ".join(done.out.split())
    assert "linnet-slider-oblong left" in done.out


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("kind: kit\nname: small\njobs: [linnet-port-round]\n", "small.yaml:3:7 jobs: none of them holds a speaker"),
        (
            "kind: kit\nname: small\njobs: [linnet-woofr]\n",
            'jobs.0: no job "linnet-woofr" beside this file or in what is shipped; did you mean "linnet-woofer"?',
        ),
    ],
)
def test_a_kit_without_a_speaker_or_with_an_unknown_job_is_one_message(aim, text, said) -> None:
    done = aim(text)
    assert (done.code, done.out) == (2, "")
    assert said in done.err
