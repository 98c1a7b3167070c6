"""`mounts adapt` from the person's side: what is written and told, exit codes, what a failed run leaves alone."""

from __future__ import annotations

import errno
import json
import shutil
from pathlib import Path

import pytest

from mounts.write import files

PROFILES = Path(__file__).parents[2] / "profiles"


@pytest.fixture
def shop(tmp_path):
    """A library of one's own, in which may be written."""
    return shutil.copytree(PROFILES, tmp_path / "profiles")


def held(shop):
    return {path.name for path in (shop / "jobs").iterdir()}


def adapt(run, shop, job, speaker, *more):
    return run("adapt", shop / "jobs" / f"{job}.yaml", "--speaker", speaker, "--out", shop.parent / "out", *more)


def test_a_ring_for_another_speaker_is_told_side_by_side_and_built(run, shop):
    before = held(shop)
    done = adapt(run, shop, "linnet-woofer", "demo-eared-130", "--name", "eared", "--all")
    assert (done.code, done.err) == (1, "")  # its screws come too near the tool paths
    assert held(shop) - before == {"eared.yaml"}
    lines = done.out.splitlines()
    assert lines[:3] == [
        "linnet-woofer → eared",
        "speaker demo-woofer-130 → demo-eared-130",
        "verdict WARN → FAIL",
    ]
    assert [line.split("; ")[0] for line in lines[4:6]] == ["left: print it again", "right: print it again"]
    assert "kept, although chosen for demo-woofer-130: height: 22" in lines
    circle = next(line for line in lines if line.startswith("circle of the speaker's"))
    assert circle.split()[-2:] == ["127", "135"]  # as the two speakers' files say
    glass = next(line for line in lines if line.startswith("body to glass"))
    assert glass.split()[-2:] == ["10", "pass"]
    assert "sets of washers M4, 0.1 to 1.3 thick in all: 0 → 8" in done.out
    assert "the panel's fixings A, B, C, D with rivet-nut-m5" in done.out
    assert max(map(len, lines[:-2])) <= 80
    assert len(lines) < 50
    folder = shop.parent / "out" / "eared"
    assert {"left.not-ok.stl", "right.not-ok.step", "report.json"} <= {path.name for path in folder.iterdir()}
    again = run("build", shop / "jobs" / "eared.yaml", "--out", shop.parent / "again", "--only", "stl")
    assert again.code == 1
    stl = [(shop.parent / place / "eared" / "left.not-ok.stl").read_bytes() for place in ("out", "again")]
    assert stl[0] == stl[1]


def test_in_about_twenty_lines(run, shop):
    """The verdict first, then what is missed with the new speaker, and what of the old mount changes or stays."""
    done = adapt(run, shop, "linnet-cargo-glass", "demo-woofer-130", "--name", "small")
    lines = done.out.splitlines()
    words = [line.split()[0] for line in lines if line[:1].strip()]
    assert (done.code, done.err) == (1, "")  # as low as it is, its body reaches the glass
    assert lines[0].startswith("small: NOT OK: with demo-woofer-130; ")
    assert next(line for line in lines if line.startswith("FAIL")).startswith("FAIL     body to glass: overlaps by ")
    assert len(lines) <= 35
    assert max(map(len, lines[:-4])) <= 80
    assert words[words.index("before") :][:3] == ["before", "again", "changed"]
    assert "before   linnet-cargo-glass with demo-shallow-165: " in done.out
    assert "speaker's flange 167 → 135" in " ".join(done.out.split())  # as the two speakers' files say
    assert lines[-1] == "next     change that, then: mounts build small"


