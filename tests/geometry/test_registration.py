"""Patterns laid on each other: whatever the order, the turn, the mirror and the origin."""

from __future__ import annotations

import random
from math import hypot

import numpy as np
import pytest

from mounts.geometry.registration import Motion, find_registrations, triangle_sides
from tests.geometry.motion import nearest_motion

FIVE = ((58.0, 53.5), (58.5, -54.0), (-57.5, -53.0), (-58.0, 54.0), (3.0, 81.0))
SQUARE = ((50.0, 50.0), (50.0, -50.0), (-50.0, -50.0), (-50.0, 50.0))


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("seed", range(6))
def test_a_pattern_is_found_in_any_place_and_order(seed, mirrored):
    chance = random.Random(seed)
    true = Motion(mirrored, chance.uniform(-179, 180), (chance.uniform(-200, 200), chance.uniform(-200, 200)))
    order = chance.sample(range(5), 5)
    onto = [true.moved(FIVE[k]) for k in order]
    best = find_registrations(FIVE, onto, 0.5, 4)[0]
    assert best.pairs == tuple((k, order.index(k)) for k in range(5))
    assert best.worst < 1e-9
    assert best.motion.mirrored is mirrored
    assert best.motion.turn == pytest.approx(true.turn)
    assert best.motion.shift == pytest.approx(true.shift)


def test_a_turn_is_clockwise_and_the_mirror_comes_first():
    quarter = Motion(turn=90.0, shift=(1.0, 2.0))
    assert quarter.moved((0.0, 10.0)) == pytest.approx((11.0, 2.0))  # up becomes right
    assert Motion(mirrored=True, turn=90.0).moved((10.0, 0.0)) == pytest.approx((0.0, 10.0))


def test_one_point_more_or_fewer_is_a_part_of_the_pattern():
    onto = [(x + 7, y - 3) for x, y in FIVE[:4]]
    best = find_registrations(FIVE, onto, 0.5, 3)[0]
    assert best.pairs == tuple((k, k) for k in range(4))
    assert find_registrations(FIVE, onto, 0.5, 5) == []


def test_a_point_that_strays_further_than_allowed_is_let_go():
    """Of two points 100 apart, read 100 + d apart, each is d / 2 off: least squares shares the error."""
    for apart, found in ((0.99, 1), (1.01, 0)):
        fits = find_registrations(((0.0, 0.0), (100.0, 0.0)), ((0.0, 0.0), (100.0 + apart, 0.0)), 0.5, 2)
        assert len([fit for fit in fits if abs(fit.motion.turn) < 1 and not fit.motion.mirrored]) == found
    stray = (*SQUARE[:3], (-50.0, 57.0), (0.0, 90.0))
    best = find_registrations((*SQUARE, (0.0, 90.0)), stray, 0.5, 4)[0]
    assert len(best.pairs) == 4
    assert 3 not in dict(best.pairs)


@pytest.mark.parametrize("seed", range(4))
def test_ways_that_fit_equally_well_stay_in_order(seed):
    """A square's eight ways differ by rounding alone: by noise of 1e-9 here."""
    off = 1 + 1e-9 * np.random.default_rng(seed).uniform(-1, 1, (2, 4, 2))
    usual, now = (
        [(fit.motion.mirrored, fit.pairs) for fit in find_registrations(one, other, 0.1, 4)]
        for one, other in ((SQUARE, SQUARE), (np.array(SQUARE) * off).tolist())
    )
    assert now == usual


def test_a_square_lies_on_itself_in_eight_ways():
    found = find_registrations(SQUARE, SQUARE, 0.1, 4)
    assert len(found) == 8
    assert {(fit.motion.mirrored, round(fit.motion.turn) % 360) for fit in found} == {
        (mirrored, turn) for mirrored in (False, True) for turn in (0, 90, 180, 270)
    }


def test_points_on_a_line_lie_on_it_in_both_hands():
    line = ((0.0, 0.0), (40.0, 0.0), (100.0, 0.0))
    assert {fit.motion.mirrored for fit in find_registrations(line, line, 0.1, 3)} == {False, True}


def test_the_motion_is_the_least_squares_one():
    """No small step of turn or shift makes the sum of squares less."""
    onto = [
        (x + dx, y + dy)
        for (x, y), dx, dy in zip(FIVE, (0.4, -0.2, 0.1, 0.3, -0.5), (0, 0.3, -0.4, 0.2, 0.1), strict=True)
    ]
    best = nearest_motion(FIVE, onto)

    def squares(motion):
        moved = [motion.moved(point) for point in FIVE]
        return sum(hypot(x - u, y - v) ** 2 for (x, y), (u, v) in zip(moved, onto, strict=True))

    (x, y), least = best.shift, squares(best)
    for step in (1e-3, -1e-3):
        assert squares(Motion(False, best.turn + step, (x, y))) > least
        assert squares(Motion(False, best.turn, (x + step, y))) > least
        assert squares(Motion(False, best.turn, (x, y + step))) > least


def test_triangles_do_not_change_with_order_turn_or_mirror():
    moved = [Motion(True, 77.0, (5.0, 6.0)).moved(FIVE[k]) for k in (3, 1, 4, 0, 2)]
    assert np.array(sorted(triangle_sides(moved))) == pytest.approx(np.array(sorted(triangle_sides(FIVE))))
    assert list(triangle_sides(((0.0, 0.0), (3.0, 4.0)))) == [(5.0, 0.0, 0.0)]
