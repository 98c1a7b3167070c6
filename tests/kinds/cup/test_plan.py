"""A cup's dimensions, each by hand."""

from __future__ import annotations

from math import cos, dist, pi, radians, sin

import pytest

from mounts.design.chance import same_errors
from mounts.geometry.outline import circle
from mounts.kinds.cup.plan import cup_pose, plan_cup
from mounts.kinds.cup.stakes import pin_errors, stake_chance
from mounts.kinds.cup.values import cap_height, on_axis
from tests.cups import FLANGE, SCREWED, TWEETER, cup, cups

PIN = "panel__pins__"
NUT = {"by": "ring nut", "clamp": {"across": 40, "height": 5, "grip": [2, 6]}}


def stakes_of(plan):
    return {stake.name: stake for stake in plan.stakes}


def test_plate_under_each_head(tmp_path):
    """1.6 D of each pin protrudes at least, the rest in whole layers is plate; what more protrudes is in the head."""
    pins = stakes_of(plan_cup(cup(tmp_path)))
    assert [pins[n].seat for n in "ABCD"] == pytest.approx([3.8, 3.8, 3.2, 3.2])  # 8 − 4.16 and 7.5 − 4.16
    assert pins["A"].protrudes == pytest.approx(4.2)
    assert pins["A"].head.height == pytest.approx(cap_height(5.2, 4.2 * pi / 4 * 2.6**2))
    assert {s.head.diameter for s in pins.values()} == {5.2}


def test_one_hole_locates_one_is_a_slot_the_others_are_wide(tmp_path):
    pins = stakes_of(plan_cup(cup(tmp_path)))
    assert [pins[n].role for n in "ABCD"] == ["locator", "clearance", "slot", "clearance"]  # A and C lie furthest apart
    assert pins["A"].hole == circle(2.9, (-30, 12))
    x0, y0, x1, y1 = pins["C"].hole.box
    along = ((22 + 30) / dist((22, -26), (-30, 12)), (-26 - 12) / dist((22, -26), (-30, 12)))
    way = pins["C"].way
    assert (x1 - x0, y1 - y0) == pytest.approx((2.9 + 2 * way * abs(along[0]), 2.9 + 2 * way * abs(along[1])))
    assert pins["B"].width == pins["D"].width == pytest.approx(2.6 + 2 * (0.15 + way))


def test_surer_or_worse_read_is_wider(tmp_path):
    gap = {}
    for sure, read in ((0.5, 0.1), (0.99, 0.1), (0.95, 0.2)):
        plan = plan_cup(cup(tmp_path, sure=sure, panel__read_with={"holes": read}))
        gap[sure, read] = stakes_of(plan)["B"].gap
        errors = pin_errors(cup(tmp_path, panel__read_with={"holes": read}))
        assert errors.calibrated == same_errors(4, read, 0.1)
        assert stake_chance(plan.stakes, errors.calibrated) >= sure - 0.01
    assert gap[0.5, 0.1] < gap[0.99, 0.1] < gap[0.95, 0.2]


def test_wells_hold_head_and_tip_and_open_outward(tmp_path):
    small, large = (stakes_of(plan_cup(cup(tmp_path, staking={"tip": tip})))["A"] for tip in (4, 7))
    assert small.well == pytest.approx(5.2 + 0.6)  # the head is wider than the tip
    assert large.well == pytest.approx(7.6)
    out = (-30 * 1.5, 12 * 1.5)
    assert large.relief.depth(out) == pytest.approx(3.8, abs=0.4)
    assert large.relief.depth((-30 * 0.8, 12 * 0.8)) < 0


