"""Tilt against numbers from outside: what a disc of 165 rises and covers, and what a tilted cylinder asks of a sheet.

Sources: rise 165·sin α and footprint 165·cos α of an angled ring, published to two decimals for 5, 10, 15 and 20
degrees; the section of a cylinder by a plane is an ellipse (Apollonius), half as wide as d and d / cos θ; for rotations
scipy's Rotation.
"""

from math import cos, radians, sin, tan

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from mounts.geometry.frames import PANEL, Array, clock_vector, tilt_frame
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import circle, oblong
from mounts.geometry.planes import Plane, disc_gap, disc_gap_below
from mounts.shape.primitives import Section
from mounts.shape.sheet import Sheet

TILTS = [5, 10, 15, 20]
RISES = [14.38, 28.65, 42.71, 56.43]
FOOTPRINTS = [164.37, 162.49, 159.38, 155.05]
CLOCKS = [0.0, 90.0, 135.0, 315.0]


def rim(diameter: float, tilt: float, clock: float) -> Array:
    """Points of a disc's rim, its centre at the origin, told in the panel frame, (3600, 3) float."""
    around = np.radians(np.arange(0, 360, 0.1))
    flat = np.column_stack([np.cos(around), np.sin(around), 0 * around]) * diameter / 2
    return tilt_frame((0.0, 0.0, 0.0), tilt, clock).out(flat)


@pytest.mark.parametrize("clock", CLOCKS)
@pytest.mark.parametrize(("tilt", "rise", "footprint"), list(zip(TILTS, RISES, FOOTPRINTS, strict=True)))
def test_a_tilted_disc_rises_and_covers_what_is_published(
    tilt: float, rise: float, footprint: float, clock: float
) -> None:
    points = rim(165.0, tilt, clock)
    ahead = np.array(clock_vector(clock))
    aside = np.array([ahead[1], -ahead[0]])
    assert np.ptp(points[:, 2]) == pytest.approx(rise, abs=0.005)
    assert np.ptp(points[:, :2] @ ahead) == pytest.approx(footprint, abs=0.005)
    assert np.ptp(points[:, :2] @ aside) == pytest.approx(165.0, abs=0.005)
    assert points[points[:, 2].argmin(), :2] @ ahead == pytest.approx(footprint / 2, abs=0.005)  # it leans that way


@pytest.mark.parametrize(("tilt", "rise"), list(zip(TILTS, RISES, strict=True)))
def test_half_of_the_rise_comes_off_the_room_in_front_and_behind(tilt: float, rise: float) -> None:
    axis = tilt_frame((0.0, 0.0, 22.0), tilt, 315.0).z
    assert disc_gap(Plane(0.0), (0.0, 0.0, 22.0), axis, 165.0)[0] == pytest.approx(22 - rise / 2, abs=0.005)
    assert disc_gap_below(Plane(44.0), (0.0, 0.0, 22.0), axis, 165.0)[0] == pytest.approx(22 - rise / 2, abs=0.005)


@pytest.mark.parametrize(("tilt", "rise"), list(zip(TILTS, RISES, strict=True)))
def test_a_tower_of_165_is_high_on_one_side_and_low_on_the_other_by_the_rise(tilt: float, rise: float) -> None:
    foot, seat = match_spans(oblong(190.0, 165.0), circle(165.0))
    frame = tilt_frame((0.0, 0.0, 40.0), tilt, 45.0)
    sheet = Sheet((Section(PANEL, foot), Section(frame, seat)))
    along = np.linspace(0, sheet.spans, 4001)[:-1]
    top = sheet.at(along, np.ones(4000))
    assert (top[:, 2].max(), top[:, 2].min()) == pytest.approx((40 + rise / 2, 40 - rise / 2), abs=0.005)
    assert np.abs(sheet.at(along, np.zeros(4000))[:, 2]).max() == 0.0


@pytest.mark.parametrize("clock", CLOCKS)
@pytest.mark.parametrize("tilt", TILTS)
def test_a_tilted_cylinder_passes_a_sheet_as_an_ellipse(tilt: float, clock: float) -> None:
    diameter, height = 104.0, 22.0
    seat = tilt_frame((0.0, 0.0, height), tilt, clock)
    body = Sheet((Section(seat.lifted(-80.0), circle(diameter)), Section(seat, circle(diameter))))
    along = np.linspace(0, 1, 3601)[:-1]
    low, high = body.at(along, np.zeros(3600)), body.at(along, np.ones(3600))
    on_face = body.at(along, -low[:, 2] / (high - low)[:, 2])
    assert np.abs(on_face[:, 2]).max() < 1e-12
    ahead = np.array(clock_vector(clock))
    aside = np.array([ahead[1], -ahead[0]])
    middle = -height * tan(radians(tilt))  # a cone about the seat's normal misses the opening's centre by that much
    long, wide = on_face[:, :2] @ ahead - middle, on_face[:, :2] @ aside
    half = diameter / 2
    assert (long * cos(radians(tilt)) / half) ** 2 + (wide / half) ** 2 == pytest.approx(np.ones(3600), abs=1e-9)
    assert np.ptp(long) == pytest.approx(diameter / cos(radians(tilt)), rel=1e-6)


@pytest.mark.parametrize("clock", CLOCKS)
@pytest.mark.parametrize("tilt", TILTS)
def test_the_seats_axes_are_carried_by_the_least_rotation(tilt: float, clock: float) -> None:
    frame = tilt_frame((0.0, 0.0, 0.0), tilt, clock)
    turn = Rotation.from_matrix(frame.axes)
    assert turn.as_matrix() == pytest.approx(frame.axes, abs=1e-12)  # proper: scipy keeps it as it is
    assert np.degrees(turn.magnitude()) == pytest.approx(tilt, abs=1e-9)
    assert turn.as_rotvec()[2] == pytest.approx(0.0, abs=1e-12)  # about a line in the panel: no spin
    least, _ = Rotation.align_vectors([frame.z], [(0.0, 0.0, 1.0)])
    assert least.as_matrix() == pytest.approx(frame.axes, abs=1e-9)


@pytest.mark.parametrize("tilt", TILTS)
def test_a_tilt_to_ten_thirty_looks_up_and_rearward_on_a_left_door(tilt: float) -> None:
    # seen from the cabin rearward is left on a left door; up is up
    x, y, z = tilt_frame((0.0, 0.0, 0.0), tilt, 315.0).z
    assert x == pytest.approx(-sin(radians(tilt)) * np.sqrt(0.5))
    assert y == pytest.approx(sin(radians(tilt)) * np.sqrt(0.5))
    assert z == pytest.approx(cos(radians(tilt)))
