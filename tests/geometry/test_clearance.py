"""Room between outlines by formula, and against a plain search along both; outlines moved in past their corners."""

from __future__ import annotations

from math import dist, pi

import pytest

from mounts.geometry.distance import inset_outline, least_clearance
from mounts.geometry.outline import circle, oblong, offset_outline, rectangle


def test_between_circles_it_is_half_the_difference_less_the_shift():
    room, at = least_clearance(circle(20.0, (1.5, -2.0)), circle(30.0))
    assert room == pytest.approx(5.0 - 2.5, abs=1e-12)
    assert at == pytest.approx((1.5 + 10 * 0.6, -2.0 - 10 * 0.8))


def test_a_body_that_sticks_out_has_negative_room():
    assert least_clearance(circle(31.0), circle(30.0))[0] == pytest.approx(-0.5)
    assert least_clearance(rectangle(20, 10, 1), rectangle(18, 14, 1))[0] == pytest.approx(-1.0)


@pytest.mark.parametrize(
    ("inner", "outer"),
    [
        (rectangle(16, 8, 1.0), circle(30.0)),
        (circle(12.0, (2.0, 1.0)), rectangle(40, 30, 2.0)),
        (rectangle(13.25, 6.15, 0.5).moved(0.4, 0.7), oblong(44, 22)),
        (oblong(14, 36).moved(1, 0), rectangle(40, 50, 8)),
    ],
)
def test_as_a_plain_search_finds_it(inner, outer):
    room, at = least_clearance(inner, outer)
    there = outer.points(1e-4, least=400)
    searched = min(dist(p, q) for p in inner.points(1e-3, least=20) for q in there)
    assert room == pytest.approx(searched, abs=0.01)
    assert inner.depth(at) == pytest.approx(0.0, abs=1e-9)
    assert outer.depth(at) == pytest.approx(room, abs=1e-9)


def test_moved_in_by_less_than_its_corners_it_is_the_outline_grown_inward():
    assert inset_outline(rectangle(40, 30, 3), 2.0) == offset_outline(rectangle(40, 30, 3), -2.0)


def test_moved_in_past_its_corners_they_are_sharp():
    found = inset_outline(rectangle(40.0, 30.0, 1.0), 3.0)
    assert found.box == pytest.approx((-17.0, -12.0, 17.0, 12.0))
    assert found.area == pytest.approx(34.0 * 24.0)
    assert len(found.spans) == len(rectangle(40.0, 30.0, 1.0).spans)


def test_what_leaves_nothing_is_refused():
    with pytest.raises(ValueError, match="nothing is left of an outline moved in by 15"):
        inset_outline(rectangle(40.0, 30.0, 1.0), 15.0)
    with pytest.raises(ValueError, match="nothing is left"):
        inset_outline(rectangle(40.0, 30.0, 1.0), 17.0)
    with pytest.raises(ValueError, match=r"an arc of diameter 22\.000 cannot move in by 12\.000"):
        inset_outline(oblong(44.0, 22.0), 12.0)
    assert inset_outline(circle(10.0), 4.0).area == pytest.approx(pi)