def test_height_best_keeps_every_clearance_to_the_grille(tmp_path):
    """Flange 34 passes the aperture of 40, let in by 2: 2 − 3 − 2 = −3; dome 2 − 4 − 2.5 = −4.5 decides."""
    assert plan_cup(cup(tmp_path)).seat.frame.origin == pytest.approx((0, 0, -4.5))
    shut = plan_cup(cup(tmp_path, panel__grille=None))
    assert shut.seat.frame.origin[2] == pytest.approx(-6.5)  # to the rear face itself
    lean = sin(radians(8))
    tilted = plan_cup(cup(tmp_path, aim={"tilt": 8, "toward": "9:00"}))
    kept = 2 + 0.2 + 0.8 + 0.7  # flange, play, lug and its slope, all inside the plate by 0.5
    assert tilted.seat.frame.origin[2] == pytest.approx(-0.5 - kept * cos(radians(8)) - 17.3 * lean, abs=0.1)


def test_seat_stands_on_the_grille_and_looks_where_it_should(tmp_path):
    plan = plan_cup(
        cup(tmp_path, aim={"tilt": 8, "toward": "9:00"}, panel__grille={"round": 40, "at": [2, 1]}, seat_offset=[1, 0])
    )
    assert plan.seat.frame.origin[:2] == pytest.approx((3, 1))
    assert plan.seat.frame.z == pytest.approx((-sin(radians(8)), 0, cos(radians(8))))
    assert on_axis(plan.seat.frame, plan.seat.frame.origin[2] - 10) == pytest.approx(
        (3 + 10 * sin(radians(8)) / cos(radians(8)), 1)
    )


@pytest.mark.parametrize(
    ("changes", "grip", "deep"),
    [
        ({}, 7.0, 4.5 + 7),  # slope of 1 and ribs of 6
        ({"retention": NUT}, 3.0, 4.5 + 3),  # as thick as a nut likes it
        ({"retention": {**NUT, "clamp": {**NUT["clamp"], "grip": [4, 6]}}}, 4.0, 4.5 + 4),
        (FLANGE, 6 + 1.5 + 2, 5.5 + 9.5),  # pilot 7.5 deep, floor 2
        ({"back": "closed"}, 7.0, 4.5 + 12 + 1 + 2),  # depth, room behind it, floor
    ],
)
def test_how_far_it_goes_back(tmp_path, changes, grip, deep):
    plan = plan_cup(cup(tmp_path, **changes))
    assert plan.seat.grip == pytest.approx(grip)
    assert deep <= plan.depth < deep + 0.2 + 1e-9  # in whole layers
    assert cup_pose(plan)[2][3] == plan.depth


def test_ribs_and_lugs(tmp_path):
    press = plan_cup(cup(tmp_path, retention={"by": "press", "ribs": 5, "interference": 0.2})).seat.press
    assert (press.ribs, press.fit, press.inside) == (5, 0.2, 26.8)
    angles = [radians(90 + 72 * k) for k in range(5)]
    for turn in angles:
        assert press.ribbed.depth((13.4 * cos(turn), 13.4 * sin(turn))) == pytest.approx(0, abs=1e-9)
        between = turn + radians(36)
        assert press.ribbed.depth((14.25 * cos(between), 14.25 * sin(between))) == pytest.approx(0, abs=1e-9)
    assert press.free.depth((0, -(17 - press.over))) == pytest.approx(0, abs=1e-9)  # a lug at 6:00
    assert press.free.depth((0, 17.3)) == pytest.approx(0, abs=1e-9)  # and a gap at 12:00


def test_the_press_is_as_tight_as_the_plastic_bears_for_years(tmp_path):
    from mounts.kinds.cup.seat import rib_rings

    job = cup(tmp_path)
    press = plan_cup(job).seat.press
    most = [max(ring.strain(press.fit + step) for ring in rib_rings(job, 27)) for step in (0.0, 0.01)]
    assert most[0] <= 0.005 < most[1]


def test_holes_and_ribs_are_drawn_as_much_wider_as_the_printer_prints_them_small(tmp_path):
    grows = {"bed": [200, 200, 200], "hole_growth": {"pc-abs": 0.2}}
    plain, wider = (plan_cup(cup(tmp_path, printer=printer)) for printer in ("bed-250", grows))
    assert wider.stakes[0].width == pytest.approx(plain.stakes[0].width + 0.2)
    assert wider.seat.bore.box[2] == pytest.approx(plain.seat.bore.box[2] + 0.1)
    assert wider.seat.press.inside == pytest.approx(plain.seat.press.inside + 0.2)
    assert wider.seat.press.fit == plain.seat.press.fit


