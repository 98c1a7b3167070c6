"""Heads: the volume of what protrudes is the volume of the head, whatever the pin and the head."""

from __future__ import annotations

from math import pi

import pytest

from mounts.kinds.cup.values import (
    RATIOS,
    cap_height,
    cap_volume,
    formed_head,
    head_volume,
    needed_protrusion,
    seat_under,
    standard_head,
)
from mounts.load.models.pins import Pin

ROUND = Pin(at=(0, 0), diameter=3, height=8)
CROSS = Pin(at=(0, 0), diameter=3, height=8, form="cross", web=1)
HOLLOW = Pin(at=(0, 0), diameter=5, height=9, form="hollow", hole=2.5)


def test_sections():
    assert ROUND.section == pytest.approx(pi / 4 * 9)
    assert CROSS.section == pytest.approx(2 * 3 * 1 - 1)  # two bars that share a square
    assert HOLLOW.section == pytest.approx(pi / 4 * (25 - 6.25))


@pytest.mark.parametrize("base", [2.0, 5.2, 8.0])
@pytest.mark.parametrize("share", [0.05, 0.35, 1.0, 3.0])
def test_a_cap_of_a_volume_is_as_high_as_it_was(base, share):
    assert cap_height(base, cap_volume(base, share * base)) == pytest.approx(share * base, rel=1e-12)


@pytest.mark.parametrize(
    ("pin", "form"),
    [(ROUND, "dome"), (ROUND, "flat"), (CROSS, "dome"), (CROSS, "flat"), (HOLLOW, "flat"), (HOLLOW, "hollow")],
)
@pytest.mark.parametrize("ratio", [1.5, 2.0])
def test_a_formed_head_holds_what_protruded(pin, form, ratio):
    head = formed_head(pin, form, ratio, 4.0)
    assert head_volume(head, pin) == pytest.approx(4.0 * pin.section)
    assert head.diameter == ratio * pin.diameter


@pytest.mark.parametrize("ratio", RATIOS)
def test_what_is_needed_gives_the_standard_head(ratio):
    head = formed_head(CROSS, "dome", ratio, needed_protrusion(CROSS, "dome", ratio))
    assert head.height == pytest.approx(standard_head(CROSS, "dome", ratio).height)


def test_the_seat_is_whole_layers_and_leaves_enough():
    assert seat_under(ROUND, 4.8, 0.2) == pytest.approx(3.2)
    assert seat_under(ROUND, 4.81, 0.2) == pytest.approx(3.0)
