"""Press fits: limits of the formulas, and rings bent by equal loads against a beam solved by itself."""

from __future__ import annotations

from dataclasses import replace
from math import pi, sin

import numpy as np
import pytest

from mounts.design.pressfit import (
    RibbedRing,
    at_temperature,
    hoop_stress,
    snap_strain,
)
from tests.design.lame import Cylinder, pressure

RING = RibbedRing(body=27, inside=28.5, outside=33.3, length=6, ribs=6, tip=2.4, modulus=2350, crush=54)
SOFT = replace(RING, crush=1e9)  # tips that do not flatten


def ring_by_itself(loads, radius):
    """Moment over a load and outward movement there, of a thin ring under equal outward loads of 1, E I = 1.

    By Castigliano over one half of a bay, told by numbers: M = M0 − N r (1 − cos t), t from midway between two loads,
    where N = 1 / (2 sin θ) pulls along the ring and the section there does not turn.
    """
    half = pi / loads
    t = np.linspace(0.0, half, 20001)
    pull = 1 / (2 * sin(half))
    arm = radius * (1 - np.cos(t))
    first = np.trapezoid(pull * arm, t) / half
    moment = first - pull * arm
    # movement at the load: dU/dF, with dM/dF = moment itself for a unit load
    moves = 2 * np.trapezoid(moment**2, t) * radius
    return abs(moment[-1]), moves


@pytest.mark.parametrize("ribs", [3, 4, 6, 9])
def test_a_ring_under_equal_loads_is_that_of_a_bent_beam(ribs):
    ring = replace(SOFT, ribs=ribs)
    over, moves = ring_by_itself(ribs, ring.middle / 2)
    inertia = ring.length * ring.wall**3 / 12
    stretch = ring.middle / 2 * ribs / (2 * pi * ring.modulus * ring.length * ring.wall)
    assert ring.compliance - stretch == pytest.approx(moves / (ring.modulus * inertia), rel=1e-3)
    bent = over * ring.force(0.1) * 6 / (ring.length * ring.wall**2) / ring.modulus
    stretched = ring.force(0.1) * ribs / (2 * pi) / (ring.length * ring.wall) / ring.modulus
    assert ring.strain(0.1) == pytest.approx(bent + stretched, rel=1e-3)


def test_force_balances_half_the_fit():
    for fit in (0.02, 0.1, 0.3):
        force = RING.force(fit)
        crushed = (force / (2 * RING.crush * RING.length)) ** 2 / RING.tip
        assert force * RING.compliance + crushed == pytest.approx(fit / 2)
    assert RING.force(0.0) == RING.force(-0.1) == 0.0
    assert RING.holds(0.1, 0.3) == pytest.approx(6 * 0.3 * RING.force(0.1))


def test_many_stiff_ribs_come_to_lame():
    """A thin ring that is pressed all round stretches by the fit over its diameter, as Lamé says of a thin wall."""
    thin = replace(SOFT, ribs=120, body=28.5, outside=28.5 + 1.0)
    wanted = pressure(0.1, 28.5, Cylinder(29.5, thin.modulus, 0.0))
    got = thin.ribs * thin.force(0.1) / (pi * 28.5 * thin.length)
    assert got == pytest.approx(wanted, rel=0.05)
    assert thin.strain(0.1) == pytest.approx(0.1 / 28.5, rel=0.05)


def test_a_rigid_shaft_strains_the_bore_by_the_fit():
    hub = Cylinder(16.5, 3100, 0.4)
    pressing = pressure(0.1, 9.5, hub)
    stress = hoop_stress(pressing, 9.5, 16.5)
    # hoop strain of the bore: (σ + ν p) / E = δ / d
    assert (stress + hub.poisson * pressing) / hub.modulus == pytest.approx(0.1 / 9.5)


def test_heat_takes_and_cold_gives():
    plastic = 75e-6
    assert at_temperature(0.1, 27, 23, plastic) == pytest.approx(0.1)
    assert at_temperature(0.1, 27, 80, plastic) == pytest.approx(0.1 - 55e-6 * 57 * 27)
    assert at_temperature(0.1, 27, -20, plastic) == pytest.approx(0.1 + 55e-6 * 43 * 27)


def test_snap():
    assert snap_strain(0.25, 34, 2.4, 0) == pytest.approx(0.5 / 34)
    over, moves = ring_by_itself(3, 17.0)
    assert snap_strain(0.4, 34, 2.4, 3) == pytest.approx(over / moves * 0.4 * 1.2, rel=1e-3)
