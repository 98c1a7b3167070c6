"""The five sizes against the finished part: what a caliper would read on its mesh, cut by planes of its own."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from mounts.geometry.frames import Frame
from mounts.kernels.sections import part_loops
from mounts.papers.caliper import caliper_checks
from mounts.papers.wording import least_certain


def loops(made, frame):
    """Loops of a cut, the largest first."""
    found = [np.array(loop) for loop in part_loops(made.part, frame)]
    return sorted(found, key=lambda loop: -np.ptp(loop[:, 0]))


def sizes(made):
    return {check.what: check for check in caliper_checks(made)}


def furthest(found):
    """Greatest distance of two points on two different loops."""
    return max(np.linalg.norm(one[:, None] - other[None], axis=2).max() for one, other in combinations(found, 2))


def test_every_part_has_five_and_each_lies_between_its_own_bounds(all_kinds):
    for made in all_kinds:
        checks = caliper_checks(made)
        assert len(checks) == 5
        for check in checks:
            assert check.least < check.value < check.most
            assert check.most - check.least < 1.4


def test_a_ring_as_its_mesh_has_it(ring):
    found = sizes(ring)
    middle = loops(ring, Frame((0.0, 0.0, 3.5)))
    holes = [loop for loop in middle if np.ptp(loop[:, 0]) < 8]
    assert len(holes) == 4
    assert found["holes B to D"].value == pytest.approx(furthest(holes), abs=0.02)
    seat = ring.plan.seat.frame
    outer, bore = (np.ptp(loop[:, 0]) for loop in loops(ring, seat.lifted(-0.002))[:2])
    assert found["across the seat"].value == pytest.approx(outer, abs=0.02)
    assert found["bore"].value == pytest.approx(bore, abs=0.02)
    x, y, z = ring.part.vertices.T
    far = (np.hypot(x, y) > 62) & (z > 7)
    turn = np.round(np.degrees(np.arctan2(y, x)) / 3)
    rim = [z[far & (turn == k)].max() for k in np.unique(turn[far])]
    stops = ring.plan.seat.lift + 0.1  # the hard stops stand on the seat
    assert found["high side"].value == pytest.approx(max(rim), abs=stops)
    assert found["low side"].value == pytest.approx(min(rim), abs=0.15)


def test_the_low_side_lies_where_the_speaker_looks(ring):
    low, high = (sizes(ring)[what].ends[1] for what in ("low side", "high side"))
    assert np.degrees(np.arctan2(low[0], low[1])) % 360 == pytest.approx(315, abs=1)
    assert np.degrees(np.arctan2(high[0], high[1])) % 360 == pytest.approx(135, abs=1)


def test_low_and_high_by_the_wedge(ring):
    """A wedge of 8° rises by across · sin 8° from its low to its high side."""
    found = sizes(ring)
    rise = found["high side"].value - found["low side"].value
    assert rise == pytest.approx(found["across the seat"].value * np.sin(np.radians(8)), abs=1e-3)
    assert found["high side"].value + found["low side"].value == pytest.approx(2 * 22, abs=1e-3)


def test_what_is_good_between_holes_is_half_their_play(ring):
    check, play = sizes(ring)["holes B to D"], (ring.plan.fixings[0].hole - 5.0) / 2  # M5
    assert (check.value - check.least, check.most - check.value) == pytest.approx((play, play))


def test_a_bore_may_come_out_smaller_where_nobody_measured_how_much(ring, cup):
    bore = sizes(ring)["bore"]
    assert bore.value - bore.least == pytest.approx(bore.most - bore.value + 0.2)
    room = sizes(cup)["room for the flange"]  # this printer's slicer corrects holes
    assert room.value - room.least == pytest.approx(room.most - room.value)


def test_a_flat_ring_as_its_mesh_has_it(flat):
    found = sizes(flat)
    cut = loops(flat, Frame((0.0, 0.0, 9.0)))
    holes = [loop for loop in cut[2:] if np.ptp(loop[:, 0]) > 5]
    screws = [loop for loop in cut[2:] if np.ptp(loop[:, 0]) < 5]
    assert found["holes B to D"].value == pytest.approx(furthest(holes), abs=0.02)
    assert found["outside"].value == pytest.approx(max(np.ptp(cut[0], axis=0)), abs=0.02)
    assert found["bore"].value == pytest.approx(np.ptp(cut[1][:, 0]), abs=0.02)
    assert found["speaker holes 1 to 3"].value == pytest.approx(furthest(screws), abs=0.02)
    assert found["sheet"].value == pytest.approx(np.ptp(flat.part.vertices[:, 2]))


def test_a_cup_as_its_mesh_has_it(cup):
    found = sizes(cup)
    cut = loops(cup, Frame((0.0, 0.0, -1.0)))
    holes = [loop for loop in cut if np.ptp(loop[:, 0]) < 5]
    assert found["holes B to D"].value == pytest.approx(furthest(holes), abs=0.03)
    seat = cup.plan.seat.frame
    room = loops(cup, seat.lifted(0.3))[1]
    assert found["room for the flange"].value == pytest.approx(np.ptp(room[:, 0]), abs=0.03)
    ribs = loops(cup, seat.lifted(-2.5))[1]
    away = np.linalg.norm(ribs, axis=1)
    assert found["between the ribs' tips"].value == pytest.approx(2 * away.min(), abs=0.03)
    deep, shallow = found["seat, deep side"].value, found["seat, shallow side"].value
    assert (deep + shallow) / 2 == pytest.approx(-seat.origin[2], abs=1e-3)
    assert deep > shallow


def test_a_spacer_as_its_mesh_has_it(spacer):
    found = sizes(spacer)
    points = spacer.part.vertices
    assert found["whole length"].value == pytest.approx(np.ptp(points[:, 2]))
    assert found["across the lip"].value == pytest.approx(np.ptp(points[:, 0]), abs=0.02)
    low = loops(spacer, Frame((0.0, 0.0, -0.01)))
    ribs = 2 * np.linalg.norm(low[0], axis=1).max()
    assert found["sleeve outside"].value < ribs  # measured between the ribs
    assert found["sleeve outside"].value == pytest.approx(2 * np.linalg.norm(low[0], axis=1).min(), abs=0.1)


def test_the_reading_to_repeat_is_the_one_that_a_small_error_turns(ring):
    weak = least_certain(ring.report.findings)
    others = [f for f in ring.report.findings if f.unit == "mm" and f.margin_sd and f.limit is not None]
    assert weak is not None
    margins = [abs((f.measured or f.closed_form) - f.limit) / f.margin_sd for f in others]
    assert abs((weak.measured or weak.closed_form) - weak.limit) / weak.margin_sd == min(margins)
