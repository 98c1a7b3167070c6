"""Outlines against school formulas, and against shapely 2 on a polygon whose chords leave the arcs by 1e-5 mm."""

from math import cos, hypot, pi, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import example, given
from shapely import Point as Spot

from mounts.geometry.hull import match_spans
from mounts.geometry.outline import (
    Arc,
    Line,
    Outline,
    circle,
    convex_outline,
    oblong,
    offset_outline,
    polar_point,
    polygon,
    rectangle,
)
from tests.geometry.shapes import CONVEX, KEYHOLE, QUICK, angles, fine, outlines, oval, points, read

EVERY = {**CONVEX, "keyhole": KEYHOLE}


def each(shapes: dict[str, Outline] = EVERY) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("outline", shapes.values(), ids=shapes.keys())


# --- spans -----------------------------------------------------------------------------------------------------------


def test_a_line_and_its_points() -> None:
    line = Line((1.0, 2.0), (4.0, 6.0))
    assert line.length == 5.0
    assert line.at(0.5) == (2.5, 4.0)


def test_an_arc_and_its_points() -> None:
    arc = Arc((10.0, 20.0), 60.0, 90.0, 180.0)
    assert arc.length == pytest.approx(30 * pi, rel=1e-15)
    assert arc.start == pytest.approx((10.0, 50.0), abs=1e-12)
    assert arc.at(0.5) == pytest.approx((-20.0, 20.0), abs=1e-12)
    assert arc.end == pytest.approx((10.0, -10.0), abs=1e-12)


@pytest.mark.parametrize(
    ("begin", "sweep", "facing", "not_facing"),
    [
        (10.0, 80.0, [10, 50, 90, 370, -350], [9, 91, 270]),
        (350.0, 40.0, [350, 0, 30, 390], [31, 349, 180]),
        (90.0, -80.0, [10, 50, 90, 450], [9, 91, 270]),
        (-90.0, 360.0, [0, 90, 180, 270], []),
    ],
)
def test_where_an_arc_faces(begin: float, sweep: float, facing: list[float], not_facing: list[float]) -> None:
    arc = Arc((0.0, 0.0), 10.0, begin, sweep)
    assert [arc.faces(angle) for angle in facing] == [True] * len(facing)
    assert [arc.faces(angle) for angle in not_facing] == [False] * len(not_facing)


def test_polar_is_counter_clockwise_from_x() -> None:
    assert polar_point((1.0, 2.0), 20.0, 0.0) == (11.0, 2.0)
    assert polar_point((1.0, 2.0), 20.0, 90.0) == pytest.approx((1.0, 12.0), abs=1e-12)


# --- area, length, box by formula ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("outline", "area", "length", "box"),
    [
        (circle(120.0, (3.0, -4.0)), pi * 60**2, pi * 120, (-57, -64, 63, 56)),
        (oblong(150.0, 110.0), pi * 55**2 + 40 * 110, pi * 110 + 80, (-75, -55, 75, 55)),
        (oblong(110.0, 150.0), pi * 55**2 + 40 * 110, pi * 110 + 80, (-55, -75, 55, 75)),
        (oblong(90.0, 90.0), pi * 45**2, pi * 90, (-45, -45, 45, 45)),
        (rectangle(130.0, 90.0, 12.0), 130 * 90 - (4 - pi) * 144, 2 * (106 + 66) + 2 * pi * 12, (-65, -45, 65, 45)),
        (rectangle(100.0, 60.0, 0.0), 6000.0, 320.0, (-50, -30, 50, 30)),
        (rectangle(80.0, 80.0, 40.0), pi * 40**2, pi * 80, (-40, -40, 40, 40)),
        (rectangle(80.0, 100.0, 40.0), pi * 40**2 + 20 * 80, pi * 80 + 40, (-40, -50, 40, 50)),
        (polygon([(0, 0), (30, 0), (0, 40)]), 600.0, 120.0, (0, 0, 30, 40)),
        (KEYHOLE, pi * (30**2 - 10**2) / 2 + 2 * 20 * 40, pi * 40 + 40 + 4 * 40, (-30, -40, 30, 30)),
        (Outline((Arc((0, 0), 20, 0, -360),)), -pi * 100, pi * 20, (-10, -10, 10, 10)),  # clockwise: a negative area
    ],
)
def test_shapes_by_formula(outline: Outline, area: float, length: float, box: tuple[float, ...]) -> None:
    assert outline.area == pytest.approx(area, rel=1e-12)
    assert outline.length == pytest.approx(length, rel=1e-12)
    assert outline.box == pytest.approx(box, abs=1e-9)


