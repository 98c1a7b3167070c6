"""Printing and reading back against outside sources: published fits, and libraries that are no part of the project.

Gander, Golub and Strebel: Least-squares fitting of circles and ellipses, BIT 34 (1994), 558-578, the example by which
they compare their algorithms. scipy, shapely and trimesh: as installed for the tests.
"""

from __future__ import annotations

from math import cos, hypot, radians

import numpy as np
import pytest
import shapely
import trimesh
from scipy.optimize import least_squares

from mounts.checks.printing.findings import contact_findings, overhang_findings
from mounts.checks.printing.least_feature import manifold_of, narrowest_material, stroke_width
from mounts.checks.printing.overhangs import FACET, find_overhangs
from mounts.checks.printing.patches import Surface, circle_of_points, find_flats, find_round_holes, plane_of_points
from mounts.checks.ring.readback import seat_findings
from mounts.design.lettering import Label, Letter
from mounts.geometry.frames import PANEL, tilt_frame
from mounts.geometry.outline import circle, rectangle
from mounts.identity import Role
from mounts.kernels import mesh
from mounts.shape.primitives import Prism
from tests.checks.printed import PRINTER, part_of, roofed
from tests.checks.rings import ring
from tests.geometry.discs import hull_of_discs

RINGS = ("linnet-woofer", "linnet-rear-three-holes", "linnet-slider-oblong")


def mesh_of(part):
    """The part for trimesh, its triangles left as they are."""
    return trimesh.Trimesh(part.vertices, part.triangles, process=False)


def test_the_circle_of_gander_golub_and_strebel():
    """Their geometric fit to these six points: centre (4.7398, 2.9835), radius 4.7142."""
    points = np.array([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7)], dtype=float)
    x, y, diameter = circle_of_points(points)
    assert (x, y, diameter / 2) == pytest.approx((4.7398, 2.9835, 4.7142), abs=5e-5)


def test_circles_are_those_of_scipy():
    """The sum of squared distances, minimised by scipy.optimize.least_squares from the mean on."""
    random = np.random.default_rng(7)
    for sweep in (1.2, 3.0, 6.2):
        turn = np.linspace(0.0, sweep, 40)
        points = np.stack([30 + 3 * np.cos(turn), -12 + 3 * np.sin(turn)], axis=1) + random.normal(0, 0.02, (40, 2))
        best = least_squares(
            lambda c, p=points: np.hypot(*(p - c[:2]).T) - c[2], [*points.mean(axis=0), 2.0], xtol=1e-15
        )
        x, y, diameter = circle_of_points(points)
        assert (x, y, diameter / 2) == pytest.approx(best.x, abs=1e-6)


def test_planes_are_those_of_trimesh():
    random = np.random.default_rng(3)
    points = random.normal(0, 20, (60, 3)) * (1.0, 1.0, 0.01) @ tilt_frame((0.0, 0.0, 0.0), 40.0, 110.0).axes.T
    middle, normal = plane_of_points(points)
    theirs_middle, theirs = trimesh.points.plane_fit(points)
    assert abs(normal @ theirs) == pytest.approx(1.0, abs=1e-12)
    assert middle == pytest.approx(theirs_middle)


@pytest.mark.parametrize("name", RINGS)
def test_a_ring_s_seat_is_the_plane_that_trimesh_finds(name):
    made = ring(name)
    shown = mesh_of(made.part)
    leaning = [k for k, n in enumerate(shown.facets_normal) if 0.9 < n[2] < 1 - 1e-9]
    seat = max(leaning, key=lambda k: shown.facets_area[k])
    found = {f.code: f for f in seat_findings(Surface(made.part), made.plan.seat)}
    x, y, z = shown.facets_normal[seat]
    assert found["seat.tilt"].measured == pytest.approx(np.degrees(np.arccos(z)), abs=1e-6)
    off = (found["seat.toward"].measured - np.degrees(np.arctan2(x, y)) + 180) % 360 - 180
    assert off == pytest.approx(0, abs=1e-5)
    origin, (ox, oy, _) = shown.facets_origin[seat], made.plan.seat.frame.origin
    height = origin[2] - (x * (ox - origin[0]) + y * (oy - origin[1])) / z
    assert found["seat.height"].measured == pytest.approx(height, abs=1e-6)
    areas = [one.area for one in find_flats(Surface(made.part), 100.0) if 0.9 < one.normal[2] < 1 - 1e-9]
    assert areas[0] == pytest.approx(shown.facets_area[seat], rel=1e-6)


def test_holes_are_where_a_section_of_trimesh_shows_them():
    """Rings of the section 4 mm up: shapely's centroids, and the circles that it bounds them by."""
    made = ring("linnet-woofer")
    section = mesh_of(made.part).section(plane_origin=(0, 0, 4.0), plane_normal=(0, 0, 1))
    flat, to_space = section.to_2D()
    rings = [shapely.Polygon(inner) for body in flat.polygons_full for inner in body.interiors]
    small = [one for one in rings if one.area < 100]
    theirs = sorted((np.array([one.centroid.x, one.centroid.y]) + to_space[:2, 3]).tolist() for one in small)
    ours = sorted(list(one.at) for one in find_round_holes(Surface(made.part)) if one.feature.role is Role.HOLE)
    assert len(ours) == len(theirs) == 4
    assert np.allclose(ours, theirs, atol=1e-6)
    diameters = [one.diameter for one in find_round_holes(Surface(made.part)) if one.feature.role is Role.HOLE]
    assert diameters == pytest.approx([2 * shapely.minimum_bounding_radius(one) for one in small], abs=1e-6)


