"""Heads, press fits and fit chances against published figures. Sources stand beside each."""

from __future__ import annotations

from math import pi

import pytest

from mounts.design.chance import chance, same_errors
from mounts.design.pressfit import hoop_stress, wall_factor
from mounts.kinds.cup.values import formed_head, needed_protrusion
from mounts.load.models.pins import Pin
from tests.design.lame import Cylinder, pressure

STUD = Pin(at=(0, 0), diameter=3.0, height=9)


@pytest.mark.parametrize(
    ("protrudes", "form", "ratio", "height"),
    [
        # staking guides' 1.6 D (rosette, standard) and 1.75 D (dome, high), volume equal; spherical cap and disc
        (4.80, "dome", 2.0, 2.071),
        (4.80, "dome", 1.5, 2.808),
        (4.80, "flat", 2.0, 1.200),
        (4.80, "flat", 1.5, 2.133),
        (5.25, "dome", 2.0, 2.220),
        (5.25, "dome", 1.5, 2.960),
        (5.25, "flat", 2.0, 1.3125),
        (5.25, "flat", 1.5, 2.333),
    ],
)
def test_heads_of_a_3_mm_stud(protrudes, form, ratio, height):
    assert formed_head(STUD, form, ratio, protrudes).height == pytest.approx(height, abs=5e-4)


@pytest.mark.parametrize(("high", "protrudes"), [(0.5, 1.083), (0.6, 1.344), (0.75, 1.781), (1.0, 2.667)])
def test_protrusion_for_a_cap_of_two_diameters(high, protrudes):
    """The inverse: cap heights in D on a base of 2 D, and the protrusion in D that fills them."""
    assert formed_head(STUD, "dome", 2.0, protrudes * 3.0).height == pytest.approx(high * 3.0, abs=3e-3)


def test_standard_heads_take_what_the_staking_sheet_says():
    """Standard (rosette) profile: head 2 D, stud 1.6 D above the part (an ultrasonic staking sheet, fig. 1)."""
    assert needed_protrusion(STUD, "dome", 2.0) == pytest.approx(1.6 * 3.0, rel=1e-3)
    assert needed_protrusion(STUD, "flat", 2.0) == pytest.approx(1.6 * 3.0)


def test_a_hollow_pin_gives_its_ring():
    """5.0 / 2.5 hollow: 14.726 mm³ per mm of protrusion."""
    assert Pin(at=(0, 0), diameter=5, height=9, form="hollow", hole=2.5).section == pytest.approx(14.726, abs=5e-4)


def test_steel_on_steel():
    """d 50, Do 80, δ 0.04, E 200 000, L 40, μ 0.15: p 48.75, F 45.95 kN, σ 111.3 (textbook example)."""
    steel = Cylinder(80, 200_000, 0.3)
    pressing = pressure(0.04, 50, steel, Cylinder(0, 200_000, 0.3))
    assert pressing == pytest.approx(48.75, abs=0.005)
    assert pi * 50 * 40 * 0.15 * pressing == pytest.approx(45_945.8, abs=0.05)
    assert hoop_stress(pressing, 50, 80) == pytest.approx(111.25, abs=0.005)


def test_plastic_hub_on_a_metal_shaft():
    """A resin maker's guide in inches and psi: d 0.375, Do 0.650, I 0.0002, E 450 000, ν 0.4 gives W 1.998, σ 200.

    The guide prints I as 0.002 in one line; 0.0002 is what gives its answer.
    """
    assert wall_factor(0.375, 0.650) == pytest.approx(1.99778, abs=5e-6)
    pressing = pressure(0.0002, 0.375, Cylinder(0.650, 450_000, 0.4))
    assert hoop_stress(pressing, 0.375, 0.650) == pytest.approx(199.96, abs=0.05)


def test_the_misprinted_boss():
    """PC boss on a steel pin, d 4, Do 8, E 2400, ν 0.38, σ 60: an article gives 0.20, having left out "/ g".

    By Lamé it is 0.1228, and 0.20 would strain the boss to 97.7 MPa.
    """
    hub = Cylinder(8, 2400, 0.38)
    assert hoop_stress(pressure(0.1228, 4, hub), 4, 8) == pytest.approx(60, abs=0.03)
    assert hoop_stress(pressure(0.20, 4, hub), 4, 8) == pytest.approx(97.7, abs=0.05)
    g = wall_factor(4, 8)
    assert 4 * 60 / 2400 * (g + 0.38) == pytest.approx(0.2047, abs=5e-4)  # the article's own way


@pytest.mark.parametrize(
    ("printed", "shares"),
    [(0.0, (0.32, 0.96, 1.00)), (0.1, (0.23, 0.93, 1.00))],
)
def test_four_m5_fixings_read_to_a_quarter(printed, shares):
    """Fixed fasteners as a probability: M5 in 5.5, 6.0 and 6.5, read to 0.25, without and with a printing error.

    Table worked out apart from this program, by sampling, on the hole pattern of the demo front door.
    """
    holes = ((58.0, 53.5), (58.5, -54.0), (-57.5, -53.0), (-58.0, 54.0))
    sd = (0.25**2 + printed**2) ** 0.5
    for hole, share in zip((5.5, 6.0, 6.5), shares, strict=True):
        assert chance(holes, ((hole - 5) / 2,) * 4, same_errors(4, sd)) == pytest.approx(share, abs=0.03)
