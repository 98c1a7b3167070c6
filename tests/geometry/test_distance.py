"""Distances of many points at once, against the outline's own one by one and against shapely."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import distance
from shapely import points as spots

from mounts.geometry.distance import depths
from mounts.geometry.frames import Array
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import Arc, Line, Outline, circle, oblong, offset_outline, polar_point, rectangle
from tests.geometry.shapes import CONVEX, QUICK, fine, outlines, oval, read
from tests.scale.perturbed import noisy


def around(outline: Outline, count: int, seed: int) -> Array:
    """Points in and about an outline's box, (count, 2) float."""
    x0, y0, x1, y1 = outline.box
    return np.random.default_rng(seed).uniform((x0 - 25, y0 - 25), (x1 + 25, y1 + 25), (count, 2))


@pytest.mark.parametrize("outline", CONVEX.values(), ids=CONVEX.keys())
def test_as_shapely_has_them(outline: Outline) -> None:
    places, seen = around(outline, 500, 1), fine(outline)
    sign = np.where(seen.covers(spots(places)), 1, -1)
    assert depths(outline, places) == pytest.approx(sign * distance(seen.exterior, spots(places)), abs=2e-5)


@pytest.mark.parametrize("outline", CONVEX.values(), ids=CONVEX.keys())
def test_arcs_that_miss_each_other_by_rounding_are_as_far_as_others(outline: Outline) -> None:
    """As in a drawing with eight decimals; the lines that join them have no direction of their own."""
    places = around(outline, 200, 1)
    for seed in range(5):
        near = offset_outline(noisy(outline, np.random.default_rng(seed)), 0.5)
        assert depths(near, places) == pytest.approx(depths(offset_outline(outline, 0.5), places), abs=1e-5)


@QUICK
@given(outlines, st.integers(0, 1000))
def test_as_the_outline_tells_them_one_by_one(outline: Outline, seed: int) -> None:
    places = around(outline, 60, seed)
    assert depths(outline, places) == pytest.approx([outline.depth(tuple(p)) for p in places], abs=1e-9)


@QUICK
@given(outlines, read(-10.0, 10.0), st.integers(0, 1000))
def test_along_a_normal_from_the_path(outline: Outline, off: float, seed: int) -> None:
    # a point moved out from a convex outline along its normal has its nearest point where it came from; moved in, it
    # has so for as long as it stays nearer than the arc's centre
    rng = np.random.default_rng(seed)
    for arc in outline.arcs:
        angle = arc.begin + rng.uniform(0, 1) * arc.sweep
        inward = max(off, -arc.diameter / 2)
        place = polar_point(arc.centre, arc.diameter + 2 * inward, angle)
        if off > 0:
            assert depths(outline, [place])[0] == pytest.approx(-off, abs=1e-9)
        else:
            assert 0 <= depths(outline, [place])[0] + 1e-9 <= -inward + 2e-9


def test_on_the_normals_where_arcs_meet_outside_is_outside() -> None:
    off = np.arange(0.5, 20, 0.5)
    for half in np.random.default_rng(2).uniform(5, 85, 60):
        outline = oval(150.0, 61.0, 60.0, half)
        for arc in (outline.arcs[0], outline.arcs[2]):
            for angle in (arc.begin, arc.begin + arc.sweep):
                places = np.array([polar_point(arc.centre, arc.diameter + 2 * by, angle) for by in off])
                assert depths(outline, places) == pytest.approx(-off, abs=1e-9)


def test_closed_forms() -> None:
    assert depths(circle(100.0, (5.0, 0.0)), [(5, 0), (35, 40), (5, 60), (5, -49)]) == pytest.approx([50, 0, -10, 1])
    assert depths(oblong(150.0, 110.0), [(0, 0), (10, 60), (75, 0), (100, 0)]) == pytest.approx([55, -5, 0, -25])
    sharp = rectangle(100.0, 60.0, 0.0)
    assert depths(sharp, [(0, 0), (49, 10), (53, 34), (50, 30)]) == pytest.approx([30, 1, -5, 0], abs=1e-12)


def test_spans_of_no_length_change_nothing() -> None:
    plain = circle(120.0)
    _, cut = match_spans(CONVEX["rectangle with sharp corners"], plain)
    assert any(isinstance(span, Line) and span.length == 0 for span in cut.spans)
    places = around(plain, 300, 5)
    assert depths(cut, places) == pytest.approx(depths(plain, places), abs=1e-9)


def test_no_points_have_no_distances() -> None:
    assert depths(circle(10.0), np.empty((0, 2))).shape == (0,)


def test_an_arc_that_runs_from_the_left_through_the_bottom() -> None:
    # the half turn from 180 to 360 holds −90 and 270 alike
    outline = oblong(110.0, 150.0)
    assert outline.arcs[1] == Arc((0.0, -20.0), 110.0, 180, 180)
    assert depths(outline, [(0, -76), (0, -74), (-39, -60)]) == pytest.approx([-1, 1, 55 - np.hypot(39, 40)], abs=1e-12)
