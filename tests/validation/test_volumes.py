"""Volumes and centroids of whole bodies against formulas of geometry textbooks, for both kernels.

Sources: Bronshtein, Semendyayev, Musiol, Muehlig, "Handbook of Mathematics", 3.3 (stereometry: frustum, truncated
cylinder, prismatoid by Simpson's rule) and 8.2 (Guldin's rules); Steinmetz's crossed cylinders. Plane areas from
shapely, whose arcs are drawn with 1024 chords to a quarter circle.
"""

from __future__ import annotations

from collections.abc import Callable
from math import asin, cos, pi, radians, sqrt, tan

import numpy as np
import pytest
from shapely import Point, Polygon, union_all
from shapely.affinity import rotate, translate

from mounts.geometry.frames import PANEL, tilt_frame
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import circle, polygon, rectangle
from mounts.kernels import brep
from mounts.kernels.agreement import mesh_figures
from mounts.shape.primitives import Prism, Revolved, Ruled, Section
from mounts.shape.recipe import Feature, Recipe
from tests.geometry.discs import hull_of_discs
from tests.idents import ident
from tests.kernels.ring import upright

Volume = Callable[[Recipe], float]
KERNELS = [
    pytest.param(lambda drawn: brep.build(drawn).volume, id="brep"),
    pytest.param(lambda drawn: mesh_figures(drawn).volume, id="mesh"),
]
pytestmark = pytest.mark.parametrize("volume", KERNELS)


def _part(*added: Prism | Ruled | Revolved, cut: tuple[Prism | Ruled | Revolved, ...] = ()) -> Recipe:
    features = [Feature(ident(f"body {k}"), (body,)) for k, body in enumerate(added)]
    return Recipe("part", (*features, Feature(ident("cut"), cut, cut=True)) if cut else tuple(features), 0)


@pytest.mark.parametrize(("tilt", "toward"), [(0.0, 0.0), (8.0, 315.0), (20.0, 10.0)])
def test_truncated_tube(volume: Volume, tilt: float, toward: float) -> None:
    """Section area times the height at the axis, whatever the tilt."""
    seat = tilt_frame((0.0, 0.0, 40.0), tilt, toward)
    tube, bore = Prism(circle(90.0), 0.0, 100.0), Prism(circle(76.0), -1.0, 101.0)
    lid = Prism(rectangle(300.0, 300.0, 0.0), 0.0, 200.0, seat)
    assert volume(_part(tube, cut=(bore, lid))) == pytest.approx(pi / 4 * (90.0**2 - 76.0**2) * 40.0, rel=2e-7)


@pytest.mark.parametrize(("low", "high"), [(30.0, 30.0), (30.0, 18.0), (18.0, 30.0), (30.0, 0.0)])
def test_frustum(volume: Volume, low: float, high: float) -> None:
    """h·π/12·(D² + D·d + d²), drawn as a ruled body and as a revolved one."""
    formula = 11.0 * pi / 12 * (low**2 + low * high + high**2)
    revolved = Revolved(tilt_frame((5.0, 6.0, 7.0), 33.0, 44.0), ((2.0, low), (13.0, high)))
    assert volume(_part(revolved)) == pytest.approx(formula, rel=1e-7)
    ruled = Ruled((Section(PANEL, circle(low)), Section(PANEL.lifted(11.0), circle(high))))
    assert volume(_part(ruled)) == pytest.approx(formula, rel=1e-7)


def test_oblique_cone_frustum(volume: Volume) -> None:
    """Cavalieri: shearing keeps the volume."""
    top = PANEL.lifted(11.0).shifted(9.0, -4.0)
    ruled = Ruled((Section(PANEL, circle(30.0)), Section(top, circle(18.0))))
    formula = 11.0 * pi / 12 * (30.0**2 + 30.0 * 18.0 + 18.0**2)
    assert volume(_part(ruled)) == pytest.approx(formula, rel=2e-7)