@pytest.mark.parametrize("half", [20.0, 50.0, 80.0])
def test_an_oval_is_two_sectors_and_two_ends_less_the_rhomb_between_their_centres(half: float) -> None:
    across, ends = 150.0, 60.0
    apart = (across - ends) / 2
    flat = apart / cos(radians(half)) + ends / 2
    sectors = radians(180 - 2 * half) * flat**2 + radians(2 * half) * (ends / 2) ** 2
    rhomb = 2 * apart * apart * sin(radians(half)) / cos(radians(half))
    outline = oval(across, 61.0, ends, half)
    assert [type(span) for span in outline.spans] == [Arc] * 4
    assert outline.area == pytest.approx(sectors - rhomb, rel=1e-12)


@each()
def test_area_length_and_box_as_shapely_has_them(outline: Outline) -> None:
    seen = fine(outline)
    assert outline.area == pytest.approx(seen.area, rel=1e-6)
    assert outline.length == pytest.approx(seen.length, rel=1e-6)
    assert outline.box == pytest.approx(seen.bounds, abs=2e-5)


@each()
def test_spans_join_and_close(outline: Outline) -> None:
    for span, after in zip(outline.spans, outline.spans[1:] + outline.spans[:1], strict=True):
        assert span.end == pytest.approx(after.start, abs=1e-9)


@each(CONVEX)
def test_these_are_convex(outline: Outline) -> None:
    assert outline.is_convex
    assert sum(arc.sweep for arc in outline.arcs) == pytest.approx(360.0, abs=1e-9)


def test_matched_outlines_stay_convex_though_some_lines_have_no_length() -> None:
    _, cut = match_spans(CONVEX["rectangle"], circle(120.0))
    assert any(isinstance(span, Line) and span.length == 0 for span in cut.spans)
    assert cut.is_convex


@pytest.mark.parametrize(
    "outline",
    [
        KEYHOLE,
        Outline((Arc((0, 0), 20, 0, -360),)),
        polygon([(0, 0), (10, 0), (10, 10), (5, 9.9), (0, 10)]),
        polygon([(0, 0), (0, 10), (10, 10), (10, 0)]),
        polygon([polar_point((0, 0), 20, 144.0 * k) for k in range(5)]),  # a star: always to the left, but twice round
    ],
)
def test_these_are_not_convex(outline: Outline) -> None:
    assert not outline.is_convex


def test_only_one_whole_arc_is_a_circle() -> None:
    assert circle(10.0).is_circle
    assert not CONVEX["circle of two halves"].is_circle


# --- moving, turning, mirroring, growing -----------------------------------------------------------------------------


@QUICK
@given(outlines, angles, points)
def test_area_and_length_never_change_by_moving(outline: Outline, angle: float, at: tuple[float, float]) -> None:
    for other in (outline.moved(*at), outline.turned(angle), outline.mirrored()):
        assert other.area == pytest.approx(outline.area, rel=1e-9)
        assert other.length == pytest.approx(outline.length, rel=1e-12)
        assert other.is_convex


@QUICK
@given(outlines, angles, angles)
def test_reach_follows_the_outline(outline: Outline, angle: float, way: float) -> None:
    assert outline.turned(angle).support(way + angle) == pytest.approx(outline.support(way), abs=1e-9)
    assert outline.mirrored().support(180 - way) == pytest.approx(outline.support(way), abs=1e-9)
    moved = outline.moved(7.0, -3.0).support(way)
    assert moved == pytest.approx(outline.support(way) + 7 * cos(radians(way)) - 3 * sin(radians(way)), abs=1e-9)


@each()
def test_turning_is_counter_clockwise_and_the_mirror_swaps_left_and_right(outline: Outline) -> None:
    x0, y0, x1, y1 = outline.box
    assert outline.turned(90.0).box == pytest.approx((-y1, x0, -y0, x1), abs=1e-9)
    assert outline.mirrored().box == pytest.approx((-x1, y0, -x0, y1), abs=1e-9)
    assert outline.mirrored().area == pytest.approx(outline.area, rel=1e-12)
    assert outline.mirrored().mirrored().points() == [pytest.approx(p, abs=1e-9) for p in outline.points()]


