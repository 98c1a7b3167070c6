"""A board's plan: outlines, devices in their places, holes, passages, feet; and what cannot be drawn."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi

import pytest

from mounts.errors import InputError
from mounts.geometry.distance import depths
from mounts.kinds.board.feet import plan_foot
from mounts.kinds.board.plan import plan_board
from tests.boards import BOX, CUT, PRINTED, board, boards, foot


def said(call):
    with pytest.raises(InputError) as caught:
        call()
    return [str(problem).split(" ", 1)[1] for problem in caught.value.problems]


def refused(folder, base=PRINTED, **changes):
    return said(lambda: plan_board(board(folder, base, **changes)))


def test_the_least_outline_is_the_margin_wide_round_everything(tmp_path):
    two = {"a": {"device": BOX, "at": [-60, 0]}, "b": {"device": BOX, "at": [60, 30]}}
    plan = plan_board(board(tmp_path, outline=None, devices=two, margin=25, feet__across=25))
    assert plan.outline == plan.finished
    for stand in plan.stands:
        assert min(depths(plan.outline, stand.outline.points())) >= 25 - 1e-9
    x0, y0, x1, y1 = plan.outline.box
    assert (x0, y0, x1, y1) == pytest.approx((-135, -55, 135, 85))


def test_turned_devices_carry_their_holes_and_plugs_clockwise(tmp_path):
    plan = plan_board(board(tmp_path, devices__box__turn=90, feet__across=30))
    places = {spot.name: spot.at for spot in plan.spots}
    assert places["box A"] == pytest.approx((20, 45))  # (-45, 20) a quarter clockwise, seen from above
    assert plan.stands[0].outline.box == pytest.approx((-30, -50, 30, 50))
    assert plan.stands[0].plugs[0].outline.box == pytest.approx((-60, -30, -30, 30))  # 6:00 has come to 9:00


def test_an_insert_is_set_from_below_and_cannot_be_drawn_through(tmp_path):
    spot = plan_board(board(tmp_path)).spots[0]
    assert (spot.hole, spot.pocket) == (5.0, (5.6, pytest.approx(5.5)))  # M4 + 1; the insert's own hole, 4.7 + 0.8
    assert spot.pocket[0] > spot.hole


def test_carpet_makes_the_board_smaller_and_its_openings_larger(tmp_path):
    slot = {"loom": {"at": [0, -55], "slot": [40, 12]}}
    plain = plan_board(board(tmp_path, CUT, fix_devices="through-m4", passages=slot))
    wrapped = plan_board(
        board(tmp_path, CUT, fix_devices="through-m4", passages=slot, wrap={"thickness": 3, "glue": 0.5})
    )
    assert wrapped.finished == plain.outline
    assert wrapped.outline.box == pytest.approx((-81.5, -71.5, 81.5, 71.5))
    x0, y0, x1, y1 = wrapped.slots[0].outline.box
    assert (x1 - x0, y1 - y0) == pytest.approx((47, 19))
    assert wrapped.spots[0].hole == plain.spots[0].hole + 1.0
    assert wrapped.stands[0].bottom == wrapped.top + 3


def test_rounded_edges_leave_the_bed_at_45_degrees_and_are_a_true_quarter_below(tmp_path):
    plan = plan_board(board(tmp_path, passages={"loom": {"at": [0, -55], "slot": [40, 12]}}, edge=3))
    levels, straight = plan.slots[0].levels, plan.slots[0].outline.box[2]
    grown = {round(z, 6): outline.box[2] - straight for z, outline in levels}
    assert grown[plan.bottom] == pytest.approx(3)
    assert all(
        by == pytest.approx(3 - (9 - (plan.bottom + 3 - z) ** 2) ** 0.5)  # the circle itself
        for z, by in grown.items()
        if plan.bottom <= z <= plan.bottom + 3
    )
    rising = sorted((z, by) for z, by in grown.items() if z > plan.bottom + 3)
    assert all((b - a) <= (z - y) + 1e-9 for (y, a), (z, b) in pairwise(rising))


def test_feet_stand_free_of_screws_and_passages_and_span_the_board(tmp_path):
    plan = plan_board(board(tmp_path))
    for one in plan.feet:
        assert float(depths(plan.outline, [one.at])[0]) >= one.diameter / 2
        assert all(hypot(one.at[0] - s.at[0], one.at[1] - s.at[1]) > (one.diameter + s.disc) / 2 for s in plan.spots)
    assert {(one.at[0] > 0, one.at[1] > 0) for one in plan.feet} == {
        (False, False),
        (True, False),
        (True, True),
        (False, True),
    }


def test_a_cut_board_comes_with_its_foot_and_a_printed_one_does_not(tmp_path):
    cut = boards(tmp_path, CUT)
    assert [(job.kind, job.side, job.make, job.material.name) for job in cut] == [
        ("board", "", "cut", "birch-ply"),
        ("foot", "foot", "print", "asa"),
    ]
    assert [job.kind for job in boards(tmp_path)] == ["board"]
    plan = plan_foot(cut[1])
    assert (plan.count, plan.diameter, plan.height) == (4, 40, 15)
    assert (plan.hole, plan.depth) == (6.4, pytest.approx(10.3))
    assert plan.levels[1][1].area == pytest.approx(pi * 20**2)


def test_what_cannot_be_drawn_names_what_could(tmp_path):
    assert refused(tmp_path, thickness=6) == [
        "thickness: insert-m4-short needs a board of 7.5; it is 6: take that, a shorter insert, or through bolts"
    ]
    assert refused(tmp_path, edge=4, passages={"a": {"at": [0, -55], "slot": [40, 12]}}) == [
        "edge: two edges of 4 do not fit into 8; the most is 3.9"
    ]
    (over,) = refused(tmp_path, feet__at=[[-70, -50], [60, -50], [0, 52]])
    assert over == "feet.at: foot 1 stands over the board's edge; move it by 5.0, or make the feet smaller"
    (under,) = refused(tmp_path, feet__at=[[-50, -30], [60, -50], [0, 52]])
    assert under.startswith("feet.at: foot 1 stands under the screw of box D; move it by")
    (near,) = refused(tmp_path, feet__at=[[0, 0], [0, 38], [0, -52]])
    assert near == "feet: feet 1 and 2 are 38.0 apart and 40 across; set them apart"
    (outside,) = refused(tmp_path, devices__box__at=[45, 0])
    assert outside.startswith("devices.box.at: the screw of box B lies 7.5 outside the board")
    (broken,) = refused(tmp_path, passages={"a": {"at": [0, -69], "slot": [40, 14]}})
    assert broken.startswith("passages: passage a breaks") and "into the board's edge" in broken
    (shallow,) = said(lambda: plan_foot(foot(tmp_path, feet__height=10)))
    assert shallow == "feet.height: insert-m5 needs feet 12.3 high; they are 10: take that, or a smaller screw"