def test_plate_with_pockets_and_holes(volume: Volume) -> None:
    """Area times thickness, less area times depth for each."""
    plate = Prism(rectangle(120.0, 80.0, 8.0), 0.0, 12.0)
    holes = tuple(Prism(circle(6.0, (x, y)), -1.0, 13.0) for x in (-48.0, 48.0) for y in (-30.0, 30.0))
    pocket = Prism(rectangle(40.0, 30.0, 5.0), 7.5, 13.0)
    triangle = Prism(polygon([(30.0, -10.0), (45.0, -10.0), (30.0, 10.0)]), -1.0, 2.0)
    area = 120.0 * 80.0 - (4 - pi) * 64.0
    formula = 12.0 * area - 4 * 12.0 * 9.0 * pi - 4.5 * (1200.0 - (4 - pi) * 25.0) - 2.0 * 150.0
    assert volume(_part(plate, cut=(*holes, pocket, triangle))) == pytest.approx(formula, rel=1e-8)


def test_hull_of_discs_to_a_circle_between_parallel_planes(volume: Volume) -> None:
    """Prismatoid: h/6·(A₀ + 4·A½ + A₁), the middle being half the Minkowski sum of both ends: a hull of discs again."""
    discs = [((0.0, 0.0), 80.0), ((44.0, 30.0), 22.0), ((-40.0, 33.0), 26.0), ((5.0, -47.0), 18.0)]
    low, high = match_spans(hull_of_discs(discs), circle(64.0))
    body = Ruled((Section(PANEL, low), Section(PANEL.lifted(21.0), high)))

    def area(grown: float, shrunk: float) -> float:
        rounds = [Point(x * shrunk, y * shrunk).buffer(d * shrunk / 2 + grown, quad_segs=1024) for (x, y), d in discs]
        return float(union_all(rounds).convex_hull.area)

    formula = 21.0 / 6 * (area(0.0, 1.0) + 4 * area(16.0, 0.5) + pi * 32.0**2)
    assert volume(_part(body)) == pytest.approx(formula, rel=1e-6)


def test_tower_to_a_tilted_seat(volume: Volume) -> None:
    """Divergence theorem on P(t, v) itself, integrated by Gauss's rule: no kernel takes part."""
    seat = tilt_frame((4.0, -2.0, 30.0), 12.0, 100.0)
    body = Ruled((Section(PANEL, circle(80.0)), Section(seat, circle(60.0))))
    turn = np.linspace(0.0, 2 * pi, 2001)[:-1]
    rim = np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1)
    low, high = PANEL.out(40.0 * rim), seat.out(30.0 * rim)
    slope = np.stack([-np.sin(turn), np.cos(turn), 0 * turn], axis=1)
    low_along, high_along = 40.0 * slope @ PANEL.axes.T, 30.0 * slope @ seat.axes.T
    flux = 0.0
    for v, weight in zip(*np.polynomial.legendre.leggauss(4), strict=True):
        f = (v + 1) / 2
        at, along = (1 - f) * low + f * high, (1 - f) * low_along + f * high_along
        flux += weight / 2 * float(np.einsum("ij,ij->", at, np.cross(along, high - low))) * 2 * pi / 2000
    formula = flux / 3 + pi * 30.0**2 * float(np.dot(seat.origin, seat.z)) / 3
    assert volume(_part(body)) == pytest.approx(formula, rel=2e-7)


def test_turned_body_by_guldin(volume: Volume) -> None:
    """Area of the profile times the path of its centroid; the profile's by shapely."""
    profile = ((0.0, 20.0), (4.0, 20.0), (4.0, 12.0), (10.0, 8.0), (10.0, 15.0), (16.0, 2.0))
    half = Polygon([(0.0, 0.0), *((d / 2, z) for z, d in profile), (0.0, 16.0)])
    formula = half.area * 2 * pi * half.centroid.x
    assert volume(_part(Revolved(PANEL, profile))) == pytest.approx(formula, rel=1e-7)


