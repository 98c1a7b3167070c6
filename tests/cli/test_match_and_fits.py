"""`mounts match`, `mounts fits` and the list's filters, as a person types them."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.libraries import DOOR, write

PROFILES = Path(__file__).parents[2] / "profiles"
HEAVY = ("numpy", "pydantic", "cadquery", "OCP", "trimesh", "rich", "yaml", "scipy")


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """The demo library with one door more, and a cache of its own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    shutil.copytree(PROFILES, tmp_path / "profiles")
    other = {name: (x + 0.2, y - 0.1) for name, (x, y) in DOOR.items()}
    write(tmp_path / "profiles", "seen-again", other, head="measured: {by: me, on: 2026-12-01}\nplace: door\n")
    return tmp_path / "profiles"


def test_match_tells_what_was_found_and_what_to_do_next(run, shop):
    done = run("match", "seen-again", "--library", shop)
    assert (done.code, done.err) == (0, "")
    assert "measured by me, 2026-12-01; unstated how well" in done.out
    assert "linnet-front-door  nowhere off; in the same hand, upright" in done.out
    assert "measured by demo, 2026-11-20; holes read to 0.25 by caliper" in done.out
    assert "not measured here: depth to glass (52 there)" in done.out
    assert "based_on: linnet-front-aimed" in done.out
    assert max(map(len, done.out.splitlines())) <= 80


def test_match_as_json_is_one_document(run, shop):
    told = json.loads(run("match", "seen-again", "--library", shop, "--json").out)
    assert (told["schema"], told["panel"]["name"], told["looked_at"]) == (1, "seen-again", 12)
    (match,) = told["matches"]
    assert (match["panel"], match["whole"], match["agrees"]) == ("linnet-front-door", True, True)
    assert match["worst"] == pytest.approx(0, abs=1e-6)
    assert match["motion"] == {"mirrored": False, "turn": pytest.approx(0, abs=1e-3), "shift": [0.2, -0.1]}
    jobs = {job["job"]: job for job in match["jobs"]}
    assert jobs["linnet-woofer"]["chance"]["as_read"] <= jobs["linnet-woofer"]["chance"]["if_same"] <= 1
    assert jobs["linnet-woofer"]["own_job"]["text"].splitlines()[-1] == "sides: [left]"
    assert [job["goes_on"] for job in match["jobs"]] == [True] * len(match["jobs"])


def test_match_of_a_lone_panel_says_what_to_do(run, shop):
    done = run("match", "linnet-sail", "--library", shop)
    assert done.code == 0
    assert "no panel in the library has these pins" in done.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("match", "linnet-sial"), 'did you mean "linnet-sail"?'),
        (("match", "nowhere.yaml"), "nowhere.yaml there is no such file"),
        (("match", "linnet-sail", "--within", "99"), "99"),
        (("fits", "linnet-sial"), 'did you mean "linnet-sail"?'),
        (("fits", "linnet-sail", "--material", "assa"), 'did you mean "asa"?'),
        (("fits", "linnet-sail", "--printer", "bed-25"), 'did you mean "bed-250"?'),
        (("fits", "linnet-sail", "--tilts", "0,ninety"), "no list of degrees"),
        (("fits", "linnet-sail", "--tilts", "0,80"), "from 0 to 45"),
        (("fits", "linnet-sail", "--toward", "13:30"), "is not on the clock"),
    ],
)
def test_wrong_words_are_told_before_anything_is_done(run, shop, words, told):
    done = run(*words, "--library", shop)
    assert (done.code, done.out) == (2, "")
    assert told in done.err


