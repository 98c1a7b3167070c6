"""What a person may get wrong, each with the whole message and its place; and every error at once."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from mounts.load.resolve.job import load_job

JOB = "jobs/woofer.yaml"
DOOR = "panels/door.yaml"
CONE = "speakers/cone.yaml"
PARTS = "hardware/small-parts.yaml"
LENGTH = 'give a number of mm or a text such as "6.5 in"'


CASES = yaml.safe_load((Path(__file__).parent / "bad_input.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['file']}: {case['new'] or case['old']}"[:60])
def test_all_that_is_said(shop: Any, case: dict[str, Any]) -> None:
    shop.change(case["file"], case["old"], case["new"])
    assert shop.problems() == case["says"]


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        (
            "thread: M5, hole: 7.2",
            "thread: 5, hole: 7.2",
            '5:35 items.nut-m5.thread: 5 is not a metric thread; write it as "M5"',
        ),
        (
            "is: rivet-nut",
            "is: rivet-nuts",
            '5:16 items.nut-m5.is: "rivet-nuts" is not known here; give rivet-nut, expansion-nut, clip-nut, thread, '
            'insert, pilot, through, screw or washer; did you mean "rivet-nut"?',
        ),
        ("kind: hardware", "kind: hardwear", '1:7 kind: kind is "hardwear"; a hardware is needed here'),
    ],
)
def test_broken_hardware_is_told_in_place_of_the_names_that_it_hides(
    shop: Any, old: str, new: str, problem: str
) -> None:
    shop.change(PARTS, old, new)
    assert shop.problems() == [f"{PARTS}:{problem}"]  # also of insert-m4, of which a shipped one would fit


def test_every_problem_of_every_file_at_once(shop: Any) -> None:
    shop.change(JOB, "height: 22", "hight: 22\nturn: true")
    shop.change(JOB, "fix_speaker: insert-m4", "fix_speaker: insert-m55")
    shop.change(DOOR, "[58.0, 53.5]", "[30.0, 30.0]")
    shop.change(CONE, "cutout: 116", "cutout: wide")
    shop.change("materials/asa.yaml", "softens: 100", "softens: hot\nkg: 1")
    shop.change("printers/big.yaml", "name: big", "name: small")
    assert shop.problems() == [
        f'{JOB}:9:1 hight: unknown key "hight"; did you mean "height"?',
        f'{JOB}:10:7 turn: true is not an angle; give a number of degrees or a text such as "12 deg"',
        f'{JOB}:12:14 fix_speaker.hardware: no hardware "insert-m55" in the library; did you mean "insert-m5"?',
        'materials/asa.yaml:8:10 softens: "hot" is not a number',
        'materials/asa.yaml:9:1 kg: unknown key "kg"; keys here: kind, name, about, source, density, strength_mpa, '
        "modulus_mpa, poisson, expansion, service, softens, across_layers, shrink_pct, fumes, comes_as, along_mpa, "
        "screw_hold, service_class, price, confidence",
        f"{DOOR}:10:11 fixings.at.A: fixing A lies inside the opening; there is nothing to fasten to",
        'printers/big.yaml:2:7 name: the name is "small" but the file is "big.yaml"; they must be the same',
        f'{CONE}:5:9 cutout: "wide" is not a length; {LENGTH}',
    ]


def test_two_typos_do_not_share_a_suggestion(shop: Any) -> None:
    shop.change(JOB, "height: 22", "heigth: 22\nhieght: 22")
    assert shop.problems() == [
        f'{JOB}:9:1 heigth: unknown key "heigth"; did you mean "height"?',
        f'{JOB}:10:1 hieght: unknown key "hieght"; keys here: kind, name, about, based_on, vehicle, date, notes, '
        "panel, speaker, material, printer, make, sheet, sides, aim, height, turn, sure, fix_to_panel, fix_speaker, "
        "wire, seat_offset, gaskets, collar, flush, proud, in_two, fix_halves, label, limits",
    ]


def test_a_thing_written_in_place_is_told_by_its_place(shop: Any) -> None:
    shop.change(JOB, "speaker: cone", "speaker: {cutout: 116, flange: {diameter: 130}, deep: 5}")
    thickness = "of the flange, from the seat to its front"
    assert shop.problems() == [
        f'{JOB}:4:24 speaker.flange.thickness: the key "thickness" is missing: {thickness}',
        f'{JOB}:4:49 speaker.deep: unknown key "deep"; did you mean "depth"?',
    ]


@pytest.mark.parametrize("name", ["missing.yaml", "folder", "empty.yaml", "binary.yaml"])
def test_jobs_that_are_no_files(shop: Any, name: str) -> None:
    Path("profiles/jobs/folder").mkdir()
    Path("profiles/jobs/empty.yaml").write_text("", "utf-8")
    Path("profiles/jobs/binary.yaml").write_bytes(b"\x00\xff\x00")
    said = {
        "missing.yaml": "there is no such file",
        "folder": "this is a folder; give a YAML file",
        "empty.yaml": "the file is empty; `mounts new` writes one to fill in",
        "binary.yaml": "this is not a text file in UTF-8; give a YAML file",
    }
    assert shop.problems(f"jobs/{name}") == [f"jobs/{name} {said[name]}"]


def test_a_missing_library(shop: Any, said: Callable[..., str]) -> None:
    assert said(load_job, Path("profiles") / JOB, Path("nowhere")) == "nowhere there is no such library folder"


def test_halves_are_asked_for_in_words_that_are_known_and_screwed_with_what_there_is(shop: Any) -> None:
    shop.change(JOB, "height: 22", "height: 22\nin_two: maybe\nfix_halves: through-m4")
    assert shop.problems() == [
        f'{JOB}:10:9 in_two: "maybe" is not known here; give true, false, as needed, or where a lap is to be, "3:00"',
        f"{JOB}:11:13 fix_halves.hardware: through-m4 is a through; fix_halves.hardware takes insert or pilot",
    ]
