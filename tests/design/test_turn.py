"""The speaker about its axis: best turns, and pockets beside upright axes, against brute force and chord formulas."""

from math import cos, pi, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from shapely import MultiPoint, Point
from shapely import points as spots

from mounts.design.body import all_turns, best_turn, pockets_to_axes, turn_points
from mounts.geometry.frames import PANEL, Array, Frame, clock_vector, tilt_frame
from mounts.load.models.outline import BoltCircle
from tests.geometry.shapes import QUICK, read


def bolts(diameter: float, count: int, first: float) -> Array:
    return np.array(BoltCircle(diameter=diameter, count=count, first=first).points())


# --- turning ---------------------------------------------------------------------------------------------------------


def test_every_half_degree_once_and_half_a_turn_counted_once() -> None:
    turns = all_turns()
    assert (len(turns), turns[0], turns[-1]) == (720, -179.5, 180.0)
    assert np.diff(turns) == pytest.approx(np.full(719, 0.5), abs=1e-12)
    assert 0.0 in turns


@pytest.mark.parametrize("turn", [0.0, 30.0, 90.0, -45.0, 180.0])
def test_turning_is_clockwise(turn: float) -> None:
    places = [clock_vector(clock) for clock in (0.0, 90.0, 200.0)]
    assert turn_points(places, [turn])[0] == pytest.approx(
        np.array([clock_vector(c + turn) for c in (0.0, 90.0, 200.0)])
    )


def test_all_points_at_all_turns() -> None:
    assert turn_points(bolts(127.0, 4, 45.0), all_turns()).shape == (720, 4, 2)
    assert turn_points([(10.0, 0.0)], [0.0, 90.0, 180.0])[:, 0] == pytest.approx(
        np.array([(10, 0), (0, -10), (-10, 0)]), abs=1e-12
    )


@pytest.mark.parametrize(
    ("scores", "first", "best"),
    [
        ({-90: 1, 0: 2, 90: 3}, 1, 90),
        ({-90: 3, 0: 2, 90: 3}, 1, 90),
        ({-90: 3, 0: 2, 90: 3}, -1, -90),
        ({-90: 3, -30: 3, 60: 3}, 1, -30),  # the smallest turn first, the sign only then
        ({-90: 3, -30: 2.9995, 60: 3}, 1, -30),  # within a micrometre, so equal
        ({-90: 3, -30: 2.9985, 60: 3}, 1, 60),
        ({0: -5, 180: -5}, -1, 0),
        ({-90: -np.inf, 90: -np.inf}, 1, 90),  # nothing fits: still an answer
        ({-90: np.inf, 90: np.inf}, -1, -90),
    ],
)
def test_the_best_turn_and_its_ties(scores: dict[float, float], first: int, best: float) -> None:
    assert best_turn(np.array(list(scores), dtype=float), np.array(list(scores.values())), first) == best


# --- regular patterns ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("count", "share"), [(3, 0.866025), (4, 0.707107), (6, 0.5), (8, 0.382683)])
def test_neighbours_on_a_bolt_circle_are_a_chord_apart(count: int, share: float) -> None:
    # chord = PCD · sin(π / n), published to six decimals for 3, 4, 6 and 8 holes
    points = bolts(100.0, count, 17.0)
    apart = np.hypot(*(points - np.roll(points, 1, axis=0)).T)
    assert apart == pytest.approx(np.full(count, 100 * share), abs=1e-4)
    assert 100 * share == pytest.approx(100 * sin(pi / count), abs=1e-4)


@pytest.mark.parametrize(("count", "first"), [(4, 45.0), (4, 0.0), (3, 20.0), (6, 10.0)])
def test_equal_patterns_on_two_circles_are_best_half_a_step_apart(count: int, first: float) -> None:
    # 4 screws on 127 against 4 paths on 158 at the same angles: best at 45, and there by the cosine rule
    # d² = r² + R² − 2·r·R·cos 45°
    pockets, axes = bolts(127.0, count, first), bolts(158.0, count, first)
    hole, step = 5.6, 180 / count
    turns = all_turns()
    scores = pockets_to_axes(PANEL, turn_points(pockets, turns), hole, 6.0, axes).min(axis=(1, 2))
    gap = sqrt(63.5**2 + 79**2 - 2 * 63.5 * 79 * cos(radians(step))) - hole / 2
    for sign in (1, -1):
        best = best_turn(turns, scores, sign)
        assert best == sign * step
        assert scores[turns == best][0] == pytest.approx(gap, abs=gap * 1e-4)
    assert scores[turns == 0][0] == pytest.approx((158 - 127) / 2 - hole / 2, abs=1e-6)