def test_with_the_same_speaker_the_old_part_serves(run, shop):
    done = adapt(run, shop, "linnet-cargo-glass", "demo-shallow-165", "--json")
    assert (done.code, done.err) == (0, "")
    told = json.loads(done.out)
    (side,) = told["sides"]
    assert (side["side"], side["serves"], side["features"], told["sleeve"]) == ("left", True, [], None)
    assert told["verdict"]["old"] == told["verdict"]["new"]
    assert not any(size["changed"] for size in side["sizes"])
    assert all(count["old"] == count["new"] > 0 for count in side["bought"].values())
    assert (told["job"], told["based_on"]) == ("linnet-cargo-glass-demo-shallow-165", "linnet-cargo-glass")
    assert Path(told["file"]).is_file()


def test_into_the_cup_of_a_larger_tweeter_goes_a_sleeve(run, shop):
    before = held(shop)
    done = adapt(run, shop, "linnet-dash-tweeter-press", "demo-tweeter-19", "--name", "small", "--json")
    assert (done.code, done.err) == (0, "")
    assert held(shop) - before == {"small.yaml", "small-sleeve.yaml"}
    told = json.loads(done.out)
    assert [side["serves"] for side in told["sides"]] == [False, False]
    sizes = {size["name"]: size for size in told["sides"][0]["sizes"]}
    assert (sizes["bore at the seat"]["old"], sizes["bore at the seat"]["new"]) == ([28.5], [25.0])  # cutouts + 1
    sleeve = told["sleeve"]
    assert (sleeve["job"], sleeve["count"], sleeve["report"]["verdict"]) == ("small-sleeve", 2, "warn")
    assert "taking a staked cup off costs their heads" in told["stays"][0]
    out = shop.parent / "out"
    assert set(told["files"]) == {str(out / "small"), str(out / "small-sleeve")}
    assert all((Path(folder) / name).is_file() for folder, names in told["files"].items() for name in names)
    assert (out / "small-sleeve" / "part.stl").is_file()
    alone = run("build", shop / "jobs" / "small-sleeve.yaml", "--out", shop.parent / "alone", "--only", "stl")
    assert alone.code == 1  # build by itself does not know the cup's lip, as the file's notes say
    assert (shop.parent / "alone/small-sleeve/part.not-ok.stl").read_bytes() == (
        out / "small-sleeve/part.stl"
    ).read_bytes()


@pytest.mark.parametrize(
    ("speaker", "told"),
    [
        ("demo-woofer-200", "linnet-woofer.yaml:12:9 height: tilt 8 needs a height of "),
        ("demo-eared-131", 'linnet-woofer-demo-eared-131.yaml:6:10 speaker: no speaker "demo-eared-131" '),
    ],
)
def test_a_speaker_that_does_not_fit_writes_nothing(run, shop, speaker, told):
    before = held(shop)
    done = adapt(run, shop, "linnet-woofer", speaker)
    assert (done.code, done.out) == (2, "")
    assert told in done.err
    assert f"   6  speaker: {speaker}\n" in done.err  # the file that its places speak of is shown
    assert held(shop) == before
    assert not (shop.parent / "out").exists()


def test_no_file_is_written_over(run, shop):
    taken = shop / "jobs" / "linnet-woofer-demo-eared-130.yaml"
    taken.write_text("mine", "utf-8")
    done = adapt(run, shop, "linnet-woofer", "demo-eared-130")
    assert (done.code, done.out) == (2, "")
    assert "is there already; take another name with --name" in done.err
    assert taken.read_text("utf-8") == "mine"


def test_a_full_disk_takes_the_new_job_back(run, shop, monkeypatch):
    before, write = held(shop), files._write

    def full(path, content):
        if "out" in path.parts:
            raise OSError(errno.ENOSPC, "No space left on device")
        write(path, content)

    monkeypatch.setattr(files, "_write", full)
    done = adapt(run, shop, "linnet-cargo-glass", "demo-shallow-165")
    assert done.code == 2
    assert done.err.startswith("the disk is full: ")
    assert held(shop) == before
    assert not (shop.parent / "out").exists()


def test_a_missing_job_is_one_line(run):
    done = run("adapt", "nope.yaml", "--speaker", "demo-woofer-130")
    assert (done.code, done.out, done.err) == (2, "", "nope.yaml there is no such file\n")
