"""The largest outline inside two others, against erosion and dilation done on reaches, and against shapely."""

from math import asin, cos, hypot, pi, sin, sqrt

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from mounts.geometry.distance import depths
from mounts.geometry.hull import rounded_intersection
from mounts.geometry.outline import Outline, circle, oblong, offset_outline, rectangle
from tests.geometry.discs import hull_of_discs
from tests.geometry.shapes import CONVEX, QUICK, fine, outlines, read

CORNERS = st.sampled_from([0.0, 0.5, 2.0, 5.0])


def rounding(one: Outline, other: Outline, corner: float) -> float:
    """The radius to which crossings are rounded: the corner's, or that of the smallest arc of either outline."""
    return min([corner, *(arc.diameter / 2 for arc in one.arcs + other.arcs)])


@QUICK
@given(outlines, outlines, CORNERS)
@example(rectangle(110.0, 120.0, 5.0), oblong(110.0, 150.0), 2.0)
@example(oblong(110.0, 150.0), rectangle(110.0, 120.0, 5.0), 2.0)
@example(rectangle(110.0, 100.0, 5.0), circle(110.0).turned(33.0), 2.0)
@example(rectangle(100.0, 100.0, 0.5), oblong(150.0, 100.0), 5.0)
def test_it_is_what_a_disc_of_the_corners_radius_reaches_inside_both(
    one: Outline, other: Outline, corner: float
) -> None:
    # erosion: what the disc's centre may reach is both outlines moved in by its radius, cut by shapely; dilation of a
    # convex area E by r, by Steiner's formula: A + L·r + π·r²
    radius = rounding(one, other, corner)
    eroded = fine(offset_outline(one, -radius)).intersection(fine(offset_outline(other, -radius)))
    assume(eroded.area > 100.0)
    found = rounded_intersection(one, other, corner)
    assert found.is_convex
    assert found.area == pytest.approx(eroded.area + eroded.length * radius + pi * radius**2, abs=0.02)


@QUICK
@given(outlines, outlines, CORNERS)
def test_it_lies_inside_both_and_its_arcs_are_theirs_or_of_the_corner(
    one: Outline, other: Outline, corner: float
) -> None:
    assume(fine(offset_outline(one, -6.0) if min(a.diameter for a in one.arcs) > 12 else one).intersects(fine(other)))
    try:
        found = rounded_intersection(one, other, corner)
    except ValueError:
        assume(False)
    told = found.points(0.01, least=3)
    assert depths(one, told).min() > -2e-6
    assert depths(other, told).min() > -2e-6
    radius = rounding(one, other, corner)
    theirs = np.array([(*arc.centre, arc.diameter) for arc in one.arcs + other.arcs])
    for arc in found.arcs:
        own = np.abs(theirs - (*arc.centre, arc.diameter)).max(axis=1).min()
        assert own < 1e-9 or arc.diameter == pytest.approx(2 * radius, abs=1e-9)


@QUICK
@given(outlines, outlines, CORNERS, st.integers(0, 1000))
def test_every_disc_of_that_radius_inside_both_is_inside_it(
    one: Outline, other: Outline, corner: float, seed: int
) -> None:
    radius = rounding(one, other, corner)
    x0, y0, x1, y1 = (
        max(a, b) if k < 2 else min(a, b) for k, (a, b) in enumerate(zip(one.box, other.box, strict=True))
    )
    assume(x1 > x0 and y1 > y0)
    centres = np.random.default_rng(seed).uniform((x0, y0), (x1, y1), (300, 2))
    fits = np.minimum(depths(one, centres), depths(other, centres)) >= radius + 1e-6
    assume(fits.sum() > 20)
    assert depths(rounded_intersection(one, other, corner), centres[fits]).min() >= radius - 1e-6


@QUICK
@given(outlines, outlines, CORNERS)
def test_which_outline_comes_first_does_not_matter(one: Outline, other: Outline, corner: float) -> None:
    try:
        area = rounded_intersection(one, other, corner).area
    except ValueError:
        with pytest.raises(ValueError, match=r"^the outlines do not overlap$"):
            rounded_intersection(other, one, corner)
        return
    assert rounded_intersection(other, one, corner).area == pytest.approx(area, abs=1e-5)


@QUICK
@given(outlines, read(0.0, 20.0), CORNERS)
def test_an_outline_inside_another_is_its_own_overlap(inner: Outline, by: float, corner: float) -> None:
    assert rounded_intersection(inner, offset_outline(inner, by), corner) is inner
    assert rounded_intersection(offset_outline(inner, by + 1e-3), inner, corner) is inner


@pytest.mark.parametrize("sticks_out", [0.0001, 0.003, 0.02])
@pytest.mark.parametrize("turn", [0.0, 1.0, 17.3])
def test_an_outline_that_sticks_out_a_little_is_cut(sticks_out: float, turn: float) -> None:
    # a circle beyond the long sides of a rectangle by less than the sag of any sampling
    ring, bar = circle(100.0 + 2 * sticks_out).turned(turn), rectangle(100.0, 160.0, 10.0)
    radius = 50 + sticks_out
    segment = radius**2 * asin(sqrt(radius**2 - 2500) / radius) - 50 * sqrt(radius**2 - 2500)
    found = rounded_intersection(ring, bar, 0.0)
    assert found.area == pytest.approx(pi * radius**2 - 2 * segment, abs=1e-6)
    assert found.box[::2] == pytest.approx((-50.0, 50.0), abs=1e-9)


