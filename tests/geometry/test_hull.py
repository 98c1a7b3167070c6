"""Hulls of discs and outlines, and outlines matched span to span, by laws that hold for every one of them.

The comparison with shapely stands in tests/validation/test_outlines.py.
"""

from math import cos, degrees, pi, radians, sin

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from mounts.geometry.hull import hull, match_spans
from mounts.geometry.outline import Arc, Line, Outline, Point, circle, oblong, offset_outline, polygon, rectangle
from tests.geometry.discs import hull_of_discs
from tests.geometry.shapes import QUICK, discs, outlines, read

WAYS = np.arange(0.0, 360.0, 7.3)
Disc = tuple[Point, float]
NESTED: list[Disc] = [((0, 40), 20.0), ((0, 0), 100.0), ((0, -80), 20.0)]


def reach(members: list[Disc], way: float) -> float:
    """How far discs reach in a direction, by the definition of reach."""
    return max(x * cos(radians(way)) + y * sin(radians(way)) + diameter / 2 for (x, y), diameter in members)


# --- hulls -----------------------------------------------------------------------------------------------------------


@QUICK
@given(discs)
@example(NESTED)
@example([((0.0, 0.0), 0.0), ((30.0, 0.0), 0.0), ((0.0, 40.0), 0.0)])
@example([((0.0, 0.0), 40.0), ((0.0, 0.0), 40.0)])
def test_a_hull_reaches_as_far_as_its_furthest_member(members: list[Disc]) -> None:
    outline = hull_of_discs(members)
    for way in WAYS:
        assert outline.support(way) == pytest.approx(reach(members, way), abs=5e-9)


@QUICK
@given(discs)
@example(NESTED)
def test_every_arc_is_one_of_the_discs_circles_and_they_turn_once_round(members: list[Disc]) -> None:
    outline = hull_of_discs(members)
    assert {(arc.centre, arc.diameter) for arc in outline.arcs} <= {(tuple(at), d) for at, d in members}
    assert sum(arc.sweep for arc in outline.arcs) == pytest.approx(360.0, abs=1e-9)
    assert all(arc.sweep > 0 for arc in outline.arcs)


@QUICK
@given(discs)
@example(NESTED)
def test_every_line_touches_the_circles_that_it_joins(members: list[Disc]) -> None:
    spans = hull_of_discs(members).spans
    for before, line, after in zip(spans[-1:] + spans[:-1], spans, spans[1:] + spans[:1], strict=True):
        if isinstance(line, Arc):
            continue
        assert isinstance(before, Arc)
        assert isinstance(after, Arc)
        ahead = (line.end[0] - line.start[0], line.end[1] - line.start[1])
        for normal in (radians(before.begin + before.sweep), radians(after.begin)):
            assert ahead[0] * cos(normal) + ahead[1] * sin(normal) == pytest.approx(0.0, abs=1e-9)


@QUICK
@given(st.lists(outlines, min_size=1, max_size=4))
def test_a_hull_contains_its_members(members: list[Outline]) -> None:
    outline = hull(members)
    assert min(outline.depth(p) for member in members for p in member.points(0.5, least=2)) > -1e-7
    assert outline.area >= max(member.area for member in members) - 1e-6
    for way in WAYS:
        assert outline.support(way) == pytest.approx(max(m.support(way) for m in members), abs=5e-9)


@QUICK
@given(st.lists(outlines, min_size=1, max_size=4))
def test_the_hull_of_a_hull_is_itself(members: list[Outline]) -> None:
    once = hull(members)
    twice = hull([once])
    assert twice.area == pytest.approx(once.area, rel=1e-9)
    assert twice.length == pytest.approx(once.length, rel=1e-9)
    assert [(arc.centre, arc.diameter) for arc in twice.arcs] == [
        (arc.centre, arc.diameter) for arc in _turned_to_zero(once.arcs)
    ]


