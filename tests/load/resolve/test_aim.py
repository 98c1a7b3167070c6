"""What a job may leave to be found of its aim, and in whose hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from mounts.errors import InputError
from mounts.load.models.aim import STEEPEST
from mounts.load.models.job import AimAngles, Sought
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import Library

JOB = "jobs/woofer.yaml"
GIVEN = '{tilt: 8, toward: "10:30"}'
HERE = (("this_seat", 1.0),)


def sides(shop: Any, aim: str, *others: str) -> tuple[Any, ...]:
    """Both sides of the shop's job with another aim, and with its height and whatever else replaced."""
    shop.change(JOB, f"aim: {GIVEN}", f"aim: {aim}")
    shop.change(JOB, "height: 22", "\n".join(others))
    found: tuple[Any, ...] = shop.load()
    return found


@pytest.mark.parametrize(
    ("aim", "sought"),
    [
        ("best", Sought(HERE, None, None, STEEPEST, 4.0)),
        ("{at: this_seat}", Sought(HERE, None, None, STEEPEST, 4.0)),
        ("{at: other_seat}", Sought((("other_seat", 1.0),), None, None, STEEPEST, 4.0)),
        (
            "{at: {this_seat: 2, other_seat: 1}}",
            Sought((("this_seat", 2.0), ("other_seat", 1.0)), None, None, STEEPEST, 4.0),
        ),
        ("{at: {this_seat: 2, other_seat: 0}}", Sought((("this_seat", 2.0),), None, None, STEEPEST, 4.0)),
        ("{within: 12}", Sought(HERE, None, None, 12.0, 4.0)),
        ("{tilt: 8}", Sought(HERE, 8.0, None, STEEPEST, 4.0)),
    ],
)
def test_what_is_left_to_be_found(shop: Any, aim: str, sought: Sought) -> None:
    left, right = sides(shop, aim)
    assert (left.sought, right.sought) == (sought, sought)
    assert (left.height, right.height) == ("best", "best")


def test_a_direction_is_given_for_the_panel_s_own_side(shop: Any) -> None:
    left, right = sides(shop, '{toward: "10:30", within: 10}')
    assert (left.sought.toward, right.sought.toward) == (315.0, 45.0)
    assert (left.sought.tilt, left.sought.within) == (None, 10.0)


@pytest.mark.parametrize("aim", ["{}", "{tilt: 0}", GIVEN])
def test_what_is_given_is_not_sought(shop: Any, aim: str) -> None:
    left = sides(shop, aim)[0]
    assert (left.sought, left.height) == (None, "least")
    assert left.aim == (AimAngles(8.0, 315.0) if "toward" in aim else AimAngles())


def test_height_and_offset_may_be_given_with_an_aim_that_is_sought(shop: Any) -> None:
    left, right = sides(shop, "best", "height: 24", "seat_offset: [1, 2]")
    assert (left.height, left.seat_offset, right.seat_offset) == (24.0, (1.0, 2.0), (-1.0, 2.0))
    assert left.sought.aside == 0.0


def test_how_far_aside_is_a_limit(shop: Any) -> None:
    assert sides(shop, "best", "limits: {aside: 7}")[0].sought.aside == 7.0


def test_only_the_height_may_be_sought(shop: Any) -> None:
    left = sides(shop, GIVEN, "height: best")[0]
    assert (left.height, left.sought, left.aim) == ("best", None, AimAngles(8.0, 315.0))


@pytest.mark.parametrize(
    ("aim", "others", "says"),
    [
        ("best", ("make: cut", "sheet: 12"), "a ring cut from sheet is flat, so there is no aim to find"),
        ("{}", ("make: cut", "sheet: 12", "height: best"), "a ring cut from sheet is as high as the sheet is thick"),
        ("{tilt: 8, within: 12}", (), "within has nothing to limit"),
        ("{at: nobody}", (), '"nobody" is no listener; give this_seat, other_seat'),
        ("{at: {this_seat: 0}}", (), "no weight is above 0"),
        ("{at: {this_seat: -1}}", (), "this_seat: -1 is no weight"),
    ],
)
def test_what_cannot_be_sought(shop: Any, aim: str, others: tuple[str, ...], says: str) -> None:
    with pytest.raises(InputError) as refused:
        sides(shop, aim, *others)
    assert says in str(refused.value)


NONE = '5:1 aim: unknown key "aim"; only a ring or a cup has it; leave it out'
SPOKEN = 'a cup\'s aim is not found by itself, only its height; give {tilt: 12, toward: "4:00"} or the like'


@pytest.mark.parametrize(
    ("like", "aim", "says"),
    [
        ("kind: cup\nbased_on: linnet-dash-tweeter-press", "best", f"5:6 aim: {SPOKEN}"),
        ("kind: cup\nbased_on: linnet-sail-tweeter-flange", "best", f"5:6 aim: {SPOKEN}"),
        ("kind: spacer\nbased_on: linnet-port-round", "best", NONE),
        ("kind: board\nbased_on: linnet-seat-board", "best", NONE),
        ("kind: spacer\nbased_on: linnet-port-round", "{tilt: 4}", NONE),
    ],
)
def test_only_a_ring_s_aim_is_found(like: str, aim: str, says: str) -> None:
    library = Library(Path(__file__).parents[3] / "profiles")
    kind, based_on = like.split("\n")
    text = f"{kind}\nname: any\n# aimed\n{based_on}\naim: {aim}\n"
    with pytest.raises(InputError) as refused:
        load_from(library, library.root / "jobs" / "any.yaml", text)
    (problem,) = refused.value.problems
    assert says in str(problem)
    assert (problem.line, problem.where) == (5, "aim")
