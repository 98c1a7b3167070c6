"""The base's outline against shapely: convex hull of discs, area and length, with circles of 4 × 1024 segments.

shapely 2 (GEOS) buffers a point to a polygon of 4 · quad_segs corners on the circle and takes hulls of polygons, so it
knows nothing of arcs. A regular polygon of n corners in a circle of radius r falls short of its area by the factor
sin(2π/n) / (2π/n), that is by 4e-7 for n = 4096, and of its length by 1e-7.
"""

from math import asin, atan2, cos, degrees, hypot, pi, sqrt

import numpy as np
import pytest
from shapely import MultiPoint, Point, Polygon, unary_union

from mounts.geometry.hull import hull, rounded_intersection
from mounts.geometry.outline import Arc, Line, Outline, circle, oblong, offset_outline, rectangle
from mounts.geometry.outline import Point as At
from tests.geometry.discs import hull_of_discs

Discs = list[tuple[At, float]]
UNEVEN = [(58.0, 53.5), (58.5, -54.0), (-57.5, -53.0), (-58.0, 54.0)]
BASES: dict[str, Discs] = {
    "four uneven fixings round an opening": [((0, 0), 142.0), *((at, 24.0) for at in UNEVEN)],
    "fixings of three sizes": [((0, 0), 142.0), *((at, d) for at, d in zip(UNEVEN, (24, 30, 18, 24), strict=True))],
    "three fixings": [((2, -3), 150.0), ((0, 88), 20.0), ((77, -42), 20.0), ((-75, -45), 22.0)],
    "one fixing under the flange": [((0, 0), 142.0), ((52, 52), 24.0), ((-57.5, -53), 24.0)],
    "all fixings inside": [((0, 0), 190.0), *((at, 24.0) for at in UNEVEN)],
    "fixings alone": [(at, 24.0) for at in UNEVEN],
    "two": [((-80, 0), 24.0), ((80, 0), 12.0)],
    "three in a row": [((-80, 0), 24.0), ((0, 0), 24.0), ((80, 0), 24.0)],
    "bolt circle of eight": [
        ((0, 0), 150.0),
        *(((79 * cos(k * pi / 4), 79 * cos(k * pi / 4 - pi / 2)), 20.0) for k in range(8)),
    ],
}


def by_shapely(discs: Discs) -> Polygon:
    """The hull of discs, each a polygon of 4096 corners on its circle."""
    return unary_union([Point(at).buffer(d / 2, quad_segs=1024) for at, d in discs]).convex_hull


@pytest.mark.parametrize("discs", BASES.values(), ids=BASES.keys())
def test_area_and_length_of_hulls(discs: Discs) -> None:
    mine, theirs = hull_of_discs(discs), by_shapely(discs)
    assert mine.area == pytest.approx(theirs.area, rel=1e-6)
    assert mine.length == pytest.approx(theirs.length, rel=1e-6)
    assert mine.area >= theirs.area - 1e-6  # their corners lie on the circles
    assert mine.box == pytest.approx(theirs.bounds, abs=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_area_and_length_of_hulls_of_any_discs(seed: int) -> None:
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 9))
    centres, diameters = rng.uniform(-90, 90, (count, 2)), rng.uniform(2, 120, count)
    discs: Discs = [((x, y), d) for (x, y), d in zip(centres.tolist(), diameters.tolist(), strict=True)]
    mine, theirs = hull_of_discs(discs), by_shapely(discs)
    assert mine.area == pytest.approx(theirs.area, rel=1e-6)
    assert mine.length == pytest.approx(theirs.length, rel=1e-6)