def test_left_and_right(tmp_path):
    left, right = (plan_cup(job) for job in cups(tmp_path, sides=["left", "right"], aim={"tilt": 8, "toward": "9:00"}))
    for one, other in zip(left.stakes, right.stakes, strict=True):
        assert other.at == (-one.at[0], one.at[1])
        assert (one.role, one.width, one.way, one.seat) == (other.role, other.width, other.way, other.seat)
    assert right.seat.frame.z == pytest.approx((-left.seat.frame.z[0], left.seat.frame.z[1], left.seat.frame.z[2]))
    assert right.outline.area == pytest.approx(left.outline.area)


def test_the_tweeter_is_never_mirrored(tmp_path):
    lopsided = {**SCREWED, "holes": {"at": {"1": [19.75, 0], "2": [-10, 17]}, "diameter": 3.2}}
    left, right = (
        plan_cup(job) for job in cups(tmp_path, **{**FLANGE, "speaker": lopsided}, sides=["left", "right"], turn=0)
    )
    assert [s.at for s in right.seat.screws] == [pytest.approx(s.at) for s in left.seat.screws]


def test_measured_from_behind_is_mirrored_once(tmp_path):
    front, behind = (plan_cup(cup(tmp_path, panel__seen_from=side)) for side in ("front", "behind"))
    assert [s.at for s in behind.stakes] == [(-x, y) for x, y in (s.at for s in front.stakes)]


def test_long_pins_are_cut_to_the_thickest_plate(tmp_path):
    pins = stakes_of(plan_cup(cup(tmp_path, **{PIN + "A__height": 14})))
    assert (pins["A"].seat, pins["B"].seat) == pytest.approx((6.0, 3.8))
    assert 14 - pins["A"].cut == pytest.approx(6.0 + pins["A"].protrudes)


@pytest.mark.parametrize(
    ("pin", "form", "section"),
    [
        ({"at": [-30, 12], "diameter": 5, "height": 10, "form": "hollow", "hole": 2.5}, "hollow", pi / 4 * 18.75),
        ({"at": [-30, 12], "diameter": 3, "height": 9, "form": "cross", "web": 1}, "dome", 5.0),
    ],
)
def test_other_pins(tmp_path, pin, form, section):
    stake = stakes_of(plan_cup(cup(tmp_path, **{PIN + "A": pin})))["A"]
    assert stake.head.form == form
    assert 1.5 <= stake.head.diameter / pin["diameter"] <= 2
    assert stake.seat >= 1.6
    volume = section * stake.protrudes
    inner = 2.5 if form == "hollow" else 0
    flat = volume / (pi / 4 * (stake.head.diameter**2 - inner**2))
    assert stake.head.height == pytest.approx(flat if form == "hollow" else cap_height(stake.head.diameter, volume))


def test_the_turn_keeps_screws_from_pins(tmp_path):
    best = plan_cup(cup(tmp_path, **FLANGE))
    pins = [s.at for s in best.stakes]

    def clear(plan):
        return min(dist(s.at, pin) for s in plan.seat.screws for pin in pins)

    for turn in (0, 30, 60, 90):
        assert clear(best) >= clear(plan_cup(cup(tmp_path, **FLANGE, turn=turn))) - 1e-6


def test_paper_shows_what_is_cut(tmp_path):
    plan = plan_cup(cup(tmp_path))
    names = {stroke.name for stroke in plan.paper.strokes}
    assert {"plate", "hole A", "hole D", "head B", "flange", "grille"} <= names
    assert any("pin A, locator: dome head 5.2 across, 1.8 high" in line for line in plan.paper.captions)


assert TWEETER["depth"] == 12  # what the figures above rest on