def test_two_circles_share_a_lens() -> None:
    # two segments of half the opening angle acos(d / 2r), corners left sharp
    found = rounded_intersection(circle(100.0), circle(100.0, (60.0, 0.0)), 0.0)
    half = np.arccos(60 / 100)
    assert found.area == pytest.approx(50**2 * (2 * half - sin(2 * half)), rel=1e-12)
    assert [arc.diameter for arc in found.arcs].count(0.0) == 2
    low, high = sorted((arc.centre for arc in found.arcs if arc.diameter == 0), key=lambda at: at[1])
    assert (*low, *high) == pytest.approx((30.0, -40.0, 30.0, 40.0), abs=1e-9)


def test_the_corners_of_a_lens_are_rounded_to_the_radius_asked_for() -> None:
    # the rounding disc touches both circles from inside: its centre is 50 − 4 from either centre
    found = rounded_intersection(circle(100.0), circle(100.0, (60.0, 0.0)), 4.0)
    corners = sorted((arc for arc in found.arcs if arc.diameter < 100), key=lambda arc: arc.centre[1])
    assert [arc.diameter for arc in corners] == pytest.approx([8.0, 8.0], abs=1e-12)
    for arc, y in zip(corners, (-sqrt(46**2 - 30**2), sqrt(46**2 - 30**2)), strict=True):
        assert arc.centre == pytest.approx((30.0, y), abs=1e-9)
        assert hypot(*arc.centre) == pytest.approx(46.0, abs=1e-9)


def test_an_oblong_opening_wider_than_the_tower_is_cut_at_its_sides() -> None:
    # the mouth of a bore: opening 150 × 110 within a foot of 130, rounded at 2 where they cross
    opening, foot = oblong(150.0, 110.0), circle(130.0)
    found = rounded_intersection(opening, foot, 2.0)
    assert found.box == pytest.approx((-65.0, -55.0, 65.0, 55.0), abs=1e-9)
    x = (63**2 - 53**2 + 20**2) / (2 * 20)  # moved in by 2: the end about (20, 0) meets the foot's circle
    upper = max((arc.centre for arc in found.arcs if arc.diameter < 5), key=sum)
    assert upper == pytest.approx((x, sqrt(63**2 - x**2)), abs=1e-9)


def test_outlines_that_share_half_a_side_are_cut_where_they_part() -> None:
    # a slot 110 wide and 150 high in a rectangle 110 wide and 120 high: they run along each other for 40 only
    for one, other in ((rectangle(110, 120, 5.0), oblong(110, 150)), (oblong(110, 150), rectangle(110, 120, 5.0))):
        found = rounded_intersection(one, other, 0.0)
        cap = 55**2 * np.arccos(40 / 55) - 40 * sqrt(55**2 - 40**2)  # of the round end, beyond y = 60
        assert found.area == pytest.approx(pi * 55**2 + 40 * 110 - 2 * cap, rel=1e-9)


def test_a_small_arc_limits_the_rounding() -> None:
    found = rounded_intersection(rectangle(100.0, 100.0, 1.0), circle(120.0), 4.0)
    assert {round(arc.diameter, 9) for arc in found.arcs} == {2.0, 120.0}


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (circle(50.0), circle(50.0, (60.0, 0.0))),
        (circle(50.0), circle(50.0, (47.0, 0.0))),  # a lens 3 wide holds no disc of 4
        (CONVEX["slot lying"], CONVEX["slot lying"].moved(0.0, 120.0)),
    ],
)
def test_what_does_not_overlap_says_so(one: Outline, other: Outline) -> None:
    with pytest.raises(ValueError, match=r"^the outlines do not overlap$"):
        rounded_intersection(one, other, 2.0)


@QUICK
@given(outlines, outlines, CORNERS, read(-180.0, 180.0))
def test_it_turns_with_its_outlines(one: Outline, other: Outline, corner: float, angle: float) -> None:
    try:
        found = rounded_intersection(one, other, corner)
    except ValueError:
        assume(False)
    assume(found.area > 50.0)
    turned = rounded_intersection(one.turned(angle), other.turned(angle), corner)
    assert turned.area == pytest.approx(found.area, abs=1e-4)
    assert turned.support(angle + 40) == pytest.approx(found.support(40), abs=1e-4)


def test_a_foot_less_its_wall_and_the_opening() -> None:
    # the largest bore within the opening and a hull of discs less a wall of 4, point for point by the two depths
    foot = hull_of_discs([((0, 0), 125.0), ((9, 3), 118.0), ((-58, 20), 12.0)])
    opening = oblong(150.0, 110.0)
    found = rounded_intersection(opening, offset_outline(foot, -4.0), 2.0)
    lost = []
    for way in np.radians(np.arange(0, 360, 3)):
        ray = np.arange(40, 80, 0.01)[:, None] * (cos(way), sin(way))
        free = np.minimum(depths(opening, ray), depths(foot, ray) - 4.0) >= 0
        lost.append((free.sum() - (depths(found, ray) >= 0).sum()) * 0.01)
    assert min(lost) >= -0.011
    assert np.median(lost) <= 0.011
    assert max(lost) < 1.0  # a right angle rounded at 2 loses 2·(√2 − 1) = 0.83 at its tip; these are blunter
