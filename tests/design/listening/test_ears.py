"""Ears told in the panel frame: directions that can be told by hand, and the estimate from a seat."""

from __future__ import annotations

import numpy as np
import pytest

from mounts.design.listening import (
    ear_over_hip,
    estimate_ears,
    find_listeners,
    into_panel,
    off_axis,
    seat_of,
    vehicle_axes,
)
from mounts.geometry.frames import tilt_frame
from mounts.load.models.panel import Panel
from mounts.load.models.surroundings import Seat


def panel(**changes: object) -> Panel:
    given = {
        "kind": "panel",
        "name": "any",
        "opening": {"round": 120},
        "fixings": {"bolt_circle": {"diameter": 158, "count": 4, "first": "1:30"}},
        **changes,
    }
    return Panel.model_validate(given)


@pytest.mark.parametrize(
    ("side", "lean", "toe", "place", "seen"),
    [
        ("left", 0, 0, (1, 0, 0), (-1, 0, 0)),  # rearward is left on a left door
        ("right", 0, 0, (1, 0, 0), (1, 0, 0)),  # and right on a right one
        ("left", 0, 0, (0, 1, 0), (0, 0, 1)),  # inboard is out of the face
        ("left", 0, 0, (0, 0, 1), (0, 1, 0)),
        ("left", 0, 90, (1, 0, 0), (0, 0, 1)),  # a dash grille that faces the rear
        ("left", 0, 90, (0, 1, 0), (1, 0, 0)),
        ("right", 0, 90, (0, 1, 0), (-1, 0, 0)),
        ("left", 90, 90, (0, 0, 1), (0, 0, 1)),  # a shelf that lies level: 12:00 is the vehicle's front
        ("left", 90, 90, (-1, 0, 0), (0, 1, 0)),
        ("right", 90, 90, (-1, 0, 0), (0, 1, 0)),
    ],
)
def test_directions_by_hand(side, lean, toe, place, seen) -> None:
    assert into_panel(panel(side=side, lean=lean, toe=toe), place) == pytest.approx(seen, abs=1e-12)


@pytest.mark.parametrize("side", ["left", "right"])
def test_axes_are_a_right_handed_frame_in_the_vehicle(side) -> None:
    """Told in ISO 8855 (x forward, y left, z up), the panel's axes are right-handed on either side."""
    axes = vehicle_axes(side, 11.0, 23.0)
    inboard = -1.0 if side == "left" else 1.0  # of y left
    iso = np.array([[-1.0, 0, 0], [0, inboard, 0], [0, 0, 1.0]]) @ axes
    assert iso.T @ iso == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(iso) == pytest.approx(1.0)


def test_a_leaning_top_turns_the_face_up_and_toe_turns_it_rearward() -> None:
    normal = vehicle_axes("left", 7.0, 0.0)[:, 2]
    assert normal == pytest.approx([0, np.cos(np.radians(7)), np.sin(np.radians(7))])
    assert vehicle_axes("left", 0.0, 10.0)[:, 2] == pytest.approx([np.sin(np.radians(10)), np.cos(np.radians(10)), 0])


def test_both_doors_see_their_own_seat_as_mirror_images() -> None:
    ears = {"this_seat": {"rearward": 540, "inboard": 430, "up": 610}}
    (left,) = find_listeners(panel(side="left", lean=7, toe=3, ears=ears), 3.0)
    (right,) = find_listeners(panel(side="right", lean=7, toe=3, ears=ears), 3.0)
    assert left.ear == pytest.approx((-right.ear[0], *right.ear[1:]))
    assert (left.seat, right.seat) == ("left seat", "right seat")
    assert seat_of("right", "other_seat", "second row") == "left seat, second row"


def test_angle_to_the_ear_of_the_demo_door() -> None:
    """By hand: the normal of a door that leans by 7° is (0, cos 7°, sin 7°) in (rearward, inboard, up)."""
    (ear,) = find_listeners(panel(lean=7, ears={"this_seat": {"rearward": 540, "inboard": 430, "up": 610}}), 3.0)
    along = 430 * np.cos(np.radians(7)) + 610 * np.sin(np.radians(7))
    wanted = np.degrees(np.arccos(along / np.sqrt(540**2 + 430**2 + 610**2)))
    assert off_axis((0, 0, 1), (0, 0, 0), ear.ear) == pytest.approx(wanted)
    assert off_axis(tilt_frame((0, 0, 0), 12.0, 40.0).z, (0, 0, 0), (0, 0, 5)) == pytest.approx(12.0)
    assert off_axis((0, 0, 1), (0, 0, 0), (0, 0, -5)) == pytest.approx(180.0)


def test_readings_go_before_an_estimate_seat_by_seat() -> None:
    ears = {"this_seat": {"rearward": 540, "inboard": 430, "up": 610}}
    seat = {"rearward": 300, "inboard": 1100, "up": 40}
    this, other = find_listeners(panel(ears=ears, seats={"this_seat": seat, "other_seat": seat}), 3.0)
    assert (this.is_estimated, other.is_estimated) == (False, True)
    assert this.short == this.tall == this.ear
    assert this.sd == (3.0, 3.0, 3.0)
    assert other.seat == "right seat"
    assert np.ptp(other.points(), axis=0).max() > 100


def test_nobody_is_heard_where_nothing_was_read() -> None:
    assert find_listeners(panel(), 3.0) == ()


def test_a_fixed_seat_spreads_along_the_back_alone() -> None:
    """ANSUR II: tragion height, 688, 758 and 832 in 5, 50 and 95 of 100."""
    found = estimate_ears(Seat(rearward=300, inboard=400, up=0, torso=25))
    line = np.radians(0.719 * 25 - 9.6)
    up = np.array([np.sin(line), 0.0, np.cos(line)])
    assert np.array(found.tall) - found.ear == pytest.approx(74 * up)
    assert np.array(found.short) - found.ear == pytest.approx(-70 * up)
    assert found.ear == pytest.approx((300 + ear_over_hip(25)[0], 400, ear_over_hip(25)[1]))


@pytest.mark.parametrize(("slide", "moved"), [(0, 0), (60, 30), (240, 0.426 * 154)])
def test_a_tall_person_slides_back_as_far_as_the_seat_goes(slide: float, moved: float) -> None:
    """4.26 mm for each cm of stature; 95 of 100 are no taller than 1844, half no taller than 1690."""
    seat = Seat(rearward=300, inboard=400, up=0, torso=25, slide=slide)
    fixed = estimate_ears(Seat(rearward=300, inboard=400, up=0, torso=25))
    assert estimate_ears(seat).tall[0] - fixed.tall[0] == pytest.approx(moved)
    assert estimate_ears(seat).ear == fixed.ear
    assert estimate_ears(seat).sd[0] >= fixed.sd[0]
