"""`mounts aim` as a person types it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from scipy import special

DEMO = Path(__file__).parents[2] / "profiles/jobs/linnet-woofer.yaml"


@pytest.fixture(scope="module")
def short_job(tmp_path_factory) -> Path:
    """The demo for one side only."""
    path = tmp_path_factory.mktemp("aim") / "one-side.yaml"
    text = DEMO.read_text("utf-8").replace("name: linnet-woofer", "name: one-side")
    path.write_text(text.replace("sides: [left, right]", "sides: [left]"), "utf-8")
    return path


def library() -> Path:
    return DEMO.parents[1]


def test_as_json_its_levels_are_scipys(run, short_job, tmp_path) -> None:
    """Angle by the door's lean and the tape's readings, level by scipy.special.j1, all worked here anew."""
    done = run("aim", short_job, "--library", library(), "--out", tmp_path, "--json", "--temperature", "35")
    assert done.code == 0
    told = json.loads(done.out)
    speed = (1.4 * 287.058 * 308.15) ** 0.5
    assert told["speed_of_sound"] == pytest.approx(speed, abs=0.05)
    (side,) = told["sides"]
    lean, tilt = np.radians(7), np.radians(8)
    up, inboard = np.array([0, -np.sin(lean), np.cos(lean)]), np.array([0, np.cos(lean), np.sin(lean)])
    towards = (np.array([1.0, 0, 0]) + up) / 2**0.5  # 10:30 on a left door: rearward and up
    axis = np.cos(tilt) * inboard + np.sin(tilt) * towards
    line = np.array([540, 430, 610]) - 22 * inboard
    angle = np.arccos(axis @ line / np.linalg.norm(line))
    this = side["listeners"][0]
    assert this["angle"] == pytest.approx(np.degrees(angle), abs=0.01)
    assert this["path"] == pytest.approx(np.linalg.norm(line), abs=0.06)
    assert set(this["level"]["angle"]) == {"700", "1400", "2800"}
    for frequency, level in this["level"]["angle"].items():
        x = np.pi * float(frequency) * 0.105 / speed * np.sin(angle)
        assert level == pytest.approx(20 * np.log10(2 * special.j1(x) / x), abs=0.01)
    (far, near) = sorted(told["arrivals"], key=lambda one: one["seat"] != "right seat")
    assert far["time_ms"] == pytest.approx(far["path"] / speed, abs=1e-3)
    assert near["delay_ms"] == 0.0  # one speaker alone waits for none
    for name in told["files"]:
        assert Image.open(tmp_path / "one-side" / name).size[0] > 1400


def test_on_a_screen_of_80_columns(run, short_job, tmp_path) -> None:
    done = run("aim", short_job, "--library", library(), "--out", tmp_path, "--all")
    assert done.code == 0
    said = done.out
    assert "left seat: 50.2° off axis (flat 58.2°), 909 mm, ears read" in said
    assert "!! breaks its limit" in said
    assert "an estimate" in said
    assert "→   8°" in said
    table = said.split("look at")[0]
    assert max(len(line) for line in table.splitlines()) <= 80
    assert {path.name for path in (tmp_path / "one-side").iterdir()} == {"left.level.png", "left.section.png"}


def test_in_about_twenty_lines(run, short_job, tmp_path) -> None:
    """Verdict first, then the tightest, the ears, and what 10 and 12 degrees would do, as `--all` has it in a table."""
    done = run("aim", short_job, "--library", library(), "--out", tmp_path)
    lines = done.out.splitlines()
    assert (done.code, lines[0]) == (0, "one-side: OK: the clearances that the aim decides are kept")
    assert len(lines) <= 20
    assert max(map(len, lines[: lines.index(next(line for line in lines if line.startswith("files")))])) <= 80
    assert "tightest terminals to opening: 4.2 (min 4)" in lines
    assert "ears     left seat: 50.2° off axis (flat 58.2°), 909 away" in lines
    assert "steeper  10° at a height of 22 keeps every clearance, ear 48.2° off axis" in lines
    assert "         12° misses flange to trim: 0.7 (min 3)" in lines
    assert f"next mounts build {short_job} (checks all the rest)" in " ".join(done.out.split())


def test_what_was_not_measured_is_named_first(run, tmp_path) -> None:
    done = run("aim", "linnet-rear-oval", "--out", tmp_path)
    assert done.code == 0
    said = " ".join(done.out.split())
    assert said.startswith("linnet-rear-oval: UNKNOWN: the clearances that were measured are kept; not measured: ")
    assert "behind.glass, ears into the panel's file" in said


def test_an_aim_that_breaks_a_limit_ends_with_1(run, short_job, tmp_path) -> None:
    steep = tmp_path / "steep.yaml"
    text = short_job.read_text("utf-8").replace("name: one-side", "name: steep")
    steep.write_text(text.replace("height: 22", "height: 27"), "utf-8")
    done = run("aim", steep, "--library", library(), "--out", tmp_path)
    assert done.code == 1
    lines = done.out.splitlines()
    assert lines[0].startswith("steep: NOT OK: the aim misses a clearance or a wall; 1 fault")
    assert lines[2:4] == ["FAIL     flange to trim: 1.7 (min 3)", "         also speaker screws to trim"]
    key = lines[4].removeprefix("         → ")
    assert key.startswith("height: ")
    steep.write_text(text.replace("height: 22", key), "utf-8")  # as a person would paste it
    assert run("aim", steep, "--library", library(), "--out", tmp_path).code == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("profiles/jobs/linnet-port-round.yaml",), "a spacer holds no speaker, so there is nothing to aim"),
        (("profiles/jobs/linnet-woofer.yaml", "--temperature", "200"), "--temperature"),
        (("nope.yaml",), "there is no such file"),
    ],
)
def test_what_cannot_be_aimed_is_one_message_and_no_file(run, tmp_path, words, said) -> None:
    done = run("aim", *words, "--out", tmp_path / "out")
    assert (done.code, done.out) == (2, "")
    assert said in done.err
    assert not (tmp_path / "out").exists()
