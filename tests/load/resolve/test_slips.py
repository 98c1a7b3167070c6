"""Slips of the hand are asked about by name, before anything is to be read again; what is meant says its unit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from mounts.load.resolve.library import load_profile
from tests.load.resolve.test_survey import AT

PROFILES = Path(__file__).parents[3] / "profiles"

DOOR = "panels/door.yaml"
ROUND, WIDE = "opening: {round: 120}\n", "opening: {oblong: [150, 110]}\n"
CENTRES = """\
  distances:
    between: centres
    readings: {A-B: 100, B-C: 140, C-D: 100, D-A: 140, A-C: 172.05, B-D: 172.05}
    to_opening: {A: &to {vertical: 70, horizontal: 50}, B: *to, C: *to, D: *to}
    level: [C, A, 35.54]
  order: clockwise
"""
EDGES = """\
  distances:
    between: inside edges
    readings: {A-B: 93, B-C: 133, C-D: 93, D-A: 133, A-C: 165.05, B-D: 165.05}
    to_opening: {A: 12.2, B: 12.2, C: 12.2, D: 12.2}
    level: [D, A]
  order: clockwise
"""


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("place: door", "place: door\nlean: 96", "lean is 0 where the panel stands upright, and 96 is more than 45"),
        ("place: door", "place: door\nlean: 96", "give 6 if it was read from the floor"),
        ("place: door", "place: dash\ntoe: -91", "toe is 0 where the panel faces straight inboard, and -91 is more"),
        ("hole: 7.0", "hole: 0.7", 'a hole of 0.7 mm holds no mount; 2 to 30 is usual: is "0.7 cm" meant?'),
        ("hole: 7.0", "hole: 70", "is 7 meant?"),
        (
            "place: door",
            "place: door\nears: {this_seat: {rearward: 16, inboard: 14, up: 20}}",
            "the ear is 29 from the opening's centre, nearer than any: write the unit that was read",
        ),
        ('{at_clock: {"12:00": 52, "3:00": 55}}', '{at_clock: {"12:00": 5.2, "3:00": 5.5}}', 'write "5.5 cm"'),
        (
            "{A: [58.0, 53.5], B: [58.5, -54.0], C: [-57.5, -53.0], D: [-58.0, 54.0]}",
            "{A: [5.8, 5.35], B: [5.85, -5.4], C: [-5.75, -5.3], D: [-5.8, 5.4]}",
            'if they were read in cm: write each with its unit, as in A: ["5.8 cm", …]',
        ),
        (
            f"{ROUND}fixings:\n  hole: 7.0\n{AT}",
            f"{WIDE}fixings:\n  hole: 7.0\n  at: {{A: [0, 80], B: [65, 0], C: [0, -80], D: [-65, 0]}}\n",
            "opening.oblong: [150, 110] is width, then height: fixings B, D lie in it, and none does in [110, 150]",
        ),
    ],
)
def test_a_slip_is_asked_about(shop: Any, old: str, new: str, says: str) -> None:
    shop.change(DOOR, old, new)
    (problem,) = shop.problems()
    assert says in problem


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("place: door", 'place: door\nlean: "96 deg"'),
        ("place: door", "place: door\nlean: 45"),
        ("place: door", "place: dash\ntoe: 90"),
        ("place: door", "place: door\nears: {this_seat: {rearward: 100, inboard: 100, up: 100}}"),
        ('{at_clock: {"12:00": 52, "3:00": 55}}', '{at_clock: {"12:00": "8 mm", "3:00": "11 mm"}}'),
        ('{at_clock: {"12:00": 52, "3:00": 55}}', '{at_clock: {"12:00": 8, "3:00": 12}}'),
    ],
)
def test_what_is_usual_or_says_its_unit_is_meant(shop: Any, old: str, new: str) -> None:
    shop.change(DOOR, old, new)
    assert shop.load()


def test_a_level_of_the_wrong_sign_is_named_before_the_mirror(shop: Any) -> None:
    """Of figures to centre lines alone the mirror image is as good: "order: anticlockwise" would make that part."""
    shop.change(DOOR, AT, CENTRES)
    left, _ = shop.load()
    assert left.panel.fixings.points["A"] == pytest.approx((70.0, 50.0), abs=0.1)
    shop.change(DOOR, "C, A, 35.54", "C, A, -35.54")
    (problem,) = shop.problems()
    assert "fixings.distances.level: all readings agree where the way from C to A rises by 35.54" in problem
    assert problem.index("wrong sign") < problem.index("mirror image")


def test_an_opening_with_width_and_height_swapped_is_named_first(shop: Any) -> None:
    shop.change(DOOR, AT, EDGES)
    shop.change(DOOR, ROUND, WIDE)
    assert shop.load()
    shop.change(DOOR, "[150, 110]", "[110, 150]")
    (problem,) = shop.problems()
    assert "opening.oblong: all readings agree with an opening of [150, 110], width, then height" in problem


@pytest.mark.parametrize(("one", "other"), [("B", "C"), ("A", "D")])
def test_letters_that_changed_places_are_named_before_another_order(tmp_path: Path, one: str, other: str) -> None:
    """The demo hatch, two letters changed in all distances between holes; those to the opening keep their own."""
    right = (PROFILES / "panels" / "linnet-hatch.yaml").read_text("utf-8")
    (line,) = (line for line in right.splitlines() if "A-B:" in line)
    wrong = line.replace(f"{one}-", "?-").replace(f"-{one}", "-?").replace(f"{other}-", f"{one}-")
    wrong = wrong.replace(f"-{other}", f"-{one}").replace("?", other)
    file = tmp_path / "linnet-hatch.yaml"
    file.write_text(right.replace(line, wrong), "utf-8")
    (problem,) = map(str, load_profile("panel", file).problems)
    asked = (
        f"fixings.distances.readings: the distances between holes agree with all else where {one} and {other} change"
    )
    assert problem.index(asked) < problem.index("are these letters swapped?") < problem.index("do not run clockwise")