@QUICK
@given(outlines, read(0.0, 30.0))
def test_a_grown_outline_has_the_area_of_steiners_formula(outline: Outline, by: float) -> None:
    # Steiner 1840: a convex body moved out by d has the area A + L·d + π·d² and the length L + 2·π·d
    moved = offset_outline(outline, by)
    assert moved.area == pytest.approx(outline.area + outline.length * by + pi * by * by, rel=1e-9)
    assert moved.length == pytest.approx(outline.length + 2 * pi * by, rel=1e-9)
    assert len(moved.arcs) == len(outline.arcs)


@QUICK
@given(outlines, read(0.01, 20.0), angles)
def test_growing_reaches_further_everywhere_and_shrinking_takes_it_back(
    outline: Outline, by: float, way: float
) -> None:
    moved = offset_outline(outline, by)
    assert moved.support(way) == pytest.approx(outline.support(way) + by, abs=1e-9)
    assert offset_outline(moved, -by).area == pytest.approx(outline.area, rel=1e-9)


def test_an_outline_may_move_in_by_its_smallest_arc_and_no_further() -> None:
    assert offset_outline(rectangle(130.0, 90.0, 12.0), -12.0).area == pytest.approx(106 * 66, rel=1e-12)
    with pytest.raises(ValueError, match=r"^an arc of diameter 24\.000 cannot move in by 12\.500$"):
        offset_outline(rectangle(130.0, 90.0, 12.0), -12.5)


def test_corners_that_are_no_arcs_do_not_grow() -> None:
    with pytest.raises(ValueError, match=r"^an outline is moved by its arcs; give its corners arcs of diameter 0$"):
        offset_outline(polygon([(0, 0), (10, 0), (0, 10)]), 1.0)


def test_convex_joins_its_arcs_with_lines_where_they_are_apart() -> None:
    outline = convex_outline([Arc((20, 0), 10, -90, 180), Arc((-20, 0), 10, 90, 180)])
    assert [type(span) for span in outline.spans] == [Arc, Line, Arc, Line]
    assert [span.length for span in outline.spans if isinstance(span, Line)] == [pytest.approx(40, abs=1e-12)] * 2
    assert [type(span) for span in CONVEX["oval of four arcs"].spans] == [Arc] * 4


def test_the_ends_of_a_slot_are_as_wide_as_it_is_narrow() -> None:
    assert [arc.diameter for arc in oblong(150.0, 110.0).arcs] == [110.0, 110.0]
    assert [arc.centre for arc in oblong(110.0, 150.0).arcs] == [(0.0, 20.0), (0.0, -20.0)]
    assert oblong(110.0, 110.0) == circle(110.0)


# --- points along it -------------------------------------------------------------------------------------------------


@each()
@pytest.mark.parametrize("sag", [0.5, 0.02, 0.001])
def test_no_chord_lies_further_than_the_sag_from_its_arc(outline: Outline, sag: float) -> None:
    told = outline.points(sag)
    chords = list(zip(told, told[1:] + told[:1], strict=True))
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in chords]
    assert max(abs(outline.depth(p)) for p in told) < 1e-9
    assert max(abs(outline.depth(p)) for p in middles) <= sag + 1e-9
    assert len(told) == len(set(told))


def test_points_are_as_many_as_the_sag_asks_for_and_no_more() -> None:
    # a chord over the angle a sags by r·(1 − cos a/2): 0.02 on a radius of 60 is 2.959 degrees, so 122 chords
    assert len(circle(120.0).points(0.02)) == 122
    assert [len(rectangle(100, 60, 0.0).points(0.02, least=n)) for n in (1, 4)] == [4, 16]


# --- inside and outside ----------------------------------------------------------------------------------------------


@each()
def test_depth_is_shapelys_distance(outline: Outline) -> None:
    seen, rng = fine(outline), np.random.default_rng(7)
    x0, y0, x1, y1 = outline.box
    for x, y in rng.uniform((x0 - 20, y0 - 20), (x1 + 20, y1 + 20), (200, 2)):
        spot = Spot(x, y)
        signed = seen.exterior.distance(spot) * (1 if seen.contains(spot) else -1)
        assert outline.depth((x, y)) == pytest.approx(signed, abs=2e-5)


