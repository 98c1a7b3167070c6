"""Planes through readings, against scipy's minimiser and numpy; gaps to discs, against dense sampling and formulas."""

from math import cos, radians, sin

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from mounts.geometry.frames import clock_vector, tilt_frame
from mounts.geometry.outline import Outline, circle, oblong, rectangle
from mounts.geometry.planes import (
    Plane,
    disc_gap,
    disc_gap_below,
    fit_plane,
    plane_weights,
    rim_point,
    supporting_plane,
)
from tests.geometry.shapes import CONVEX, QUICK, read

SLOPES = st.tuples(read(-0.5, 0.5), read(-0.5, 0.5))
CLOCKS = st.dictionaries(
    st.sampled_from([float(30 * hour) for hour in range(12)]), read(20, 80), min_size=3, max_size=8
)
GLASS = {0.0: 52.0, 90.0: 55.0, 180.0: 60.0, 270.0: 56.0}


# --- the plane itself ------------------------------------------------------------------------------------------------


@QUICK
@given(read(-60, 60), SLOPES, read(-99, 99), read(-99, 99))
def test_height_normal_and_gap(at: float, slope: tuple[float, float], x: float, y: float) -> None:
    plane = Plane(at, slope)
    z = plane.height(x, y)
    assert z == pytest.approx(at + slope[0] * x + slope[1] * y)
    assert np.linalg.norm(plane.normal) == pytest.approx(1.0)
    assert np.array(plane.normal) @ (1, 0, slope[0]) == pytest.approx(0, abs=1e-12)
    assert np.array(plane.normal) @ (0, 1, slope[1]) == pytest.approx(0, abs=1e-12)
    above = np.array((x, y, z)) + 3.0 * np.array(plane.normal)
    assert plane.gaps(above) == pytest.approx(3.0)
    assert plane.moved(5.0).height(x, y) == pytest.approx(z + 5)


@QUICK
@given(read(0, 40), read(0, 360), read(-99, 99), read(-99, 99))
def test_a_frame_on_it_has_the_axes_of_a_tilted_one(tilt: float, clock: float, x: float, y: float) -> None:
    # a plane whose normal leans by θ towards φ falls that way by tan θ
    ux, uy = clock_vector(clock)
    fall = np.tan(radians(tilt))
    plane = Plane(30.0, (-fall * ux, -fall * uy))
    frame, like = plane.frame(x, y), tilt_frame((x, y, plane.height(x, y)), tilt, clock)
    assert frame.origin == pytest.approx(like.origin)
    assert frame.axes == pytest.approx(like.axes, abs=1e-12)


# --- readings --------------------------------------------------------------------------------------------------------


@QUICK
@given(CLOCKS)
def test_the_plane_is_the_one_of_least_squares(readings: dict[float, float]) -> None:
    rim, centre = oblong(150.0, 110.0), (3.0, -2.0)
    places = np.array([rim_point(rim, clock) for clock in readings]) + centre
    heights = np.array(list(readings.values()))
    assume(np.linalg.matrix_rank(np.column_stack([np.ones(len(places)), places]), tol=1) == 3)
    found = least_squares(lambda p: p[0] + places @ p[1:] - heights, np.zeros(3), xtol=1e-15, ftol=1e-15, gtol=1e-15)
    plane = fit_plane(readings, rim, centre)
    assert (plane.at, *plane.slope) == pytest.approx(found.x, abs=1e-5)


def test_four_readings_on_a_round_rim_by_hand() -> None:
    # at 0, 90, 180, 270 degrees the slopes are half the differences over the radius, the mean is the middle's height
    plane = fit_plane(GLASS, circle(120.0), (0.0, 0.0))
    assert plane.at == pytest.approx((52 + 55 + 60 + 56) / 4, abs=1e-12)
    assert plane.slope == pytest.approx(((55 - 56) / 120, (52 - 60) / 120), abs=1e-12)


