"""Closed forms against equilibrium, against least energy, and against sampling of every direction."""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mounts.design import loads
from mounts.design.loads import Bar

PLACES = st.lists(st.tuples(st.floats(-120, 120), st.floats(-120, 120)), min_size=3, max_size=8)
AMOUNT = st.floats(-500, 500)


def spread(points) -> float:
    """Least standard deviation of a pattern in any direction."""
    away = np.array(points) - np.mean(points, axis=0)
    return float(np.linalg.svd(away)[1][-1]) / sqrt(len(points))


def least_energy(points, at, force):
    """Tensions of equal springs under a stiff plate: of all that balance, those with the least sum of squares."""
    x, y = np.array(points).T
    balance = np.array([np.ones(len(x)), x, y])
    wanted = np.array([force[2], force[2] * at[0] - force[0] * at[2], force[2] * at[1] - force[1] * at[2]])
    return np.linalg.pinv(balance) @ wanted


@given(PLACES, st.tuples(AMOUNT, AMOUNT, AMOUNT), st.tuples(AMOUNT, AMOUNT, AMOUNT))
@settings(deadline=None, max_examples=60)
def test_tensions_balance_the_force_with_the_least_energy(points, at, force):
    if spread(points) < 2:
        return
    found = loads.bolt_tensions(points, at, force)
    x, y = np.array(points).T
    scale = 1 + float(np.abs(found).sum()) * 100
    assert found.sum() == pytest.approx(force[2], abs=1e-9 * scale)
    assert found @ x == pytest.approx(force[2] * at[0] - force[0] * at[2], abs=1e-9 * scale)
    assert found @ y == pytest.approx(force[2] * at[1] - force[1] * at[2], abs=1e-9 * scale)
    assert found == pytest.approx(least_energy(points, at, force), abs=1e-8 * scale)


@given(PLACES, st.tuples(AMOUNT, AMOUNT), st.tuples(AMOUNT, AMOUNT))
@settings(deadline=None, max_examples=60)
def test_shears_balance_the_force(points, at, force):
    if spread(points) < 2:
        return
    found, away = loads.bolt_shears(points, at, force), np.array(points) - np.array(at)
    scale = 1 + float(np.abs(found).sum()) * 100
    assert found.sum(axis=0) == pytest.approx(force, abs=1e-9 * scale)
    turning = away[:, 0] * found[:, 1] - away[:, 1] * found[:, 0]
    assert turning.sum() == pytest.approx(0, abs=1e-8 * scale)


def test_the_worst_direction_is_the_worst_of_all_directions():
    points = [(58.0, 53.5), (58.5, -54.0), (-57.5, -53.0)]
    at, ways = (4.0, -7.0, -15.0), np.random.default_rng(1).normal(size=(20000, 3))
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    pulls = np.array([loads.bolt_tensions(points, at, axis) for axis in np.eye(3)])  # linear in the force
    sampled = 100 * (ways @ pulls).max(axis=0)
    assert loads.worst_tensions(points, at, 100.0) == pytest.approx(sampled, rel=1e-3)
    assert (loads.worst_tensions(points, at, 100.0) >= sampled).all()
    around = np.radians(np.arange(0, 360, 0.5))
    unit = [loads.bolt_shears(points, at[:2], way) for way in ((1.0, 0.0), (0.0, 1.0))]
    shears = np.cos(around)[:, None, None] * unit[0] + np.sin(around)[:, None, None] * unit[1]
    sampled = 100 * np.linalg.norm(shears, axis=2).max(axis=0)
    assert loads.worst_shears(points, at[:2], 100.0) == pytest.approx(sampled, rel=1e-4)


def test_screws_on_one_line_need_the_edge_on_which_the_body_tips():
    points = [(-70.0, 0.0), (70.0, 0.0)]
    with pytest.raises(ValueError, match="2 screws lie on one line"):
        loads.bolt_tensions(points, (0.0, 0.0, 20.0), (0.0, 100.0, 0.0))
    # tipping about an edge 25 from the line: 2 screws share F h / lever
    found = loads.bolt_tensions(points, (0.0, 0.0, 20.0), (0.0, 100.0, 0.0), lever=25.0)
    assert np.abs(found) == pytest.approx([100 * 20 / 25 / 2] * 2)
    # along the line it stays the pair 140 apart
    along = loads.bolt_tensions(points, (0.0, 0.0, 20.0), (100.0, 0.0, 0.0), lever=25.0)
    assert along == pytest.approx([100 * 20 / 140, -100 * 20 / 140])


def test_torque_and_preload_are_each_others_inverse():
    assert loads.preload(1.0, 5.0) == pytest.approx(1000.0)  # 1 N·m / (0.2 · 5 mm)
    assert loads.torque_for(loads.preload(0.8, 4.0), 4.0) == pytest.approx(0.8)