@pytest.mark.parametrize("closed", [True, False], ids=["ring of sections", "prism with an island"])
def test_ring_groove(volume: Volume, closed: bool) -> None:
    """π/4·(D² − d²)·h, taken out of a plate."""
    low, high, out, inner = PANEL.lifted(3.0), PANEL.lifted(9.0), circle(70.0, (4.0, 1.0)), circle(58.0, (4.0, 1.0))
    corners = ((low, out), (high, out), (high, inner), (low, inner))
    ring = Ruled(tuple(Section(frame, outline) for frame, outline in corners), ring=True)
    groove = ring if closed else Prism(out, 3.0, 9.0, islands=(inner,))
    plate = Prism(circle(100.0), 0.0, 5.0)
    formula = pi / 4 * (100.0**2 * 5.0 - (70.0**2 - 58.0**2) * 2.0)
    assert volume(_part(plate, cut=(groove,))) == pytest.approx(formula, rel=1e-7)


def test_letter_sunk_in_a_cylinder(volume: Volume) -> None:
    """A square of side a, sunk into a cylinder of radius R to a plane R − t from its axis.

    The cylinder stands over that plane by √(R² − x²) − (R − t); its integral over the square is a closed form.
    """
    side, reach, deep = 6.0, 40.0, 1.0
    letter = Prism(rectangle(side, side, 0.0), -deep, 3.0, upright((reach, 0.0, 15.0), (1.0, 0.0, 0.0)))
    post = Prism(circle(2 * reach), 0.0, 30.0)
    half = side / 2
    under = half * sqrt(reach**2 - half**2) + reach**2 * asin(half / reach)
    formula = pi * reach**2 * 30.0 - side * (under - side * (reach - deep))
    assert volume(_part(post, cut=(letter,))) == pytest.approx(formula, rel=1e-8)


def test_two_crossing_cylinders(volume: Volume) -> None:
    """Steinmetz: two equal cylinders that cross squarely share 16·r³/3; the union has both less that."""
    across = upright((-30.0, 0.0, 25.0), (1.0, 0.0, 0.0))
    posts = (Prism(circle(20.0), 0.0, 50.0), Prism(circle(20.0), 0.0, 60.0, across))
    formula = pi * 100.0 * (50.0 + 60.0) - 16.0 * 1000.0 / 3
    assert volume(_part(*posts)) == pytest.approx(formula, rel=1e-6)


def test_union_and_difference_of_turned_squares(volume: Volume) -> None:
    """Plane areas by shapely, times the thickness."""
    square = Polygon([(-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0)])
    turned, away = rotate(square, 30.0), translate(square, 25.0, 7.0)
    formula = 6.0 * float(union_all([square, turned]).difference(away).area)
    flat = rectangle(40.0, 40.0, 0.0)
    bodies = (Prism(flat, 0.0, 6.0), Prism(flat.turned(30.0), 0.0, 6.0))
    assert volume(_part(*bodies, cut=(Prism(flat.moved(25.0, 7.0), -1.0, 7.0),))) == pytest.approx(formula, rel=1e-9)


def test_slanted_hole_through_a_plate(volume: Volume) -> None:
    """A cylinder at an angle takes its section over the cosine, times the thickness; the hole's lean adds nothing."""
    drill = tilt_frame((0.0, 0.0, 0.0), 25.0, 70.0)
    hole = Prism(circle(10.0), -60.0, 60.0, drill)
    plate = Prism(rectangle(100.0, 100.0, 0.0), 0.0, 8.0)
    formula = 80000.0 - 8.0 * 25.0 * pi / cos(radians(25.0))
    assert volume(_part(plate, cut=(hole,))) == pytest.approx(formula, rel=1e-8)


def test_low_side_of_a_tilted_seat(volume: Volume) -> None:
    """A wedge over a half plane: what a tilted lid leaves above the height of its lowest point."""
    seat = tilt_frame((0.0, 0.0, 20.0), 10.0, 0.0)
    post, lid = Prism(circle(60.0), 0.0, 60.0), Prism(rectangle(200.0, 200.0, 0.0), 0.0, 100.0, seat)
    low = 20.0 - 30.0 * tan(radians(10.0))
    below = Prism(rectangle(200.0, 200.0, 0.0), -1.0, low)
    assert volume(_part(post, cut=(lid, below))) == pytest.approx(pi * 900.0 * 30.0 * tan(radians(10.0)), rel=1e-6)
