"""The other side of the vehicle, and patterns seen from behind. Frame: x right, clock clockwise from 12:00."""

from math import hypot
from pathlib import Path
from typing import Any

import pytest

from mounts.kinds.ring.job import RingJob

JOB, DOOR = "jobs/woofer.yaml", "panels/door.yaml"
POINTS = {"A": (58.0, 53.5), "B": (58.5, -54.0), "C": (-57.5, -53.0), "D": (-58.0, 54.0)}
FLIPPED = {name: (-x, y) for name, (x, y) in POINTS.items()}


def asked(shop: Any) -> tuple[RingJob, RingJob]:
    """The two sides of a job with everything on it that has a hand."""
    shop.change(JOB, "height: 22", 'turn: 20\nwire: {at: "2:00", across: 8}\nseat_offset: [3, 1]')
    left, right = shop.load()
    return left, right


def check_mirrored_surroundings(job: RingJob) -> None:
    behind, front = job.panel.behind, job.panel.in_front
    assert behind is not None
    assert behind.glass is not None
    assert behind.glass.at_clock == {0.0: 52.0, 270.0: 55.0}
    assert [(t.at, t.size, t.depth) for t in behind.things] == [((-48.0, -30.0), (22.0, 90.0), 46.0)]
    assert front is not None
    assert front.trim is not None
    assert front.grille is not None
    assert front.trim.at_clock == {0.0: 45.0, 270.0: 44.0}
    assert front.trim.at == (-3.0, 2.0)
    assert front.grille.at_clock == {0.0: 53.0}
    assert (job.aim.tilt, job.aim.toward) == (8.0, 45.0)
    assert job.wire is not None
    assert job.wire.at == 300.0
    assert (job.turn, job.seat_offset) == (340.0, (-3.0, 1.0))
    assert job.panel.fixings.heights == {"C": 1.2}


def test_a_lap_that_is_asked_for_is_mirrored_with_its_ring(shop: Any) -> None:
    shop.change(JOB, "height: 22", 'height: 22\nin_two: "2:00"')
    left, right = asked(shop)
    assert (left.in_two, right.in_two) == (60.0, 300.0)


def test_mirrored(shop: Any) -> None:
    left, right = asked(shop)
    assert (left.panel.fixings.points, right.panel.fixings.points) == (POINTS, FLIPPED)
    assert (left.turn, left.seat_offset, left.aim.toward) == (20.0, (3.0, 1.0), 315.0)
    assert right.panel.side == "right"
    assert right.speaker is left.speaker
    check_mirrored_surroundings(right)


def test_same_keeps_the_hand_of_the_fixings_only(shop: Any) -> None:
    shop.change(DOOR, "other_side: mirrored", "other_side: same")
    left, right = asked(shop)
    assert left.panel.fixings.points == right.panel.fixings.points == POINTS
    assert right.panel.side == "right"
    check_mirrored_surroundings(right)


def test_another_panel_is_taken_as_it_was_measured(shop: Any) -> None:
    door = Path("profiles") / DOOR
    other = door.read_text("utf-8").replace("name: door", "name: other").replace("side: left", "side: right")
    shop.write("panels/other.yaml", other.replace("hole: 7.0", "hole: 7.2"))
    shop.change(DOOR, "other_side: mirrored", "other_side: other")
    left, right = asked(shop)
    assert (left.panel.name, right.panel.name) == ("door", "other")
    assert right.panel.fixings.points == POINTS
    assert right.panel.behind is not None
    assert right.panel.behind.things[0].at == (48.0, -30.0)
    assert (right.aim.toward, right.turn, right.seat_offset) == (45.0, 340.0, (-3.0, 1.0))
    assert right.where("panel.fixings.hole").file == Path("profiles/panels/other.yaml")
    assert left.where("panel.fixings.hole").file == door


def test_problems_of_the_other_panel_are_told(shop: Any) -> None:
    door = (Path("profiles") / DOOR).read_text("utf-8")
    other = door.replace("name: door", "name: other").replace("side: left", "side: right").replace("120", "wide")
    shop.write("panels/other.yaml", other)
    shop.change(DOOR, "other_side: mirrored", "other_side: other")
    length = 'give a number of mm or a text such as "6.5 in"'
    assert shop.problems() == [f'panels/other.yaml:7:18 opening.round: "wide" is not a length; {length}']


def test_check_readings_that_agree_pass(shop: Any) -> None:
    shop.change(DOOR, "other_side: mirrored", "other_side: {as: mirrored, check: {A-C: 157.5, D-B: 158.5}}")
    assert shop.load()[1].panel.fixings.points == FLIPPED
    assert hypot(58.0 + 57.5, 53.5 + 53.0) == pytest.approx(157.11, abs=0.005)


def test_seen_from_behind_mirrors_the_pattern_once(shop: Any) -> None:
    shop.change(DOOR, "side: left", "side: left\nseen_from: behind")
    left, right = shop.load()
    assert (left.panel.fixings.points, right.panel.fixings.points) == (FLIPPED, POINTS)
    assert left.panel.seen_from == right.panel.seen_from == "front"
    assert left.panel.behind is not None
    assert left.panel.behind.things[0].at == (48.0, -30.0)  # read in the vehicle, as seen from the cabin


def test_a_bolt_circle_is_lettered_clockwise_and_mirrored_letter_by_letter(shop: Any) -> None:
    shop.change(
        DOOR,
        "at: {A: [58.0, 53.5], B: [58.5, -54.0], C: [-57.5, -53.0], D: [-58.0, 54.0]}",
        'bolt_circle: {diameter: 160, count: 4, first: "1:00"}',
    )
    left, right = shop.load()
    at = left.panel.fixings.points
    assert list(at) == ["A", "B", "C", "D"]
    assert at["A"] == pytest.approx((40.0, 69.2820323))  # 80 sin 30°, 80 cos 30°
    assert at["B"] == pytest.approx((69.2820323, -40.0))
    assert right.panel.fixings.points == {name: (-x, y) for name, (x, y) in at.items()}


def test_only_the_side_that_is_asked_for(shop: Any) -> None:
    shop.change(JOB, "[left, right]", "[right]")
    (right,) = shop.load()
    assert (right.side, right.panel.fixings.points) == ("right", FLIPPED)


def test_a_panel_of_the_right_side_gives_the_left_its_mirror_image(shop: Any) -> None:
    shop.change(DOOR, "side: left", "side: right")
    left, right = shop.load()
    assert (left.side, left.aim.toward, right.aim.toward) == ("left", 45.0, 315.0)
    assert (left.panel.fixings.points, right.panel.fixings.points) == (FLIPPED, POINTS)
