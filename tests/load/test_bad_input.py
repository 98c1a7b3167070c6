# ruff: noqa: E501 (messages are told whole, as a person reads them)
"""What a person may get wrong, each with the whole message and its place; and every error at once."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from mounts.load.job import load_job

JOB = "jobs/woofer.yaml"
DOOR = "panels/door.yaml"
CONE = "speakers/cone.yaml"
PARTS = "hardware/small-parts.yaml"
LENGTH = 'give a number of mm or a text such as "6.5 in"'


def one(file: str, old: str, new: str, problem: str) -> Any:
    """A change to one file of the library, and the one problem that it makes."""
    return pytest.param(file, old, new, problem, id=problem[:70])


@pytest.mark.parametrize(
    ("file", "old", "new", "problem"),
    [
        # unknown, missing and repeated keys
        one(JOB, "height: 22", "hight: 22", f'{JOB}:9:1 hight: unknown key "hight"; did you mean "height"?'),
        one(
            DOOR,
            "  hole: 7.0",
            "  drill: 7.0",
            f'{DOOR}:9:3 fixings.drill: unknown key "drill"; keys here: hole, was, at, bolt_circle, heights',
        ),
        one(DOOR, "\nopening:", "\nopenng:", f'{DOOR}:7:1 openng: unknown key "openng"; did you mean "opening"?'),
        one(
            DOOR,
            "opening: {round: 120}\n",
            "",
            f'{DOOR}:1:1 opening: the key "opening" is missing: the hole in the panel, such as {{round: 120}}',
        ),
        one(
            CONE,
            "depth: 56\n",
            "",
            f'{CONE}:1:1 depth: the key "depth" is missing: from the seat to the rearmost point',
        ),
        one(
            JOB,
            "material: asa\n",
            "",
            f'{JOB}:1:1 material: the key "material" is missing: name of a material, a file beside this one, or the '
            "material itself",
        ),
        one(
            JOB,
            "height: 22",
            "height: 22\nheight: 23",
            f'{JOB}:10:1 height: the key "height" is given twice (first on line 9)',
        ),
        one(JOB, "height: 22", "height:", f"{JOB}:9:8 height: no value is given; give one, or delete the line"),
        # wrong types and values
        one(JOB, "height: 22", "height: yes", f'{JOB}:9:9 height: "yes" is not known here; give a number or "least"'),
        one(JOB, "height: 22", "height: true", f"{JOB}:9:9 height: true is not a length; {LENGTH}"),
        one(JOB, "height: 22", "height: best", f'{JOB}:9:9 height: "best" is not built yet; give a number or "least"'),
        one(JOB, "height: 22", "height: 0", f"{JOB}:9:9 height: 0 is not above 0"),
        one(JOB, "height: 22", "turn: .nan", f"{JOB}:9:7 turn: nan is not a finite number of sensible size"),
        one(JOB, "height: 22", "sure: 1", f"{JOB}:9:7 sure: 1 is out of range; give a number above 0 and below 1"),
        one(JOB, "height: 22", "collar: no", f'{JOB}:9:9 collar: "no" is neither true nor false'),
        one(
            JOB,
            "height: 22",
            "label: off",
            f'{JOB}:9:8 label: "off" is not known here; give true, false, sunk or raised',
        ),
        one(JOB, "height: 22", "make: mill", f'{JOB}:9:7 make: "mill" is not known here; give print or cut'),
        one(
            JOB,
            "height: 22",
            "gaskets: {base: true}",
            f"{JOB}:9:17 gaskets.base: true is not a gasket; give {{thickness: 3, width: 6}}, or false for none",
        ),
        one(JOB, "height: 22", "limits: {glass: -1}", f"{JOB}:9:17 limits.glass: -1 is negative; give 0 or more"),
        one(JOB, "height: 22", "limits: {edge: -2}", f"{JOB}:9:16 limits.edge: -2 is negative; give 0 or more"),
        one(
            JOB,
            "tilt: 8",
            "tilt: -8",
            f"{JOB}:8:13 aim.tilt: -8 is not a tilt; give 0 to 60 degrees, and toward for the direction",
        ),
        one(
            JOB,
            '{tilt: 8, toward: "10:30"}',
            "{tilt: 8}",
            f'{JOB}:8:6 aim: tilt 8 needs a direction; give toward, such as "10:30"',
        ),
        one(
            JOB,
            '{tilt: 8, toward: "10:30"}',
            "best",
            f'{JOB}:8:6 aim: "best" is not built yet; give {{tilt: 8, toward: "10:30"}}',
        ),
        one(
            JOB, "[left, right]", "[left, rihgt]", f'{JOB}:7:15 sides.1: "rihgt" is not known here; give left or right'
        ),
        one(JOB, "[left, right]", "left", f'{JOB}:7:8 sides: "left" is given; a list in brackets is needed'),
        one(
            JOB,
            "[left, right]",
            "[left, left]",
            f"{JOB}:7:8 sides: give each side once: [left], [right] or [left, right]",
        ),
        one(JOB, "[left, right]", "[]", f"{JOB}:7:8 sides: give each side once: [left], [right] or [left, right]"),
        one(
            JOB,
            "panel: door",
            "panel: 5",
            f"{JOB}:3:8 panel: 5 is given; give the name of a panel, a file beside this one, or the panel itself",
        ),
        one(JOB, "name: woofer", "name: 6.5", f"{JOB}:2:7 name: 6.5 is not text; put it in quotes"),
        one(
            JOB,
            "name: woofer",
            "name: tweeter",
            f'{JOB}:2:7 name: the name is "tweeter" but the file is "woofer.yaml"; they must be the same',
        ),
        one(JOB, "kind: ring", "kind: rings", f'{JOB}:1:7 kind: "rings" is not known here; give ring'),
        one(JOB, "kind: ring", "kind: cup", f"{JOB}:1:7 kind: kind cup is not built yet; kinds: ring"),
        one(JOB, "kind: ring", "kind: spacer", f"{JOB}:1:7 kind: kind spacer is not built yet; kinds: ring"),
        one(
            JOB,
            "kind: ring",
            "kind: panel",
            f"{JOB}:1:7 kind: this is a panel, not a job; give a job, whose kind is ring",
        ),
        one(DOOR, "kind: panel", "kind: speaker", f'{DOOR}:1:7 kind: kind is "speaker"; a panel is needed here'),
        one(
            DOOR,
            "{round: 120}",
            "{round: 6.5}",
            f"{DOOR}:7:10 opening: 6.5 is 6.5 mm; write 6.5 in if inches are meant",
        ),
        one(
            DOOR, "{round: 128}", "5", f"{DOOR}:17:56 in_front.trim.opening: 5 is 5 mm; write 5 in if inches are meant"
        ),
        one(
            CONE,
            "cutout: 116",
            "cutout: 5.25",
            f"{CONE}:5:9 cutout: 5.25 is 5.25 mm; write 5.25 in if inches are meant",
        ),
        one(
            CONE,
            "{diameter: 135, thickness: 4.0}",
            "{oblong: [9, 6], thickness: 4.0}",
            f"{CONE}:6:9 flange: 9 is 9 mm; write 9 in if inches are meant",
        ),
        one(
            DOOR,
            "{round: 120}",
            "{round: 120, oblong: [150, 110]}",
            f"{DOOR}:7:10 opening: round and oblong are given; give one of round, oblong, rectangle, square, outline",
        ),
        one(
            DOOR,
            "{round: 120}",
            "{unit: mm}",
            f"{DOOR}:7:10 opening: no shape is given; give one of round, oblong, rectangle, square, outline",
        ),
        one(
            DOOR,
            "{round: 120}",
            "{rectangle: [150, 110, 0.2]}",
            f"{DOOR}:7:33 opening.rectangle.2: 0.2 is too sharp; a corner's radius is at least 0.5",
        ),
        one(
            DOOR,
            "{round: 120}",
            "{rectangle: [150, 110]}",
            f"{DOOR}:7:11 opening.rectangle.2: 2 given; one more is needed",
        ),
        one(
            DOOR,
            "{round: 120}",
            "{rectangle: [150, 110, 60]}",
            f"{DOOR}:7:10 opening: the corner 60 does not fit; the most here is 55",
        ),
        one(
            DOOR,
            "{round: 120}",
            "{square: 110}",
            f"{DOOR}:7:10 opening: square and corner belong together, as in {{square: 130, corner: 12}}",
        ),
        one(DOOR, "[58.0, 53.5]", "[58.0]", f"{DOOR}:10:8 fixings.at.A.1: 1 given; one more is needed"),
        one(DOOR, "[58.0, 53.5]", "[1, 2, 3]", f"{DOOR}:10:11 fixings.at.A: 3 given; at most 2 needed"),
        one(DOOR, "[58.0, 53.5]", "58.0", f"{DOOR}:10:11 fixings.at.A: 58 is given; a list in brackets is needed"),
        one(DOOR, "{C: 1.2}", "{E: 1.2}", f'{DOOR}:11:12 fixings.heights: "E" is no fixing; fixings: A, B, C, D'),
        one(DOOR, "{C: 1.2}", "{C: -1.2}", f"{DOOR}:11:16 fixings.heights.C: -1.2 is negative; give 0 or more"),
        one(
            DOOR,
            '"3:00": 55',
            '"15:00": 55',
            f'{DOOR}:13:21 behind.glass.at_clock: "15:00" is not on the clock; write "1:00" to "12:59", such as "10:30"',
        ),
        one(
            DOOR,
            '"3:00": 55',
            '"0": 55',
            f'{DOOR}:13:21 behind.glass.at_clock: "0" and "12:00" are the same direction',
        ),
        one(DOOR, "side: left", "side: centre", f'{DOOR}:4:7 side: "centre" is not known here; give left or right'),
        one(
            DOOR,
            "place: door",
            "place: dor",
            f'{DOOR}:6:8 place: "dor" is not known here; give door, dash, pillar, shelf, floor or boot; did you mean "door"?',
        ),
        one(
            DOOR,
            "place: door",
            "read_with: {holes: ruler}",
            f'{DOOR}:6:20 read_with.holes: "ruler" is not an instrument; give one of caliper, rubbing, clay, depth rod, tape, '
            "or a number",
        ),
        one(
            DOOR,
            "place: door",
            "ears: {this_seat: {up: 1, inboard: 2}}",
            f"{DOOR}:6:19 ears.this_seat: 2 of 4 distances given; give any three of straight, rearward, inboard, up",
        ),
        one(
            DOOR,
            "place: door",
            "ears: {this_seat: {straight: 500, up: 600, inboard: 300}}",
            f"{DOOR}:6:19 ears.this_seat: straight 500 does not agree with the others, which give 671",
        ),
        one(
            DOOR,
            "place: door",
            "face: steel",
            f'{DOOR}:6:7 face: "steel" is given; keys with values are needed: of, thickness, bead, lining',
        ),
        one(
            CONE,
            "depth: [18, 34]",
            "depth: [34, 18]",
            f"{CONE}:13:12 terminals: depth [34, 18] does not rise; give [from, to]",
        ),
        one(
            CONE,
            "count: 4",
            "count: 2.5",
            f"{CONE}:7:45 holes.bolt_circle.count: 2.5 is not a number of holes; give a whole number from 2 to 24",
        ),
        one(
            CONE,
            "piston: 105",
            "piston: 105\nsd: 133 cm2",
            f"{CONE}:1:1 piston 105 and sd 133 cm2 disagree; that area is a piston of 130.1",
        ),
        one(
            PARTS,
            "thread: M5, hole: 7.2",
            "thread: 5, hole: 7.2",
            f'{PARTS}:5:35 items.nut-m5.thread: 5 is not a metric thread; write it as "M5"',
        ),
        one(
            PARTS,
            "is: rivet-nut",
            "is: rivet-nuts",
            f'{PARTS}:5:16 items.nut-m5.is: "rivet-nuts" is not known here; give rivet-nut, well-nut, clip-nut, thread, '
            'insert, pilot, through, screw or washer; did you mean "rivet-nut"?',
        ),
    ],
)
def test_one_thing_wrong(shop: Any, file: str, old: str, new: str, problem: str) -> None:
    shop.change(file, old, new)
    found = shop.problems()
    assert problem in found
    if file != PARTS:  # a broken hardware file also leaves its items missing, which is told beside it
        assert found == [problem]


@pytest.mark.parametrize(
    ("file", "old", "new", "problem"),
    [
        # numbers that contradict each other
        one(
            DOOR,
            "[58.0, 53.5]",
            "[30.0, 30.0]",
            f"{DOOR}:10:11 fixings.at.A: fixing A lies inside the opening; there is nothing to fasten to",
        ),
        one(
            DOOR,
            "[58.0, 53.5]",
            "[62.0, 0.0]",
            f"{DOOR}:10:11 fixings.at.A: fixing A breaks into the opening; there is nothing to fasten to",
        ),
        one(
            DOOR,
            "[58.0, 53.5]",
            "[400, 400]",
            f"{DOOR}:10:11 fixings.at.A: fixing A lies 566 from the opening's centre; 500 is the most",
        ),
        one(
            DOOR,
            "[58.5, -54.0]",
            "[58.0, 50.0]",
            f"{DOOR}:10:28 fixings.at.B: fixings A and B are 3.50 apart; holes of 7 need 9",
        ),
        one(
            CONE,
            "{depth: 30, across: 84}",
            "{depth: 30, across: 118}",
            f"{CONE}:11:25 body.1.across: the body is 118 across at depth 30; the cutout passes 116",
        ),
        one(
            CONE,
            "{depth: 30, across: 84}",
            "{depth: 57, across: 84}",
            f"{CONE}:11:13 body.1.depth: the body goes on to 57, deeper than the speaker's depth of 56\n"
            f"{CONE}:12:13 body.2.depth: depth 56 comes after 57; give the body in rising depth",
        ),
        one(
            CONE,
            "depth: [18, 34]",
            "depth: [18, 60]",
            f"{CONE}:13:59 terminals.depth.1: the terminals reach 60, deeper than the speaker's depth of 56",
        ),
        one(
            CONE,
            "diameter: 127",
            "diameter: 110",
            f"{CONE}:7:33 holes.bolt_circle.diameter: screw hole 1 lies inside the cutout; there is nothing to screw into",
        ),
        one(
            CONE,
            "diameter: 127",
            "diameter: 119",
            f"{CONE}:7:33 holes.bolt_circle.diameter: screw hole 1 breaks into the cutout; there is nothing to screw into",
        ),
        one(
            CONE,
            "diameter: 127",
            "diameter: 140",
            f"{CONE}:7:33 holes.bolt_circle.diameter: screw hole 1 lies outside the flange; give flange its ears: the width "
            "round each hole",
        ),
        one(
            CONE,
            '{bolt_circle: {diameter: 127, count: 4, first: "1:30"}',
            "{at: [[62, 0], [-50, 0]]",
            f"{CONE}:7:23 holes.at.1: screw hole 2 lies inside the cutout; there is nothing to screw into",
        ),
        one(
            DOOR,
            "hole: 7.0",
            "hole: 7.5",
            f"{DOOR}:9:9 fixings.hole: the hole is 7.5, but nut-m5 holds in 7.2 to 7.4; choose larger hardware, or measure again",
        ),
        one(
            DOOR,
            "place: door",
            "face: {bead: {inside: 110, outside: 140, height: 1}}",
            f"{DOOR}:6:23 face.bead.inside: the bead begins at 110, inside the opening of 120",
        ),
        one(
            DOOR,
            "other_side: mirrored",
            "other_side: {as: mirrored, check: {A-C: 160}}",
            f"{DOOR}:5:41 other_side.check.A-C: A-C is 160 on the other side but 157.11 here; measure that side as a panel of "
            "its own",
        ),
        one(
            DOOR,
            "other_side: mirrored",
            "other_side: {as: mirrored, check: {A-X: 160}}",
            f'{DOOR}:5:36 other_side.check.A-X: "A-X" names no two fixings; write it as A-B',
        ),
        one(
            DOOR,
            "other_side: mirrored\n",
            "",
            f"{JOB}:7:8 sides: the right side is asked for, but door was measured on the left and says nothing of the other; "
            "give that panel other_side: mirrored, same, or the name of the panel measured there",
        ),
        one(
            JOB,
            "height: 22",
            "make: cut",
            f"{JOB}:8:13 aim.tilt: a ring cut from sheet is flat; tilt is 8: give 0, or make: print\n"
            f"{JOB}:9:7 make: cut needs the thickness of the sheet; give sheet, such as sheet: 9",
        ),
        one(
            JOB, "height: 22", "sheet: 9", f"{JOB}:9:8 sheet: a sheet is for make: cut; leave it out, or give make: cut"
        ),
        one(
            JOB,
            "\nfix_speaker: insert-m4",
            "",
            f"{JOB}:1:1 cone has 4 screw holes; give fix_speaker, such as insert-m4-short",
        ),
        one(
            JOB,
            "speaker: cone",
            "speaker: dome",
            f"{JOB}:11:14 fix_speaker: dome has no screw holes; leave fix_speaker out, or give the speaker its holes",
        ),
        # names that lead nowhere, or to the wrong thing
        one(
            JOB,
            "speaker: cone",
            "speaker: con",
            f'{JOB}:4:10 speaker: no speaker "con" in speakers; did you mean "cone"?',
        ),
        one(
            JOB, "speaker: cone", "speaker: xyz", f'{JOB}:4:10 speaker: no speaker "xyz" in speakers; there: cone, dome'
        ),
        one(
            JOB, "panel: door", "panel: ./door.yaml", f'{JOB}:3:8 panel: there is no file "./door.yaml" beside this one'
        ),
        one(
            JOB,
            "fix_to_panel: nut-m5",
            "fix_to_panel: nut-m55",
            f'{JOB}:10:15 fix_to_panel.hardware: no hardware "nut-m55" in the library; did you mean "nut-m5"?',
        ),
        one(
            JOB,
            "fix_to_panel: nut-m5",
            "fix_to_panel: insert-m4",
            f"{JOB}:10:15 fix_to_panel.hardware: insert-m4 is an insert; fix_to_panel.hardware takes rivet-nut, well-nut, "
            "clip-nut, thread or through",
        ),
        one(
            JOB,
            "fix_to_panel: nut-m5",
            "fix_to_panel: {hardware: nut-m5, screw: iso-7380-m4}",
            f"{JOB}:10:41 fix_to_panel.screw: iso-7380-m4 has the thread M4; M5 is needed",
        ),
        one(
            JOB,
            "fix_to_panel: nut-m5",
            "fix_to_panel: {hardware: nut-m5, washer: 6}",
            f"{JOB}:10:42 fix_to_panel.washer: a washer 6 across leaves nothing round its hole of 5.3",
        ),
        one(
            JOB,
            "fix_speaker: insert-m4",
            "fix_speaker: nut-m5",
            f"{JOB}:11:14 fix_speaker.hardware: nut-m5 is a rivet-nut; fix_speaker.hardware takes insert, pilot or through",
        ),
        one(
            DOOR,
            "other_side: mirrored",
            "other_side: doors",
            f'{DOOR}:5:13 other_side: no panel "doors" in panels; did you mean "door"?',
        ),
        one(
            DOOR,
            "other_side: mirrored",
            "other_side: door",
            f"{DOOR}:5:13 other_side: door was measured on the left, so it is not the right side of this one",
        ),
    ],
)
def test_contradictions_and_references(shop: Any, file: str, old: str, new: str, problem: str) -> None:
    shop.change(file, old, new)
    assert "\n".join(shop.problems()) == problem


def test_every_problem_of_every_file_at_once(shop: Any) -> None:
    shop.change(JOB, "height: 22", "hight: 22\nturn: true")
    shop.change(JOB, "fix_speaker: insert-m4", "fix_speaker: insert-m5")
    shop.change(DOOR, "[58.0, 53.5]", "[30.0, 30.0]")
    shop.change(CONE, "cutout: 116", "cutout: wide")
    shop.change("materials/asa.yaml", "softens: 100", "softens: hot\nkg: 1")
    shop.change("printers/big.yaml", "name: big", "name: small")
    assert shop.problems() == [
        f'{JOB}:9:1 hight: unknown key "hight"; did you mean "height"?',
        f'{JOB}:10:7 turn: true is not an angle; give a number of degrees or a text such as "12 deg"',
        f'{JOB}:12:14 fix_speaker.hardware: no hardware "insert-m5" in the library; did you mean "insert-m4"?',
        'materials/asa.yaml:8:10 softens: "hot" is not a number',
        'materials/asa.yaml:9:1 kg: unknown key "kg"; keys here: kind, name, about, source, density, strength_mpa, '
        "modulus_mpa, poisson, expansion, service, softens, across_layers, confidence",
        f"{DOOR}:10:11 fixings.at.A: fixing A lies inside the opening; there is nothing to fasten to",
        'printers/big.yaml:2:7 name: the name is "small" but the file is "big.yaml"; they must be the same',
        f'{CONE}:5:9 cutout: "wide" is not a length; {LENGTH}',
    ]


def test_two_typos_do_not_share_a_suggestion(shop: Any) -> None:
    shop.change(JOB, "height: 22", "heigth: 22\nhieght: 22")
    assert shop.problems() == [
        f'{JOB}:9:1 heigth: unknown key "heigth"; did you mean "height"?',
        f'{JOB}:10:1 hieght: unknown key "hieght"; keys here: kind, name, about, based_on, vehicle, date, notes, panel, '
        "speaker, material, printer, make, sheet, sides, aim, height, turn, sure, fix_to_panel, fix_speaker, wire, "
        "seat_offset, gaskets, collar, flush, label, limits",
    ]


def test_a_thing_written_in_place_is_told_by_its_place(shop: Any) -> None:
    shop.change(JOB, "speaker: cone", "speaker: {cutout: 116, flange: {diameter: 130}, deep: 5}")
    assert (
        shop.problems()
        == [
            f'{JOB}:4:49 speaker.deep: unknown key "deep"; did you mean "depth"?',
            f'{JOB}:4:24 speaker.flange.thickness: the key "thickness" is missing: of the flange, from the seat to its front',
        ][::-1]
    )


def test_broken_hardware_is_told_with_the_name_that_it_hides(shop: Any) -> None:
    shop.change(PARTS, "kind: hardware", "kind: hardwear")
    found = shop.problems()
    assert f'{PARTS}:1:7 kind: kind is "hardwear"; a hardware is needed here' in found
    assert f'{JOB}:10:15 fix_to_panel.hardware: no hardware "nut-m5" in the library; there: none' in found


@pytest.mark.parametrize("name", ["missing.yaml", "folder", "empty.yaml", "binary.yaml"])
def test_jobs_that_are_no_files(shop: Any, name: str) -> None:
    Path("profiles/jobs/folder").mkdir()
    Path("profiles/jobs/empty.yaml").write_text("")
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