@QUICK
@given(read(20, 80), SLOPES, st.tuples(read(-9, 9), read(-9, 9)))
def test_readings_off_a_plane_give_it_back(at: float, slope: tuple[float, float], centre: tuple[float, float]) -> None:
    plane, rim = Plane(at, slope), CONVEX["wedge"].moved(15.0, 0.0)
    spots = {clock: rim_point(rim, clock) for clock in (0.0, 60.0, 135.0, 240.0, 300.0)}
    readings = {clock: plane.height(x + centre[0], y + centre[1]) for clock, (x, y) in spots.items()}
    found = fit_plane(readings, rim, centre)
    assert (found.at, *found.slope) == pytest.approx((at, *slope), abs=1e-9)
    for towards in (1, -1):
        near = supporting_plane(readings, rim, centre, towards=towards)
        assert (near.at, *near.slope) == pytest.approx((at, *slope), abs=1e-9)


@pytest.mark.parametrize(
    ("readings", "at", "slope"),
    [
        (44.0, 44.0, (0.0, 0.0)),
        ({90.0: 44.0}, 44.0, (0.0, 0.0)),
        ({0.0: 53.0, 180.0: 51.0}, 52.0, (0.0, 2 / 120)),  # level from left to right, of which nothing is known
        ({90.0: 53.0, 270.0: 51.0}, 52.0, (2 / 120, 0.0)),
        ({45.0: 53.0, 225.0: 51.0}, 52.0, (2 / 120 * np.sqrt(0.5), 2 / 120 * np.sqrt(0.5))),
    ],
)
def test_where_nothing_is_read_the_plane_is_level(
    readings: dict[float, float] | float, at: float, slope: tuple[float, float]
) -> None:
    for plane in (
        fit_plane(readings, circle(120.0), (0.0, 0.0)),
        supporting_plane(readings, circle(120.0), (0.0, 0.0), towards=1),
    ):
        assert (plane.at, *plane.slope) == pytest.approx((at, *slope), abs=1e-9)


def test_three_readings_nearly_in_a_line_are_a_line() -> None:
    # at 12:00, 6:00 and a hair beside 12:00: the tape cannot tell the slope across
    plane = fit_plane({0.0: 50.0, 180.0: 40.0, 1e-5: 51.0}, circle(120.0), (0.0, 0.0))
    assert plane.slope == pytest.approx((0.0, 10.5 / 120), abs=1e-6)


@QUICK
@given(CLOCKS, st.sampled_from([1, -1]))
def test_the_safe_plane_is_parallel_and_just_reaches_the_worst_reading(
    readings: dict[float, float], towards: int
) -> None:
    rim, centre = rectangle(130.0, 90.0, 12.0), (1.0, 2.0)
    plane, safe = fit_plane(readings, rim, centre), supporting_plane(readings, rim, centre, towards=towards)
    beyond = []
    for clock, height in readings.items():
        x, y = rim_point(rim, clock)
        beyond.append(towards * (height - safe.height(x + centre[0], y + centre[1])))
    assert safe.slope == plane.slope
    assert max(beyond) == pytest.approx(0.0, abs=1e-9)
    assert towards * (safe.at - plane.at) >= -1e-9


@pytest.mark.parametrize("rim", [CONVEX["slot standing"], CONVEX["base"], CONVEX["circle of two halves"]])
@pytest.mark.parametrize("clock", [0.0, 45.0, 90.0, 123.4, 180.0, 270.0, 359.0])
def test_a_rim_point_lies_on_the_rim_in_its_direction(rim: Outline, clock: float) -> None:
    x, y = rim_point(rim, clock)
    assert rim.depth((x, y)) == pytest.approx(0.0, abs=1e-9)
    assert np.array((x, y)) / np.hypot(x, y) == pytest.approx(clock_vector(clock), abs=1e-12)


def test_rim_points_of_a_circle_beside_its_origin() -> None:
    # ray from the origin: x = c + sqrt(r² − d²) along it
    assert rim_point(circle(100.0, (10.0, 0.0)), 90.0) == pytest.approx((60.0, 0.0), abs=1e-9)
    assert rim_point(circle(100.0, (10.0, 0.0)), 270.0) == pytest.approx((-40.0, 0.0), abs=1e-9)
    assert rim_point(circle(100.0, (30.0, 0.0)), 0.0) == pytest.approx((0.0, 40.0), abs=1e-9)


# --- discs -----------------------------------------------------------------------------------------------------------