def test_fits_tells_the_room_and_the_speakers(run, shop):
    for file in (shop / "speakers").glob("*.yaml"):
        if file.stem not in ("demo-woofer-100", "demo-woofer-165", "demo-tweeter-20"):
            file.unlink()
    brief = run("fits", "linnet-front-door", "--library", shop, "--tilts", "0").out.splitlines()
    assert brief[0] == "linnet-front-door: 1 of 2 speakers go in"
    next_line = "next mounts start linnet-front-door demo-woofer-100"
    assert " ".join(" ".join(brief[-2:]).split()) == next_line
    assert len(brief) <= 20 and max(map(len, brief)) <= 80
    done = run("fits", "linnet-front-door", "--library", shop, "--tilts", "0", "--all")
    assert done.code == 0
    lines = done.out.splitlines()
    assert lines[1] == "tilts of 0 degrees towards 10:37, the ear of its own seat"
    assert lines[2] == "planned with asa, bed-250, rivet-nut-m5, insert-m4-short, base gasket 6 wide"
    assert any(line.startswith("depth with a magnet of 80") and line.endswith("lift rail") for line in lines)
    woofer = next(line for line in lines if line.startswith("demo-woofer-100"))
    assert woofer.split()[1:] == ["102", "0", "+3.4", "9.0", "pass", "body", "to", "lift", "rail"]
    assert any(line.startswith("no: demo-woofer-165 at 0°: tool path") for line in lines)
    assert "not tried, being of the other sort: demo-tweeter-20" in done.out
    assert max(map(len, lines)) <= 80


def test_fits_as_json_is_one_document(run, shop):
    for file in (shop / "speakers").glob("*.yaml"):
        if file.stem not in ("demo-woofer-100", "demo-tweeter-20"):
            file.unlink()
    done = run("fits", "linnet-sail", "--library", shop, "--tilts", "5", "--toward", "3:00", "--json")
    assert done.code == 0
    told = json.loads(done.out)
    assert (told["schema"], told["toward"], told["why_there"]) == (1, 90.0, "as asked")
    assert told["planned_with"] == {
        "material": "asa",
        "printer": "bed-250",
        "fix_to_panel": None,
        "fix_speaker": None,
        "base_gasket": None,
    }
    assert [depth["across"] for depth in told["room"][0]["depths"]] == [20.0, 28.0, 36.0]
    (tweeter,) = told["speakers"]
    assert (tweeter["speaker"], tweeter["size"], tweeter["passes"]) == ("demo-tweeter-20", 34.0, True)
    assert tweeter["trials"][0]["reading"] == "panel.room"
    assert told["left_out"] == ["demo-woofer-100"]


@pytest.mark.parametrize(
    ("words", "names"),
    [
        (("--place", "dash"), ["linnet-dash-grille"]),
        (("--holes", "3"), ["linnet-kick", "linnet-rear-door"]),
        (("--pins", "3"), ["linnet-sail"]),
        (("--pins", "3", "--place", "door"), ["linnet-sail"]),
        (("--size", "6.5in"), ["demo-shallow-165", "demo-woofer-165"]),
        (("--size", "6.5"), ["demo-shallow-165", "demo-woofer-165"]),
        (("--size", "165"), ["demo-shallow-165", "demo-woofer-165"]),
    ],
)
def test_list_filters(run, words, names):
    done = run("list", *words, "--json")
    assert [entry["name"] for entry in json.loads(done.out)["entries"]] == names
    assert json.loads(run("list", "--check", *words, "--json").out)["entries"] == json.loads(done.out)["entries"]


def test_list_of_what_is_not_there_tells_what_is(run):
    assert "place: boot, dash, door, shelf" in run("list", "--place", "roof").err.replace("floor, ", "")
    assert 'did you mean "panel"?' in run("list", "pannel").err
    assert "holds no speaker of that sort" in run("list", "speaker", "--holes", "4").err


def test_a_panel_that_nobody_signed_is_said_to_be_unstated(run, tmp_path):
    write(tmp_path, "bare")
    assert "unstated who measured; unstated how well" in run("list", "--library", tmp_path).out


def test_a_look_needs_nothing_heavy(shop):
    script = (
        "from pathlib import Path\nfrom mounts.matching.match import SearchOptions, search_panels\n"
        f"root = Path({str(shop)!r})\nsearch_panels(root, 'seen-again', SearchOptions(), lambda *_: None)\n"
    )
    told = f"import sys; print([name for name in {HEAVY} if name in sys.modules])"
    for first in (True, False):
        ran = subprocess.run([sys.executable, "-c", script + told], capture_output=True, text=True, check=True)
        if not first:
            assert ran.stdout.strip() == "[]"