def test_bearing_area_is_a_ring_and_nothing_when_it_falls_through():
    assert loads.bearing_area(15.0, 6.0) == pytest.approx(pi / 4 * (225 - 36))
    assert loads.bearing_area(6.0, 6.0) == 0.0
    assert loads.bearing_area(5.0, 6.0) == 0.0


def test_what_a_plastic_bears_for_years_is_the_lower_of_two_rules():
    assert loads.lasting_strength(40.0, 2250.0) == 10.0  # a quarter; 0.5 % would be 11.25
    assert loads.lasting_strength(55.0, 2350.0) == pytest.approx(11.75)  # 0.5 %; a quarter would be 13.75


def test_a_cylinder_shears_on_its_surface():
    assert loads.shear_off(5.6, 4.7, 40.0) == pytest.approx(pi * 5.6 * 4.7 * 40 / sqrt(3))


def test_a_shock_is_the_mass_times_acceleration_times_the_dynamic_factor():
    assert loads.shock(0.95, 500.0) == pytest.approx(0.95 * 500 * 1.77)


def test_modulus_of_a_rectangle_a_channel_and_a_tube():
    assert loads.section_modulus([Bar(20, 0, 6)]) == pytest.approx(20 * 6**2 / 6)
    # a box is a rectangle less a rectangle about the same axis: (B H³ − b h³) / (6 H)
    box = [Bar(20, -5, 5), Bar(-12, -3, 3)]
    assert loads.section_modulus(box) == pytest.approx((20 * 10**3 - 12 * 6**3) / (6 * 10))
    # an L of 10 × 6 and 4 × 14 over it: neutral axis and inertia by the parallel-axis theorem
    area, first = 60 + 56, 60 * 3 + 56 * 13
    axis = first / area
    inertia = 10 * 6**3 / 12 + 60 * (axis - 3) ** 2 + 4 * 14**3 / 12 + 56 * (13 - axis) ** 2
    assert loads.section_modulus([Bar(10, 0, 6), Bar(4, 6, 20)]) == pytest.approx(inertia / (20 - axis))


def test_one_bar_in_two_is_the_same_bar():
    assert loads.section_modulus([Bar(7, 0, 6), Bar(7, 6, 20)]) == pytest.approx(7 * 20**2 / 6)


@pytest.mark.parametrize("turns", [[10, 130, 250], [0, 100, 240], [0, 40, 80, 200, 300], [0, 90, 120]])
def test_a_loaded_ring_balances_its_load_and_closes(turns):
    """ΣR = 2π, none of it tips, and M' = T − V, T' = −M lead round the ring to where they began."""
    ring = loads.loaded_ring(np.radians(turns), ratio=2.5)
    at, pushed = ring.supports, ring.reactions
    assert pushed.sum() == pytest.approx(2 * pi)
    assert (pushed @ np.cos(at), pushed @ np.sin(at)) == pytest.approx((0, 0), abs=1e-9)
    ways = np.linspace(0, 2 * pi, 20001)
    bent = ring.bending(ways)
    assert bent[-1] == pytest.approx(bent[0], abs=1e-9)
    twist = ring.start[2] - np.concatenate([[0], np.cumsum((bent[1:] + bent[:-1]) / 2 * np.diff(ways))])
    assert twist[-1] == pytest.approx(twist[0], abs=1e-6)
    shear = ring.start[0] - ways + (at <= ways[:, None]) @ pushed
    slope = np.gradient(bent, ways)
    smooth = np.abs(ways[:, None] - [*at, 0, 2 * pi]).min(axis=1) > 1e-3
    assert slope[smooth] == pytest.approx((twist - shear)[smooth], abs=1e-3)


def test_screws_on_one_side_let_a_ring_bear_on_its_heel():
    """Two screws 120° apart and the heel opposite hold a third each, as three even ones do."""
    ring = loads.loaded_ring(np.radians([-60.0, 60.0]), ratio=2.0)
    assert np.degrees(ring.supports) == pytest.approx([60, 180, 300])
    assert ring.reactions == pytest.approx([2 * pi / 3] * 3)


@pytest.mark.parametrize(("sides", "beta"), [((10, 10), 0.141), ((10, 20), 0.229), ((3, 30), 0.312)])
def test_a_bars_torsion_is_that_of_the_table(sides, beta):
    """β a b³: Timoshenko, Strength of Materials, table of rectangular bars; values from memory."""
    wide, high = sides
    assert loads.torsion_constant([Bar(wide, 0, high)]) == pytest.approx(beta * high * wide**3, rel=5e-3)
