"""The chance that a part goes on, and the convex problem behind it."""

from __future__ import annotations

from math import exp
from statistics import NormalDist

import numpy as np
import pytest

from mounts.design.chance import (
    SAMPLES,
    Errors,
    PinHoles,
    chance,
    fit_assembly,
    known_errors,
    needed_gap,
    pressing,
    raise_share,
    same_errors,
)

SQUARE = ((30.0, 12.0), (-30.0, 12.0), (-22.0, -26.0), (22.0, -26.0))
DOOR = ((58.0, 53.5), (58.5, -54.0), (-57.5, -53.0), (-58.0, 54.0))
ABOUT = 3 * (0.25 / SAMPLES) ** 0.5  # three standard deviations of a share
PATTERNS = {
    "two": ((0.0, 0.0), (60.0, 5.0)),
    "three, uneven": ((60.0, 10.0), (-40.0, 45.0), (-30.0, -50.0)),
    "four": DOOR,
    "four, one far": ((0.0, 0.0), (10.0, 0.0), (5.0, 8.0), (200.0, 30.0)),
    "five": (*SQUARE, (3.0, 70.0)),
    "eight on a circle": tuple((70 * np.cos(a), 70 * np.sin(a)) for a in np.arange(8) * np.pi / 4),
}


def holes_of(points, gaps, slots=()):
    slots = slots or (None,) * len(points)
    along = np.array([(1.0, 0.0) if way is None else way[:2] for way in slots])
    ways = np.array([0.0 if way is None else way[2] for way in slots])
    return PinHoles(np.array(points) - np.mean(points, axis=0), np.array(gaps), along, ways)


def errors_for(points, cases, sd=0.25):
    return np.random.default_rng(7).normal(0.0, sd, (cases, len(points), 2))


def linear_programme(holes, error, sides=720):
    """Least excess by HiGHS, every round hole as a polygon with that many sides round it: low by 1e-5 of the excess."""
    from scipy.optimize import linprog

    turns = np.arange(sides) * 2 * np.pi / sides
    ways = np.column_stack([np.cos(turns), np.sin(turns)])
    rows, right = [], []
    for at, gap, along, way, e in zip(holes.at, holes.gaps, holes.along, holes.ways, error, strict=True):
        arm = np.array([-at[1], at[0]]) / 50.0  # a turn is told in mm at 50 from the middle
        rows.append(np.column_stack([ways, ways @ arm, -np.ones(sides)]))
        right.append(gap + way * np.abs(ways @ along) - ways @ e)
    free = [(None, None)] * 4
    found = linprog([0, 0, 0, 1.0], np.concatenate(rows), np.concatenate(right), bounds=free, method="highs")
    return float(found.fun)


def smooth_programme(holes, error):
    """The same by SLSQP on the squares of the distances, for round holes."""
    from scipy.optimize import minimize

    def room(x):
        arm = np.column_stack([-holes.at[:, 1], holes.at[:, 0]]) / 50.0
        off = error + x[:2] + x[2] * arm
        return (holes.gaps + x[3]) ** 2 - (off**2).sum(axis=1)

    start = [0.0, 0.0, 0.0, float(np.hypot(*error.T).max())]
    wants = [
        {"type": "ineq", "fun": room},
        {"type": "ineq", "fun": lambda x: x[3] + holes.gaps.min()},
    ]
    found = minimize(lambda x: x[3], start, method="SLSQP", constraints=wants, options={"ftol": 1e-12, "maxiter": 300})
    return float(found.x[3])


@pytest.mark.parametrize("name", PATTERNS)
def test_every_case_is_proven_and_as_a_linear_programme_has_it(name):
    """HiGHS (scipy.optimize.linprog) on polygons of 720 sides, which are wider than the holes by 1e-5 of them."""
    points = PATTERNS[name]
    holes, errors = holes_of(points, np.linspace(0.3, 0.6, len(points))), errors_for(points, 40)
    found = fit_assembly(holes, errors)
    assert ((found.most <= 0) | (found.least > 0)).all()  # each is proven, one way or the other
    right = np.array([linear_programme(holes, error) for error in errors])
    assert (found.least <= right + 2e-5).all()
    assert (found.most >= right - 1e-9).all()


