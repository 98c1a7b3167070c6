"""Outlines to try everything on: named awkward ones, and strategies that draw any number more."""

from __future__ import annotations

from math import cos, radians, sin

from hypothesis import settings
from hypothesis import strategies as st
from shapely import Polygon

from mounts.geometry.outline import Arc, Line, Outline, Point, circle, convex_outline, oblong, rectangle
from tests.geometry.discs import hull_of_discs


def oval(across: float, diameter: float, ends: float, half: float) -> Outline:
    """Oval of four arcs without lines: flat arcs of `diameter`, `ends`, which sweep 2·`half` at left and right."""
    apart = (across - ends) / 2
    down = apart * sin(radians(half)) / cos(radians(half))
    flat = 2 * (apart / cos(radians(half)) + ends / 2)
    assert flat > diameter > ends
    side, top = (apart, 0.0), (0.0, -down)
    return convex_outline(
        [
            Arc(side, ends, -half, 2 * half),
            Arc(top, flat, half, 180 - 2 * half),
            Arc((-apart, 0.0), ends, 180 - half, 2 * half),
            Arc((0.0, down), flat, 180 + half, 180 - 2 * half),
        ]
    )


KEYHOLE = Outline(  # not convex: a bow with a slot let into it from below
    (
        Line((-30.0, -40.0), (-10.0, -40.0)),
        Line((-10.0, -40.0), (-10.0, 0.0)),
        Arc((0.0, 0.0), 20.0, 180.0, -180.0),
        Line((10.0, 0.0), (10.0, -40.0)),
        Line((10.0, -40.0), (30.0, -40.0)),
        Line((30.0, -40.0), (30.0, 0.0)),
        Arc((0.0, 0.0), 60.0, 0.0, 180.0),
        Line((-30.0, 0.0), (-30.0, -40.0)),
    )
)

CONVEX: dict[str, Outline] = {
    "circle": circle(120.0),
    "circle beside the origin": circle(40.0, (55.0, -10.0)),
    "circle begun at 250": circle(110.0).turned(250.0),
    "circle of two halves": convex_outline([Arc((0.0, 5.0), 90.0, 0.0, 180.0), Arc((0.0, 5.0), 90.0, 180.0, 180.0)]),
    "slot lying": oblong(150.0, 110.0),
    "slot standing": oblong(110.0, 150.0),
    "rectangle": rectangle(130.0, 90.0, 12.0),
    "rectangle with sharp corners": rectangle(100.0, 60.0, 0.0),
    "oval of four arcs": oval(150.0, 100.0, 60.0, 50.0),
    "base": hull_of_discs([((0, 0), 150.0), ((58, 53.5), 20.0), ((58.5, -54), 24.0), ((-57.5, -53), 22.0)]),
    "wedge": hull_of_discs([((-40, 0), 5.0), ((50, 20), 60.0), ((10, -60), 0.0)]),
}


def fine(outline: Outline, sag: float = 1e-5) -> Polygon:
    """The outline as shapely sees it, a polygon whose chords leave the arcs by no more than `sag` mm."""
    return Polygon(outline.points(sag))


QUICK = settings(deadline=None, max_examples=120, derandomize=True)


def read(least: float, most: float) -> st.SearchStrategy[float]:
    """A length or angle as somebody reads it, to a hundredth."""
    return st.floats(least, most).map(lambda value: round(value, 2))


coordinates = st.integers(-6, 6).map(lambda k: 10.0 * k) | read(-60.0, 60.0)
points = st.tuples(coordinates, coordinates)
diameters = st.sampled_from([0.0, 20.0, 40.0, 120.0]) | read(0.5, 120.0)
discs = st.lists(st.tuples(points, diameters), min_size=1, max_size=6)
angles = st.sampled_from([0.0, 30.0, 90.0, 180.0, 270.0]) | read(-400.0, 400.0)


def _placed(outline: Outline, angle: float, at: Point) -> Outline:
    return outline.turned(angle).moved(*at)


_sides = st.sampled_from([60.0, 100.0, 110.0, 150.0]) | read(45.0, 160.0)
_corners = st.sampled_from([0.0, 5.0, 20.0])
outlines = st.builds(
    _placed,
    st.one_of(
        st.builds(circle, _sides),
        st.builds(oblong, _sides, _sides),
        st.builds(rectangle, _sides, _sides, _corners),
        st.builds(hull_of_discs, st.lists(st.tuples(points, read(45.0, 120.0)), min_size=1, max_size=5)),
        st.just(CONVEX["oval of four arcs"]),
    ),
    angles,
    st.tuples(read(-20.0, 20.0), read(-20.0, 20.0)) | st.sampled_from([(0.0, 0.0), (10.0, 0.0), (0.0, -20.0)]),
)