@pytest.mark.parametrize("discs", BASES.values(), ids=BASES.keys())
def test_circles_of_contact_are_exact_and_lines_are_their_tangents(discs: Discs) -> None:
    # every arc runs on the circle of one disc, to the last bit; every line leaves and meets its circles at right
    # angles to the radius, to 1e-9 of its length
    spans = hull_of_discs(discs).spans
    for before, span, after in zip(spans[-1:] + spans[:-1], spans, spans[1:] + spans[:1], strict=True):
        if isinstance(span, Arc):
            assert (span.centre, span.diameter) in [((float(x), float(y)), d) for (x, y), d in discs]
            continue
        assert isinstance(before, Arc)
        assert isinstance(after, Arc)
        ahead = np.subtract(span.end, span.start) / span.length
        for end, arc in ((span.start, before), (span.end, after)):
            radius = np.subtract(end, arc.centre)
            assert np.hypot(*radius) == pytest.approx(arc.diameter / 2, abs=1e-9)
            assert radius / (arc.diameter / 2) @ ahead == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("discs", BASES.values(), ids=BASES.keys())
def test_as_few_spans_as_there_can_be(discs: Discs) -> None:
    # shapely's hull of the same circles, coarse: as many long edges as there are lines
    mine = hull_of_discs(discs)
    theirs = np.array(by_shapely(discs).exterior.coords)
    steps = np.hypot(*np.diff(theirs, axis=0).T)
    longest_chord = 2 * pi * max(d for _, d in discs) / 2 / 4096 * 1.5
    lines = [span for span in mine.spans if isinstance(span, Line)]
    assert len(lines) == (steps > longest_chord).sum()


def test_the_tangent_of_two_discs_by_the_formula() -> None:
    # outer tangent of circles R, r at distance c: length sqrt(c² − (R − r)²), leaning asin((R − r)/c)
    outline = hull_of_discs([((0, 0), 142.0), ((58.0, 53.5), 24.0)])
    apart, step = hypot(58.0, 53.5), (142 - 24) / 2
    lines = [span for span in outline.spans if isinstance(span, Line)]
    assert [line.length for line in lines] == pytest.approx([sqrt(apart**2 - step**2)] * 2, rel=1e-12)
    along, lean = degrees(atan2(53.5, 58.0)), degrees(asin(step / apart))
    ways = sorted(degrees(atan2(s.end[1] - s.start[1], s.end[0] - s.start[0])) % 180 for s in lines)
    assert ways == pytest.approx(sorted([(along - lean) % 180, (along + lean) % 180]), abs=1e-9)


@pytest.mark.parametrize("by", [0.5, 4.0, 20.0])
def test_grown_outlines_are_shapelys_buffers(by: float) -> None:
    # shapely simplifies the finely meshed outline before it buffers, by about a hundredth of the distance
    for outline in (hull_of_discs(BASES["fixings of three sizes"]), oblong(150.0, 110.0), rectangle(130.0, 90.0, 5.0)):
        theirs = Polygon(outline.points(1e-3)).buffer(by, quad_segs=1024)
        assert offset_outline(outline, by).area == pytest.approx(theirs.area, rel=2e-5)
        assert offset_outline(outline, by).length == pytest.approx(theirs.length, rel=2e-5)


def test_the_hull_of_outlines_is_that_of_their_points() -> None:
    members: list[Outline] = [
        oblong(150.0, 110.0),
        rectangle(60.0, 60.0, 5.0).turned(30).moved(70, 20),
        circle(30.0, (-40, 70)),
    ]
    theirs = MultiPoint([p for m in members for p in m.points(1e-6)]).convex_hull
    assert hull(members).area == pytest.approx(theirs.area, rel=1e-6)
    assert hull(members).length == pytest.approx(theirs.length, rel=1e-6)


def test_an_overlap_with_sharp_corners_is_shapelys_intersection() -> None:
    for one, other in (
        (oblong(150.0, 110.0), circle(130.0, (3.0, 2.0))),
        (rectangle(120.0, 120.0, 6.0), hull_of_discs(BASES["three fixings"])),
        (oblong(110.0, 150.0), oblong(150.0, 110.0)),
    ):
        theirs = Polygon(one.points(1e-6)).intersection(Polygon(other.points(1e-6)))
        assert rounded_intersection(one, other, 0.0).area == pytest.approx(theirs.area, rel=1e-6)
        assert rounded_intersection(one, other, 0.0).length == pytest.approx(theirs.length, rel=1e-6)