def test_as_sequential_quadratic_programming_has_it():
    """SLSQP (scipy.optimize.minimize), another method on the same problem."""
    holes, errors = holes_of(DOOR, (0.3, 0.5, 0.4, 0.45)), errors_for(DOOR, 40)
    found = fit_assembly(holes, errors)
    right = np.array([smooth_programme(holes, error) for error in errors])
    assert (found.least <= right + 1e-6).all()
    assert (found.most >= right - 1e-6).all()
    assert 5 < (found.most <= 0).sum() < 35  # both verdicts are among them


def test_slots_are_as_a_linear_programme_has_them():
    slots = (None, None, (0.6, 0.8, 0.3), None)
    holes, errors = holes_of(SQUARE, (0.15, 0.4, 0.15, 0.4), slots), errors_for(SQUARE, 60, 0.22)
    found = fit_assembly(holes, errors)
    right = np.array([linear_programme(holes, error) for error in errors])
    assert ((found.most <= 0) | (found.least > 0)).all()
    assert ((found.most <= 0) == (right <= 0)).all()
    assert 5 < (found.most <= 0).sum() < 55


def test_two_pins_need_only_their_distance():
    """Free to shift and turn, two pins 60 apart fail only by their distance: it is off by a normal error of √2 σ."""
    gap, sd = 0.2, 0.2
    right = 2 * NormalDist().cdf(2 * gap / (2**0.5 * sd)) - 1
    assert chance(((0.0, 0.0), (60.0, 0.0)), (gap, gap), same_errors(2, sd)) == pytest.approx(right, abs=ABOUT)


def test_a_slot_frees_the_distance():
    slot = (1.0, 0.0, 5.0)
    two, errors = ((0.0, 0.0), (60.0, 0.0)), same_errors(2, 0.3)
    assert chance(two, (0.01, 0.01), errors, (None, slot)) == pytest.approx(1.0)
    across = (0.0, 1.0, 5.0)  # a slot along which it does not help
    assert chance(two, (0.01, 0.01), errors, (None, across)) < 0.1


def test_a_wide_hole_never_holds_back_and_none_at_all_always():
    assert chance(SQUARE, (5.0,) * 4, same_errors(4, 0.2)) == 1.0
    assert chance(SQUARE, (0.0,) * 4, same_errors(4, 0.2)) == 0.0


def test_it_rises_with_the_gap_and_falls_with_the_error():
    rising = [chance(SQUARE, (gap,) * 4, same_errors(4, 0.2)) for gap in (0.2, 0.3, 0.4, 0.5)]
    assert rising == sorted(rising)
    assert rising[0] < 0.5 < rising[-1]
    assert chance(SQUARE, (0.4,) * 4, same_errors(4, 0.3)) < rising[2]
    assert chance(SQUARE, (0.4,) * 4, same_errors(4, 0.2, made=0.3**0.5 / 2)) < rising[2]


def test_reading_and_making_add_as_squares():
    assert chance(SQUARE, (0.4,) * 4, same_errors(4, 0.3, 0.4)) == chance(SQUARE, (0.4,) * 4, same_errors(4, 0.5))


def test_mirror_images_have_the_same_chance():
    other = tuple((-x, y) for x, y in SQUARE)
    slot, mirrored = (0.6, 0.8, 0.2), (-0.6, 0.8, 0.2)
    assert chance(SQUARE, (0.3,) * 4, same_errors(4, 0.2), (None, None, slot, None)) == chance(
        other, (0.3,) * 4, same_errors(4, 0.2), (None, None, mirrored, None)
    )


def test_mirror_images_of_correlated_errors_too():
    spread = np.random.default_rng(2).normal(0, 0.1, (8, 8))
    read = spread @ spread.T + np.eye(8) * 0.01
    hand = np.diag([-1.0, 1.0] * 4)
    one, other = (Errors(tuple(map(tuple, each.tolist())), 0.1, (0.1,) * 4) for each in (read, hand @ read @ hand))
    mirrored = tuple((-x, y) for x, y in SQUARE)
    found = chance(SQUARE, (0.4,) * 4, one)
    assert found == chance(mirrored, (0.4,) * 4, other)
    assert 0.1 < found < 0.99


def test_what_moves_all_pins_alike_does_no_harm():
    """A pattern that was read as one whole a millimetre off, and turned, goes on as if it had been read exactly."""
    shift = np.tile(np.eye(2), (4, 1))
    turn = np.column_stack([-np.array(SQUARE)[:, 1], np.array(SQUARE)[:, 0]]).reshape(8, 1) / 30.0
    moves = np.hstack([shift, turn])
    assert chance(SQUARE, (0.01,) * 4, Errors(tuple(map(tuple, (moves @ moves.T).tolist())))) == 1.0