def _turned_to_zero(arcs: tuple[Arc, ...]) -> tuple[Arc, ...]:
    """Arcs in the same round, from the one whose normals begin first after 0."""
    first = min(range(len(arcs)), key=lambda k: arcs[k].begin % 360 if len(arcs) > 1 else 0)
    return arcs[first:] + arcs[:first]


@QUICK
@given(st.lists(outlines, min_size=2, max_size=3), read(0.0, 20.0))
def test_growing_and_taking_the_hull_may_change_places(members: list[Outline], by: float) -> None:
    assert hull(offset_outline(m, by) for m in members).area == pytest.approx(
        offset_outline(hull(members), by).area, rel=1e-9
    )


@pytest.mark.parametrize("order", [(0, 1, 2), (1, 0, 2), (2, 1, 0)])
def test_a_disc_that_touches_another_from_inside_takes_nothing_from_it(order: tuple[int, ...]) -> None:
    # straight up, which is the middle of all directions that the large disc faces, the small one reaches as far
    discs = [((0.0, 40.0), 20.0), ((0.0, 0.0), 100.0), ((0.0, -80.0), 20.0)]
    outline = hull(Outline((Arc(*discs[k], 270.0, 360.0),)) for k in order)
    alpha = np.arccos((50 - 10) / 80)
    assert {arc.diameter for arc in outline.arcs} == {100.0, 20.0}
    assert outline.length == pytest.approx(2 * 80 * sin(alpha) + 2 * (pi - alpha) * 50 + 2 * alpha * 10, rel=1e-12)


def test_one_disc_or_one_that_covers_all_is_a_circle() -> None:
    assert hull_of_discs([((3.0, 4.0), 50.0)]) == circle(50.0, (3.0, 4.0))
    assert hull_of_discs([((0, 0), 10.0), ((3.0, 4.0), 50.0), ((3.0, 4.0), 50.0)]) == circle(50.0, (3.0, 4.0))
    assert hull([circle(40.0).turned(77.0)]) == circle(40.0)


def test_a_slot_is_the_hull_of_its_ends() -> None:
    outline = hull_of_discs([((20, 0), 110.0), ((-20, 0), 110.0)])
    assert outline.area == pytest.approx(oblong(150.0, 110.0).area, rel=1e-12)
    assert len(outline.spans) == 4


def test_points_have_a_hull_with_sharp_corners() -> None:
    outline = hull_of_discs([((0, 0), 0.0), ((40, 0), 0.0), ((0, 30), 0.0), ((10, 10), 0.0)])
    assert outline.area == pytest.approx(600.0, rel=1e-12)
    assert outline.length == pytest.approx(120.0, rel=1e-12)
    assert [arc.centre for arc in outline.arcs] == [(0, 30), (0, 0), (40, 0)]


def test_unequal_discs_far_apart_have_the_area_of_a_belt() -> None:
    # crossed by nothing: open belt round pulleys of radius R and r at distance c, alpha = acos((R − r)/c)
    large, small, apart = 50.0, 20.0, 130.0
    alpha = np.arccos((large - small) / apart)
    length = 2 * apart * sin(alpha) + 2 * (pi - alpha) * large + 2 * alpha * small
    outline = hull_of_discs([((0, 0), 2 * large), ((apart, 0), 2 * small)])
    assert outline.length == pytest.approx(length, rel=1e-12)


@pytest.mark.parametrize(
    "members", [[], [polygon([(0, 0), (10, 0), (0, 10)])], [circle(5.0), polygon([(0, 0), (9, 0), (0, 9)])]]
)
def test_what_has_no_hull_says_so(members: list[Outline]) -> None:
    with pytest.raises(ValueError, match=r"^a hull is of one convex outline or more, each with arcs for its corners$"):
        hull(members)


# --- matched ---------------------------------------------------------------------------------------------------------


