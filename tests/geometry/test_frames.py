"""Frames and clock directions, against scipy's rotations."""

from math import cos, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar
from scipy.spatial.transform import Rotation

from mounts.geometry.frames import PANEL, Frame, clock_to_angle, clock_vector, tilt_frame
from mounts.geometry.outline import polar_point
from tests.geometry.shapes import QUICK, read

TILTS = read(0.0, 60.0)
CLOCKS = read(-360.0, 720.0)


@pytest.mark.parametrize(
    ("clock", "way"), [("12:00", (0, 1)), ("3:00", (1, 0)), ("6:00", (0, -1)), ("9:00", (-1, 0)), ("1:30", None)]
)
def test_a_clock_seen_from_the_cabin(clock: str, way: tuple[int, int] | None) -> None:
    hour, minute = clock.split(":")
    degrees = 30 * (int(hour) % 12) + int(minute) / 2
    assert clock_vector(degrees) == pytest.approx(way or (np.sqrt(0.5), np.sqrt(0.5)), abs=1e-15)
    assert polar_point((0, 0), 2.0, clock_to_angle(degrees)) == pytest.approx(clock_vector(degrees), abs=1e-15)


@QUICK
@given(TILTS, CLOCKS)
def test_a_tilted_axis_is_the_one_of_the_design(tilt: float, clock: float) -> None:
    # n = (sin θ sin φ, sin θ cos φ, cos θ)
    theta, phi = radians(tilt), radians(clock)
    frame = tilt_frame((1.0, 2.0, 3.0), tilt, clock)
    assert frame.z == pytest.approx((sin(theta) * sin(phi), sin(theta) * cos(phi), cos(theta)), abs=1e-15)
    assert frame.origin == (1.0, 2.0, 3.0)


@QUICK
@given(TILTS, CLOCKS)
def test_axes_are_a_right_handed_set(tilt: float, clock: float) -> None:
    axes = tilt_frame((0.0, 0.0, 0.0), tilt, clock).axes
    assert axes.T @ axes == pytest.approx(np.eye(3), abs=1e-14)
    assert np.linalg.det(axes) == pytest.approx(1.0, abs=1e-14)


@QUICK
@given(TILTS, CLOCKS)
def test_the_axes_follow_by_the_least_rotation(tilt: float, clock: float) -> None:
    # scipy: of all rotations that carry the panel's z onto the axis, align_vectors gives the one of least angle, which
    # turns about a line in the panel's plane by the tilt itself
    frame = tilt_frame((0.0, 0.0, 0.0), tilt, clock)
    least, _ = Rotation.align_vectors([frame.z], [(0.0, 0.0, 1.0)])
    assert frame.axes == pytest.approx(least.as_matrix(), abs=1e-7)
    assert Rotation.from_matrix(frame.axes).magnitude() == pytest.approx(radians(tilt), abs=1e-7)
    hinge = (-cos(radians(clock)), sin(radians(clock)), 0.0)
    turned = Rotation.from_rotvec(radians(tilt) * np.array(hinge)).as_matrix()
    assert frame.axes == pytest.approx(turned, abs=1e-12)


@pytest.mark.parametrize(("tilt", "clock"), [(8, 315), (12, 120), (20, 45), (35, 200)])
def test_no_other_turn_about_the_axis_leaves_x_and_y_nearer_to_the_panels(tilt: float, clock: float) -> None:
    axes = tilt_frame((0.0, 0.0, 0.0), tilt, clock).axes

    def angle(turn: float) -> float:
        spun = axes @ Rotation.from_euler("z", turn).as_matrix()
        return float(Rotation.from_matrix(spun).magnitude())

    best = minimize_scalar(angle, bounds=(-1.0, 1.0), method="bounded", options={"xatol": 1e-10})
    assert best.x == pytest.approx(0.0, abs=1e-4)


def test_without_tilt_the_frame_is_the_panels() -> None:
    assert tilt_frame((0.0, 0.0, 0.0), 0.0, 77.0) == PANEL
    assert PANEL.axes == pytest.approx(np.eye(3), abs=0)


@QUICK
@given(TILTS, CLOCKS, st.lists(st.tuples(*[read(-200, 200)] * 3), min_size=1, max_size=5))
def test_into_takes_back_what_out_does(tilt: float, clock: float, places: list[tuple[float, float, float]]) -> None:
    frame = tilt_frame((4.0, -5.0, 22.0), tilt, clock)
    assert frame.into(frame.out(places)) == pytest.approx(np.array(places), abs=1e-12)
    assert frame.out(places[0]).shape == (3,)
    assert frame.out(places[0]) == pytest.approx(frame.out(places)[0])


def test_out_adds_up_the_axes() -> None:
    frame = Frame((10.0, 20.0, 30.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))  # y is then z × x = (0, 0, 1)
    assert frame.out((1.0, 2.0, 3.0)) == pytest.approx((13.0, 21.0, 32.0))
    assert frame.into((13.0, 21.0, 32.0)) == pytest.approx((1.0, 2.0, 3.0))


@QUICK
@given(TILTS, CLOCKS, read(-50, 50), read(-50, 50))
def test_lifted_and_shifted_move_the_origin_alone(tilt: float, clock: float, by: float, aside: float) -> None:
    frame = tilt_frame((4.0, -5.0, 22.0), tilt, clock)
    lifted, shifted = frame.lifted(by), frame.shifted(by, aside)
    assert (lifted.x, lifted.z, shifted.x, shifted.z) == (frame.x, frame.z, frame.x, frame.z)
    assert frame.into(lifted.origin) == pytest.approx((0.0, 0.0, by), abs=1e-12)
    assert frame.into(shifted.origin) == pytest.approx((by, aside, 0.0), abs=1e-12)