@each()
def test_level_with_a_corner_or_an_end_counts_once(outline: Outline) -> None:
    # rays from these points run exactly through the places where spans meet and where arcs turn back
    levels = {p[1] for span in outline.spans for p in (span.start, span.end)} | {outline.box[1], outline.box[3]}
    seen = fine(outline)
    x0, _, x1, _ = outline.box
    for y in levels:
        for x in np.linspace(x0 - 5, x1 + 5, 23):
            if seen.exterior.distance(Spot(x, y)) > 1e-4:
                assert outline.holds((x, y)) == seen.contains(Spot(x, y))


@QUICK
@given(outlines, angles)
@example(CONVEX["circle of two halves"].turned(33.3), -33.3)
@example(circle(85.67903111210147, (18.485532951161304, -1.3816680831483374)), 0.0)
def test_the_middle_is_inside_however_the_outline_is_turned(outline: Outline, angle: float) -> None:
    turned = outline.turned(angle)
    x, y = np.mean(turned.points(1.0, least=2), axis=0)
    x0, _, x1, _ = turned.box
    assert turned.holds((x, y))
    assert not turned.holds((x1 + 1.0, y))
    assert not turned.holds((x0 - 1.0, y))


def test_no_ray_slips_between_two_arcs_that_meet_but_for_rounding() -> None:
    # turned back, both halves begin and end at y = 0 give or take 1e-14, exactly on the level of the centre
    for begin in np.random.default_rng(1).uniform(0, 360, 300):
        halves = convex_outline([Arc((0.0, 0.0), 100.0, begin, 180.0), Arc((0.0, 0.0), 100.0, begin + 180.0, 180.0)])
        assert halves.turned(-begin).holds((0.0, 0.0)), begin
        assert not halves.turned(-begin).holds((-60.0, 0.0)), begin


def test_a_line_between_two_points_of_a_circle_is_inside_it_at_its_middle() -> None:
    # the middle of a chord cut off by an upright line is level with the centre, where the circle begins and ends
    rng = np.random.default_rng(3)
    for cx, cy, diameter in rng.uniform((-20, -20, 60), (20, 20, 160), (300, 3)):
        across = rng.uniform(-0.9, 0.9) * diameter / 2
        high = sqrt(diameter**2 / 4 - across**2)
        chord = Line((cx + across, cy - high), (cx + across, cy + high))
        assert circle(diameter, (cx, cy)).depth(chord.at(0.5)) == pytest.approx(diameter / 2 - abs(across), abs=1e-9)


@QUICK
@given(outlines, angles)
def test_reach_is_that_of_the_furthest_point(outline: Outline, way: float) -> None:
    ux, uy = cos(radians(way)), sin(radians(way))
    furthest = max(x * ux + y * uy for x, y in outline.points(1e-4))
    assert outline.support(way) == pytest.approx(furthest, abs=2e-4)
    assert outline.support(way) >= furthest - 1e-9


@pytest.mark.parametrize(
    ("across", "way"), [(100.0, 0.0), (60.0, 90.0), (hypot(100, 60), np.degrees(np.arctan2(60, 100)))]
)
def test_reach_of_sharp_corners(across: float, way: float) -> None:
    assert rectangle(100.0, 60.0, 0.0).support(way) == pytest.approx(across / 2, abs=1e-12)


# --- rays ------------------------------------------------------------------------------------------------------------


@QUICK
@given(outlines, angles)
def test_a_ray_leaves_a_convex_outline_at_its_reach(outline: Outline, angle: float) -> None:
    x0, y0, x1, y1 = outline.box
    about = outline.moved(-(x0 + x1) / 2, -(y0 + y1) / 2)
    seen, far = fine(about), about.reach(angle)
    assert about.depth(polar_point((0.0, 0.0), 2 * far, angle)) == pytest.approx(0.0, abs=1e-6)
    assert seen.covers(Spot(*polar_point((0.0, 0.0), 2 * far - 1e-3, angle)))
    assert not seen.covers(Spot(*polar_point((0.0, 0.0), 2 * far + 1e-3, angle)))


def test_a_ray_that_meets_nothing() -> None:
    assert circle(10.0, (20.0, 0.0)).reach(90.0) == 0.0
    assert circle(10.0, (20.0, 0.0)).reach(0.0) == pytest.approx(25.0)