def test_the_gap_that_is_needed_gives_the_chance_and_less_does_not():
    errors = Errors(same_errors(4, 0.25).read, 0.1, (0.1,) * 4)
    for sure in (0.5, 0.9, 0.95, 0.99):
        gap, more = needed_gap(DOOR, (0.0,) * 4, errors, sure), raise_share(sure)
        assert chance(DOOR, (gap,) * 4, errors) == pytest.approx(
            sure, abs=ABOUT
        )  # by other cases than those that sized it
        less = (gap - 0.002,) * 4
        assert chance(DOOR, (gap,) * 4, errors, sizes=True) >= more > chance(DOOR, less, errors, sizes=True)
    assert needed_gap(DOOR, (0.1,) * 4, errors, 0.95) == pytest.approx(
        needed_gap(DOOR, (0.0,) * 4, errors, 0.95) - 0.1, abs=0.002
    )
    assert needed_gap(DOOR, (9.0,) * 4, errors, 0.95) == 0.0


def test_a_pin_that_is_known_to_be_off_needs_so_much_more():
    """Two pins 0.6 too far apart: 0.3 more a side, on average, for an even chance."""
    two = ((0.0, 0.0), (60.0, 0.0))
    off = ((0.0, 0.0), (0.6, 0.0))
    exact = Errors(same_errors(2, 0.0).read, off=off)
    assert needed_gap(two, (0.0, 0.0), exact, 0.5) == pytest.approx(0.3, abs=0.002)
    loose = Errors(same_errors(2, 0.05).read, off=off)
    assert chance(two, (0.3, 0.3), loose) == pytest.approx(0.5, abs=ABOUT)


def test_a_nut_set_loosely_is_off_by_half_of_its_play_at_most():
    still = same_errors(2, 0.0)
    two = ((0.0, 0.0), (60.0, 0.0))
    loose = Errors(still.read, plays=(0.4, 0.0))
    assert chance(two, (0.1, 0.1), loose) == 1.0  # half of 0.4 is what both pins together can take up
    # within a disc of radius 0.2 the part of it that lies off by less than 0.1 along one axis: chord areas
    share = (2 / np.pi) * (np.arcsin(0.5) + 0.5 * (1 - 0.25) ** 0.5)
    assert chance(two, (0.05, 0.05), loose) == pytest.approx(share, abs=ABOUT)


def test_a_reading_that_becomes_exact_helps_and_takes_what_went_with_it():
    errors = same_errors(4, 0.3)
    assert all(
        chance(SQUARE, (0.4,) * 4, known_errors(errors, k)) > chance(SQUARE, (0.4,) * 4, errors) for k in range(4)
    )
    one = np.kron(np.ones((2, 2)), np.eye(2)) * 0.09  # two pins that are off by the same error
    assert np.allclose(known_errors(Errors(tuple(map(tuple, one.tolist()))), 0).read, 0.0)


def test_the_pin_that_was_read_worst_presses_most():
    read = np.diag([0.1, 0.1, 0.1, 0.1, 0.4, 0.4, 0.1, 0.1]) ** 2
    shares = pressing(SQUARE, (0.3,) * 4, Errors(tuple(map(tuple, read.tolist()))))
    assert shares.index(max(shares)) == 2
    assert sum(shares) == pytest.approx(1)
    assert pressing(SQUARE, (9.0,) * 4, same_errors(4, 0.1)) == (0.0,) * 4


def test_one_free_pin_against_two_that_hold_the_part():
    """With two pins exact and stiff at a far place, a third one fails like a Rayleigh error of √(σ² + small)."""
    far = ((0.0, 0.0), (1e6, 0.0), (0.0, 1.0))
    gap, sd = 0.3, 0.2
    # the part follows pin 0 within 0.001, so pin 2 is off by the difference of two errors
    right = 1 - exp(-(gap**2) / (2 * 2 * sd**2))
    found = chance(far, (0.001, 0.001, gap), same_errors(3, sd), (None, (1.0, 0.0, 10.0), None))
    assert found == pytest.approx(right, abs=ABOUT + 0.003)