@QUICK
@given(st.lists(outlines, min_size=2, max_size=4))
@example([circle(100.0), circle(80.0).turned(90.0)])
@example([rectangle(100.0, 60.0, 0.0), circle(120.0), oblong(110.0, 150.0)])
def test_matched_outlines_belong_together_span_by_span(members: list[Outline]) -> None:
    cut = match_spans(*members)
    assert len(cut) == len(members)
    assert len({len(outline.spans) for outline in cut}) == 1
    for spans in zip(*(outline.spans for outline in cut), strict=True):
        assert len({type(span) for span in spans}) == 1
        for span in spans:
            if isinstance(span, Arc):
                assert isinstance(spans[0], Arc)
                assert (span.begin, span.sweep) == (spans[0].begin, spans[0].sweep)


@QUICK
@given(st.lists(outlines, min_size=2, max_size=4))
def test_matching_changes_no_outline(members: list[Outline]) -> None:
    for outline, cut in zip(members, match_spans(*members), strict=True):
        assert cut.area == pytest.approx(outline.area, rel=1e-7)
        assert cut.length == pytest.approx(outline.length, rel=1e-7)
        assert {(a.centre, a.diameter) for a in cut.arcs} == {(a.centre, a.diameter) for a in outline.arcs}
        assert max(abs(outline.depth(p)) for p in cut.points(0.5, least=2)) < 2e-6
        for span, after in zip(cut.spans, cut.spans[1:] + cut.spans[:1], strict=True):
            assert span.end == pytest.approx(after.start, abs=2e-6)


@QUICK
@given(st.lists(outlines, min_size=2, max_size=3))
def test_lines_that_belong_together_have_one_normal(members: list[Outline]) -> None:
    for spans in zip(*(outline.spans for outline in match_spans(*members)), strict=True):
        lines = [span for span in spans if isinstance(span, Line) and span.length > 1e-3]
        normals = [degrees(np.arctan2(s.start[0] - s.end[0], s.end[1] - s.start[1])) for s in lines]
        assert all(abs((normal - normals[0] + 180) % 360 - 180) < 1e-5 for normal in normals)


@QUICK
@given(outlines, outlines, read(0.0, 1.0))
def test_half_way_between_matched_outlines_lies_their_mean_reach(one: Outline, other: Outline, share: float) -> None:
    # ruling joins points of equal normals, so a section between parallel planes is the Minkowski mean: its reach is
    # the mean of the reaches, and by Brunn and Minkowski the root of its area is at least the mean of the roots
    a, b = match_spans(one, other)
    spans = list(zip(a.spans, b.spans, strict=True))
    for k in (0.0, 0.3, 0.7):
        told = [
            tuple(np.asarray(s.at(k)) * (1 - share) + np.asarray(t.at(k)) * share)
            for s, t in spans
            if isinstance(s, Arc)
        ]
        ways = [s.begin + k * s.sweep for s, _ in spans if isinstance(s, Arc)]
        for (x, y), way in zip(told, ways, strict=True):
            mean = one.support(way) * (1 - share) + other.support(way) * share
            assert x * cos(radians(way)) + y * sin(radians(way)) == pytest.approx(mean, abs=1e-6)


def test_a_line_is_matched_by_a_line_of_no_length() -> None:
    slot, ring = match_spans(oblong(150.0, 110.0), circle(100.0))
    assert [type(span) for span in ring.spans] == [type(span) for span in slot.spans]
    assert [span.length for span in ring.spans if isinstance(span, Line)] == pytest.approx([0.0, 0.0], abs=1e-12)
    assert sorted(span.length for span in slot.spans if isinstance(span, Line)) == pytest.approx([40.0, 40.0])


def test_circles_that_begin_alike_need_no_cut() -> None:
    assert match_spans(circle(10.0), circle(20.0, (3.0, 4.0))) == (circle(10.0), circle(20.0, (3.0, 4.0)))


def test_circles_that_begin_alike_but_for_rounding_need_no_cut_either() -> None:
    for angle in (1e-9, -1e-9, 360.0, 359.999999999):
        assert [len(cut.spans) for cut in match_spans(circle(10.0), circle(20.0).turned(angle))] == [1, 1]