def test_a_pattern_of_four_on_one_of_three_leaves_no_more_than_fifteen_degrees() -> None:
    # 3 and 4 equal steps meet every 30 degrees, so the best turn leaves half of that: 15
    turns = all_turns()
    scores = pockets_to_axes(PANEL, turn_points(bolts(130.0, 4, 0.0), turns), 5.0, 6.0, bolts(130.0, 3, 0.0)).min(
        axis=(1, 2)
    )
    best = best_turn(turns, scores, 1)
    assert best == 15.0
    assert scores.max() == pytest.approx(130 * sin(radians(7.5)) - 2.5, abs=2e-3)


# --- pockets beside axes ---------------------------------------------------------------------------------------------


def covered(seat: Frame, at: tuple[float, float], hole: float, depth: float) -> MultiPoint:
    """What a pocket covers seen along the panel's z: the hull of 2 × 3600 points of its rims."""
    around = np.radians(np.arange(0, 360, 0.1))
    rim = np.column_stack([at[0] + hole / 2 * np.cos(around), at[1] + hole / 2 * np.sin(around)])
    both = np.concatenate([np.column_stack([rim, np.full(3600, level)]) for level in (0.0, -depth)])
    return MultiPoint(spots(seat.out(both)[:, :2])).convex_hull


@QUICK
@given(
    st.tuples(read(0, 30), read(0, 360)),
    st.tuples(read(-80, 80), read(-80, 80)),
    read(2, 8),
    read(0, 14),
    st.tuples(read(-120, 120), read(-120, 120)),
)
@example((16.0, 1.5), (0.0, 1.5), 2.0, 2.0, (0.0, 0.0))
@example((20.0, 33.5), (60.0, 10.0), 5.6, 10.0, (52.0, 18.0))
def test_as_far_as_shapely_has_it(
    lean: tuple[float, float], at: tuple[float, float], hole: float, depth: float, axis: tuple[float, float]
) -> None:
    seat = tilt_frame((2.0, -1.0, 22.0), *lean)
    shape = covered(seat, at, hole, depth)
    signed = shape.exterior.distance(Point(axis)) * (-1 if shape.contains(Point(axis)) else 1)
    found = pockets_to_axes(seat, np.array(at), hole, depth, [axis])[0]
    assert found == pytest.approx(signed, abs=1e-4 * (abs(signed) + hole) + 1e-4)
    assert found <= signed + 1e-4  # never told larger than it is


@pytest.mark.parametrize("beside", [0.0, 0.3, 0.5, 0.8, 1.0])
@pytest.mark.parametrize("tilt", [8.0, 20.0, 30.0])
@pytest.mark.parametrize("clock", [90.0, 33.5])
def test_beside_the_wall_of_a_leaning_pocket_half_a_hole_is_taken_at_every_depth(
    tilt: float, clock: float, beside: float
) -> None:
    # the pocket's side runs straight from its mouth to its bottom, depth · sin θ away, always hole / 2 wide
    seat = tilt_frame((0.0, 0.0, 22.0), tilt, clock)
    mouth, bottom = seat.out((30.0, 0.0, 0.0))[:2], seat.out((30.0, 0.0, -10.0))[:2]
    assert bottom - mouth == pytest.approx(-10 * sin(radians(tilt)) * np.array(clock_vector(clock)))
    place = mouth + beside * (bottom - mouth) + 12 * np.array(clock_vector(clock + 90))
    found = pockets_to_axes(seat, np.array((30.0, 0.0)), 5.6, 10.0, [place])[0]
    assert found == pytest.approx(12 - 2.8, abs=1e-9)


def test_an_axis_through_a_pocket_is_negative_by_how_deep_it_lies() -> None:
    pocket = np.array((30.0, 10.0))
    found = pockets_to_axes(PANEL, pocket, 6.0, 8.0, [(30.0, 10.0), (32.0, 10.0), (33.0, 10.0), (35.0, 10.0)])
    assert found == pytest.approx([-3.0, -1.0, 0.0, 2.0], abs=1e-9)


def test_each_pocket_at_each_turn_beside_each_axis() -> None:
    seat = tilt_frame((0.0, 0.0, 22.0), 8.0, 315.0)
    pockets, axes = turn_points(bolts(127.0, 4, 45.0), [0.0, 10.0, 20.0]), bolts(158.0, 5, 0.0)
    found = pockets_to_axes(seat, pockets, 5.6, 6.0, axes)
    assert found.shape == (3, 4, 5)
    for t, p, a in ((0, 0, 0), (1, 2, 3), (2, 3, 4)):
        alone = pockets_to_axes(seat, pockets[t, p], 5.6, 6.0, [axes[a]])[0]
        assert found[t, p, a] == pytest.approx(alone, abs=1e-12)


def test_a_seat_beside_the_origin_takes_its_pockets_along() -> None:
    here = pockets_to_axes(tilt_frame((0, 0, 22), 8.0, 45.0), np.array((60.0, 0.0)), 5.6, 6.0, [(70.0, 20.0)])
    there = pockets_to_axes(tilt_frame((3, -4, 30), 8.0, 45.0), np.array((60.0, 0.0)), 5.6, 6.0, [(73.0, 16.0)])
    assert here == pytest.approx(there, abs=1e-12)