@pytest.mark.parametrize(
    "outline",
    [circle(17.0), rectangle(40.0, 13.0, 3.0), hull_of_discs([((-12.0, 6.0), 11.0), ((14.0, -3.0), 11.0)])],
)
def test_a_roof_s_span_is_the_largest_disc_of_shapely(outline):
    """shapely.maximum_inscribed_circle gives a radius as a line; under a round or a straight roof the disc spans it."""
    part = roofed(outline)
    found = {f.code: f for f in overhang_findings(part, PRINTER, part.vertices)}["print.bridge"]
    disc = shapely.maximum_inscribed_circle(shapely.Polygon(outline.points(0.0005)), tolerance=1e-4)
    assert found.measured == pytest.approx(2 * disc.length, abs=0.01)


@pytest.mark.parametrize("name", RINGS)
def test_what_hangs_has_the_area_that_trimesh_sums(name):
    """All faces of trimesh that face down more steeply than 45 degrees and do not lie on the bed."""
    made = ring(name)
    shown = mesh_of(made.part)
    steep = shown.face_normals[:, 2] < -cos(radians(90 - 45 - FACET))
    steep &= shown.triangles[:, :, 2].max(axis=1) > 0.01
    ours = find_overhangs(made.part, PRINTER, made.part.vertices)
    specks = shown.area_faces[steep].sum() - sum(one.area for one in ours)
    assert -1e-6 <= specks < 5  # patches under a line squared, in the lettering
    assert len(ours) <= len(trimesh.graph.connected_components(shown.face_adjacency, nodes=np.flatnonzero(steep)))


@pytest.mark.parametrize("name", RINGS)
def test_a_part_stands_as_trimesh_and_shapely_say(name):
    made = ring(name)
    shown = mesh_of(made.part)
    on_bed = shown.triangles[:, :, 2].max(axis=1) < 1e-6
    feet = shapely.union_all([shapely.Polygon(t[:, :2]) for t in shown.triangles[on_bed]])
    shadow = shapely.union_all([shapely.Polygon(t[:, :2]) for t in shown.triangles[shown.face_normals[:, 2] > 1e-6]])
    area, share, steady = contact_findings(made.part, made.part.vertices, manifold_of(made.part, made.part.vertices))
    assert area.measured == pytest.approx(feet.area, rel=1e-6)
    assert share.measured == pytest.approx(100 * feet.area / shadow.area, rel=1e-4)
    weight = shapely.Point(shown.center_mass[:2])
    assert steady.measured == pytest.approx(feet.convex_hull.exterior.distance(weight), abs=1e-6)
    assert steady.limit == pytest.approx(shown.center_mass[2] / 4)


def test_the_narrowest_wall_of_an_eccentric_tube_is_its_closed_form():
    """(D - d) / 2 - e: 20 - 17 - 1.63 = 1.37; shapely's distance of the two rings says the same."""
    outer, inner = circle(40.0), circle(34.0, (1.63, 0.0))
    part = part_of(Prism(outer, 0.0, 20.0, islands=(inner,)))
    found = narrowest_material(part, manifold_of(part, part.vertices), part.vertices, 0.2)
    rings = [shapely.LinearRing(one.points(0.001)) for one in (outer, inner)]
    assert found.width == pytest.approx(1.37, abs=0.01)
    assert found.width == pytest.approx(rings[0].distance(rings[1]), abs=0.01)
    assert hypot(found.at[0] - 19.3, found.at[1]) < 1.0  # on the rim of what is narrow, in its middle


def test_the_narrowest_wall_of_a_ring_is_that_of_shapely_s_sections():
    """The gasket's lip of the demo: distance of the two outlines that shapely sees in trimesh's section 0.5 up."""
    part = mesh.build(ring("linnet-woofer").recipe, 512)
    flat, _ = mesh_of(part).section(plane_origin=(0, 0, 0.5), plane_normal=(0, 0, 1)).to_2D()
    lip = min(flat.polygons_full, key=lambda one: one.area)
    (hole,) = lip.interiors
    found = narrowest_material(part, manifold_of(part, part.vertices), part.vertices, 0.2)
    assert found.width == pytest.approx(shapely.LinearRing(lip.exterior.coords).distance(hole), abs=0.01)


def test_the_stroke_of_a_shipped_letter_is_lost_to_shapely_at_that_width():
    """shapely's opening of the letters by a disc: a little narrower loses corners only, a little wider a stroke."""
    made = ring("linnet-woofer")
    letters = {shape for label in made.plan.labels for letter in label.letters for shape in letter.shapes}
    for solid, islands in sorted(letters, key=lambda one: one[0].area)[-6:]:
        width = stroke_width(Label("x", (Letter(PANEL, ((solid, islands),)),), 0.6, raised=False))
        shape = shapely.Polygon(solid.points(), [one.points() for one in islands])
        narrower, wider = width - 0.02, width + 0.02
        assert _largest_loss(shape, narrower) < 0.35 * narrower**2 + 0.01
        assert _largest_loss(shape, wider) > 0.35 * wider**2 - 0.01


def _largest_loss(shape, width):
    lost = shape.difference(shape.buffer(-width / 2).buffer(width / 2 + 0.002))
    return max((one.area for one in shapely.get_parts(lost)), default=0.0)