def rim_gaps(
    plane: Plane, centre: tuple[float, float, float], tilt: float, clock: float, diameter: float
) -> np.ndarray:
    """Signed distances of 36000 points of a disc's rim from a plane."""
    around = np.radians(np.arange(0, 360, 0.01))
    flat = np.column_stack([np.cos(around), np.sin(around), 0 * around]) * diameter / 2
    gaps: np.ndarray = (tilt_frame(centre, tilt, clock).out(flat) - (0, 0, plane.at)) @ plane.normal
    return gaps


@QUICK
@given(read(-80, 80), SLOPES, read(0, 45), read(0, 360), read(1, 200))
def test_gaps_to_a_disc_are_those_of_its_nearest_rim_point(
    at: float, slope: tuple[float, float], tilt: float, clock: float, diameter: float
) -> None:
    plane, centre = Plane(at, slope), (3.0, -4.0, 20.0)
    axis = tilt_frame(centre, tilt, clock).z
    rim = rim_gaps(plane, centre, tilt, clock, diameter)
    above, near = disc_gap(plane, centre, axis, diameter)
    assert above == pytest.approx(rim.min(), abs=1e-5)
    assert plane.gaps(np.array(near)) == pytest.approx(above, abs=1e-9)
    below, far = disc_gap_below(plane, centre, axis, diameter)
    assert below == pytest.approx(-rim.max(), abs=1e-5)
    assert plane.gaps(np.array(far)) == pytest.approx(-below, abs=1e-9)
    for point in (near, far):
        away = np.subtract(point, centre)
        assert away @ np.array(axis) == pytest.approx(0.0, abs=1e-9)
        assert np.linalg.norm(away) <= diameter / 2 + 1e-9


@pytest.mark.parametrize("tilt", [0.0, 5.0, 8.0, 20.0])
def test_a_tilted_disc_over_a_level_plane_reaches_down_by_half_its_diameter_times_the_sine(tilt: float) -> None:
    axis = tilt_frame((0.0, 0.0, 0.0), tilt, 315.0).z
    gap, near = disc_gap(Plane(-52.0), (0.0, 0.0, -34.0), axis, 78.0)
    assert gap == pytest.approx(18 - 39 * sin(radians(tilt)), abs=1e-12)
    # an axis that leans to 10:30 lowers that side of a disc on it
    if tilt:
        assert near[:2] == pytest.approx(np.array(clock_vector(315.0)) * 39 * cos(radians(tilt)), abs=1e-9)


def test_a_disc_in_a_parallel_plane_has_its_gap_at_its_centre() -> None:
    plane = Plane(10.0, (0.2, -0.1))
    centre = tuple(np.array((0.0, 0.0, 10.0)) + 4.0 * np.array(plane.normal))
    assert disc_gap(plane, centre, plane.normal, 100.0) == (pytest.approx(4.0), pytest.approx(centre))
    assert disc_gap_below(plane, centre, plane.normal, 100.0)[0] == pytest.approx(-4.0)


def test_a_disc_through_a_plane_interferes_on_both_sides() -> None:
    axis = tilt_frame((0.0, 0.0, 0.0), 30.0, 90.0).z
    for gap in (disc_gap, disc_gap_below):
        assert gap(Plane(0.0), (0.0, 0.0, 0.0), axis, 100.0)[0] == pytest.approx(-25.0)


# --- how it follows its readings -------------------------------------------------------------------------------------


@QUICK
@given(CLOCKS, read(-40, 40), read(-40, 40))
def test_the_plane_is_its_readings_by_their_weights(readings: dict[float, float], x: float, y: float) -> None:
    rim, centre = circle(120.0), (3.0, -2.0)
    weights = plane_weights(readings, rim, centre, (x, y))
    assert sum(weights.values()) == pytest.approx(1.0)  # all moved alike, it moves with them
    by_weights = sum(weights[clock] * height for clock, height in readings.items())
    assert by_weights == pytest.approx(fit_plane(readings, rim, centre).height(x, y), abs=1e-6)


def test_a_plane_through_a_cross_is_surest_in_its_middle() -> None:
    # four readings: variance 1/4 in the middle, and (r / R)² / 2 more at r from it
    for r in (0.0, 30.0, 60.0):
        weights = plane_weights(GLASS, circle(120.0), (0.0, 0.0), (r, 0.0))
        assert sum(w * w for w in weights.values()) == pytest.approx(0.25 + (r / 60) ** 2 / 2)
