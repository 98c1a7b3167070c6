"""Screw lengths at their bounds."""

from __future__ import annotations

from math import inf

import pytest

from mounts.design.fasteners import Joint, choose_sold_length, length_tolerance, with_washers
from mounts.load.models.hardware import ThreadItem

SOLD = (8.0, 10.0, 12.0, 16.0, 20.0)


@pytest.mark.parametrize(("clamped", "length"), [(6.0, 10.0), (6.01, 12.0), (11.99, 16.0), (16.0, 20.0), (16.01, None)])
def test_the_shortest_that_engages_enough(clamped, length):
    assert choose_sold_length(Joint(clamped, 4.0, 6.0, inf), SOLD) == length


@pytest.mark.parametrize(("room", "length"), [(10.29, 10.0), (10.28, None)])
def test_none_that_may_bottom_when_it_is_as_long_as_its_tolerance_allows(room, length):
    """js15 for a length of 10 is ±0.29."""
    assert choose_sold_length(Joint(5.0, 5.0, 6.0, room), SOLD) == length


def test_lengths_need_no_order():
    assert choose_sold_length(Joint(6.0, 4.0, 6.0, inf), (20.0, 10.0, 12.0)) == 10.0


def test_engagement_ends_with_the_thread():
    joint = Joint(5.2, 4.0, 4.7, 10.7)
    assert joint.least == pytest.approx(9.2)
    assert joint.engaged(9.5) == pytest.approx(4.3)
    assert joint.engaged(10.0) == pytest.approx(4.7)
    assert joint.engaged(5.0) < 0


def test_washers_take_up_what_the_next_length_is_too_long():
    """12 engages 7.3 of 8, 16 bottoms by 1.65 at its longest: 1.65 to 3.3 of washers under a 16."""
    joint = Joint(4.7, 8.0, 10.0, 14.7)
    assert choose_sold_length(joint, SOLD) is None
    length, least, most = with_washers(joint, SOLD)
    assert (length, least, most) == (16.0, pytest.approx(16.35 - 14.7), pytest.approx(16 - 12.7))
    for washers in (least, most):  # with them it fits, at both bounds
        assert choose_sold_length(Joint(4.7 + washers, 8.0, 10.0, 14.7 + washers), (16.0,)) == 16.0
    for washers in (least - 0.01, most + 0.01):
        assert choose_sold_length(Joint(4.7 + washers, 8.0, 10.0, 14.7 + washers), (16.0,)) is None


def test_no_washers_where_they_would_be_a_tower_or_would_not_help():
    assert with_washers(Joint(4.7, 8.0, 10.0, 14.7), (20.0,)) is None  # 5.7 of them
    assert with_washers(Joint(4.7, 8.0, 10.0, 14.7), (8.0, 12.0)) is None  # all too short
    assert with_washers(Joint(5.0, 4.0, 4.0, 9.1), SOLD) is None  # less room than a screw's own tolerance


def test_tolerance_and_pitch_beyond_their_tables():
    assert (length_tolerance(6.0), length_tolerance(6.0 + 1e-9), length_tolerance(6.01)) == (0.24, 0.24, 0.29)
    assert length_tolerance(500.0) == 0.7
    assert ThreadItem.model_construct(thread="M5").pitch == 0.8
    assert ThreadItem.model_construct(thread="M16").pitch == 3.2  # 2.0 in truth: never finer
