"""Gaps between convex outlines beside each other, against shapely's polygons of the same."""

from __future__ import annotations

from math import hypot

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from mounts.geometry.distance import separation
from mounts.geometry.outline import circle, oblong, rectangle

SIZE = st.floats(6, 40)


def test_circles_and_corners_have_closed_forms():
    assert separation(circle(10), circle(6, (20, 0))) == pytest.approx(12)
    corner = rectangle(20, 10, 1)
    assert separation(corner, corner.moved(30, 20)) == pytest.approx(hypot(12, 12) - 2)
    assert separation(corner, corner.moved(15, 2)) == pytest.approx(-5)  # the least way apart is along x


@settings(deadline=None, max_examples=60)
@given(st.tuples(SIZE, SIZE, SIZE, SIZE), st.floats(0, 90), st.tuples(st.floats(30, 80), st.floats(-40, 40)))
def test_any_two_that_do_not_meet_agree_with_polygons(sizes, turn, at):
    (a, b, c, d), (x, y) = sizes, at
    one, other = rectangle(a, b, 1).turned(turn), oblong(c, d).moved(x, y)
    apart = shapely.Polygon(one.points(1e-4)).distance(shapely.Polygon(other.points(1e-4)))
    assume(apart > 0)
    assert separation(one, other) == pytest.approx(apart, abs=5e-4)
    assert separation(other, one) == pytest.approx(separation(one, other), abs=1e-9)
