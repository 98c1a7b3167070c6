"""The chance that a part goes on."""

from __future__ import annotations

from math import exp

import pytest

from mounts.design.chance import SAMPLES, chance

SQUARE = ((30.0, 12.0), (-30.0, 12.0), (-22.0, -26.0), (22.0, -26.0))
ABOUT = 3 * (0.25 / SAMPLES) ** 0.5  # three standard deviations of a share


def test_two_pins_need_only_their_distance():
    """Free to shift and turn, two pins 60 apart fail only by their distance: it is off by a normal error of √2 σ."""
    from statistics import NormalDist  # noqa: PLC0415

    gap, sd = 0.2, 0.2
    right = 2 * NormalDist().cdf(2 * gap / (2**0.5 * sd)) - 1
    assert chance(((0.0, 0.0), (60.0, 0.0)), (gap, gap), sd) == pytest.approx(right, abs=ABOUT)


def test_a_slot_frees_the_distance():
    slot = (1.0, 0.0, 5.0)
    assert chance(((0.0, 0.0), (60.0, 0.0)), (0.01, 0.01), 0.3, (None, slot)) == pytest.approx(1.0)
    across = (0.0, 1.0, 5.0)  # a slot along which it does not help
    assert chance(((0.0, 0.0), (60.0, 0.0)), (0.01, 0.01), 0.3, (None, across)) < 0.1


def test_a_wide_hole_never_holds_back_and_none_at_all_always():
    assert chance(SQUARE, (5.0,) * 4, 0.2) == 1.0
    assert chance(SQUARE, (0.0,) * 4, 0.2) == 0.0


def test_it_rises_with_the_gap_and_falls_with_the_error():
    rising = [chance(SQUARE, (gap,) * 4, 0.2) for gap in (0.2, 0.3, 0.4, 0.5)]
    assert rising == sorted(rising)
    assert rising[0] < 0.5 < rising[-1]
    assert chance(SQUARE, (0.4,) * 4, 0.3) < rising[2]


def test_mirror_images_have_the_same_chance():
    other = tuple((-x, y) for x, y in SQUARE)
    slot, mirrored = (0.6, 0.8, 0.2), (-0.6, 0.8, 0.2)
    assert chance(SQUARE, (0.3,) * 4, 0.2, (None, None, slot, None)) == chance(
        other, (0.3,) * 4, 0.2, (None, None, mirrored, None)
    )


def test_one_free_pin_against_two_that_hold_the_part():
    """With two pins exact and stiff at a far place, a third one fails like a Rayleigh error of √(σ² + small)."""
    far = ((0.0, 0.0), (1e6, 0.0), (0.0, 1.0))
    gap, sd = 0.3, 0.2
    # the part follows pin 0 within 0.001, so pin 2 is off by the difference of two errors
    right = 1 - exp(-(gap**2) / (2 * 2 * sd**2))
    assert chance(far, (0.001, 0.001, gap), sd, (None, (1.0, 0.0, 10.0), None)) == pytest.approx(right, abs=0.04)
