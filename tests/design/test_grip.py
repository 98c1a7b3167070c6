"""Closed forms of what holds a spacer, against other ways to the same figures."""

from __future__ import annotations

from dataclasses import replace
from math import inf, pi

import numpy as np
import pytest

from mounts.design.pressfit import RibbedSleeve, bent_lip, closing_for, sheared_ridge, spread_strain

RING = RibbedSleeve(
    body=29, inside=22, outside=29, length=3, ribs=3, tip=1.2, modulus=2250, crush=40, side=0.0, bears=3.0
)


def test_a_ring_whose_ribs_bear_alone_is_the_plain_ring():
    plain = super(RibbedSleeve, RING)
    assert RING.compliance == pytest.approx(plain.compliance)
    assert RING.strain(0.4) == pytest.approx(plain.strain(0.4))


def test_twice_the_wall_round_the_ribs_yields_half_as_much():
    assert replace(RING, bears=6.0).compliance == pytest.approx(RING.compliance / 2)


def test_a_long_straight_side_is_a_clamped_beam():
    """Middle of a clamped beam under a load midway: F s³ / (192 E I), and F s / 8 there."""
    side = replace(RING, side=40.0)
    inertia = 3 * 3.5**3 / 12
    assert side.compliance == pytest.approx(40**3 / (192 * 2250 * inertia))
    assert side.strain(0.4) == pytest.approx(side.force(0.4) * 40 / 8 * 1.75 / inertia / 2250)


def test_a_backed_ring_crushes_its_ribs_alone():
    backed = replace(RING, modulus=inf)
    assert backed.compliance == 0.0
    flattened = 0.2  # half of the interference on the diameter
    assert backed.force(0.4) == pytest.approx(2 * (2 * 0.6 * flattened) ** 0.5 * 3 * 40)
    assert backed.holds(0.4) > RING.holds(0.4) > 0


def test_a_slit_ring_sprung_open():
    """By integrating the bending of a thin ring cut at one place: M = F R (1 − cos φ), opening ∫ M m R dφ / (E I)."""
    radius, wall, length, modulus, force = 13.0, 3.0, 8.0, 2250.0, 5.0
    inertia = length * wall**3 / 12
    turn = (np.arange(20000) + 0.5) / 20000 * 2 * pi
    arm = radius * (1 - np.cos(turn))
    gap = float((force * arm * arm * radius).sum() * 2 * pi / 20000 / (modulus * inertia))
    strain = force * arm.max() * wall / 2 / (modulus * inertia)
    assert spread_strain(gap, 2 * radius, wall) == pytest.approx(strain, rel=1e-6)


def test_a_slit_closes_by_the_difference_of_two_circumferences():
    assert closing_for(0.6) == pytest.approx(pi * 30.0 - pi * (30.0 - 1.2))


def test_ridge_and_lip():
    assert sheared_ridge(90.0, 2.0, 20.0) == pytest.approx(90 * 2 * 20 / 3**0.5)
    assert bent_lip(36.0, 90.0, 2.0, 1.6) == pytest.approx(0.4 * 1.0 * 6 / 1.6**2)
