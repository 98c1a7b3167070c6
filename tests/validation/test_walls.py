"""A bank of solids whose least wall is known, for both kernels, and prismatic plates against shapely's distances.

Sources: elementary geometry, told at each case (the wall of an eccentric bore is half the difference of the diameters
less the eccentricity; a point's distance from a plane); `shapely.distance` between boundaries drawn with 256 chords
to a quarter circle, which no part of this package shares.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations
from math import cos, pi, radians, sin, tan

import numpy as np
import pytest
from shapely import LinearRing, LineString, Point, Polygon
from shapely.ops import nearest_points

from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.thickness import ANYWHERE, least_place, thin_places
from mounts.geometry.frames import PANEL, Frame, Vector, tilt_frame
from mounts.geometry.outline import circle, offset_outline, polygon, rectangle
from mounts.kernels import brep, mesh
from mounts.kernels.part import Part
from mounts.shape.primitives import Body, Prism, Revolved, Ruled, Section
from mounts.shape.recipe import Feature, Recipe
from tests.idents import ident, labels

Build = Callable[[Recipe], Part]
KERNELS = [pytest.param(brep.build, id="brep"), pytest.param(mesh.build, id="mesh")]
pytestmark = pytest.mark.parametrize("build", KERNELS)

SIDEWAYS = Frame(x=(1.0, 0.0, 0.0), z=(0.0, -1.0, 0.0))  # outlines in it stand upright, their y along the panel's z


def _recipe(*added: Body, **cuts: Body) -> Recipe:
    features = [Feature(ident(f"body {k}"), (body,)) for k, body in enumerate(added)]
    return Recipe("part", (*features, *(Feature(ident(name), (body,), cut=True) for name, body in cuts.items())), 0)


def _tube() -> Recipe:
    return _recipe(Prism(circle(60.0), 0.0, 30.0), bore=Prism(circle(56.0), -1.0, 31.0))


def _eccentric() -> Recipe:
    return _recipe(Prism(circle(60.0), 0.0, 30.0), bore=Prism(circle(50.0, (3.63, 0.0)), -1.0, 31.0))


def _blind() -> Recipe:
    return _recipe(Prism(circle(60.0), 0.0, 30.0), pocket=Prism(circle(12.0, (10.0, 5.0)), 1.4, 31.0))


def _web() -> Recipe:
    plate = Prism(rectangle(60.0, 40.0, 3.0), 0.0, 12.0)
    holes = {f"hole_{k}": Prism(circle(8.0, (x, 2.0)), -1.0, 13.0) for k, x in enumerate((-4.45, 4.45))}
    return _recipe(plate, **holes)


def _wedge(tip: float) -> Recipe:
    """Flat below, rising by 20 degrees above, from a tip of some height."""
    high = tip + 30.0 * tan(radians(20.0))
    corners = [(0.0, 0.0), (30.0, 0.0), (30.0, high), (0.0, tip)]
    return _recipe(Prism(polygon(corners if tip else corners[:3]), 0.0, 25.0, SIDEWAYS))


def _rib() -> Recipe:
    return _recipe(Prism(rectangle(60.0, 40.0, 0.0), 0.0, 6.0), Prism(rectangle(40.0, 0.8, 0.0), 5.0, 16.0))


POCKET = (5.6, 8.0, 10.0)  # diameter, depth, tilt of a pocket that leans out as it goes down


def _tilted_pocket(body: Body, mouth: Vector) -> Recipe:
    diameter, depth, tilt = POCKET
    leaning = tilt_frame(mouth, tilt, 270.0)  # its axis leans to −x going up, so to +x going down
    return _recipe(body, pocket=Prism(circle(diameter), -depth, 20.0, leaning))


def _reach() -> float:
    """How far the pocket's lowest edge lies outside its mouth's centre: depth·sin + diameter/2·cos."""
    diameter, depth, tilt = POCKET
    return depth * sin(radians(tilt)) + diameter / 2 * cos(radians(tilt))


def _beside_flat() -> Recipe:
    """Mouth 5.8143 from a flat side: 5.8143 − 4.1467 = 1.6676."""
    return _tilted_pocket(Prism(rectangle(80.0, 60.0, 0.0), 0.0, 20.0), (40.0 - 5.8143, 3.0, 20.0))


def _beside_round() -> Recipe:
    """The same beside a round side: on the radius through the pocket, where the edge reaches out furthest."""
    return _tilted_pocket(Prism(circle(80.0), 0.0, 20.0), (40.0 - 5.8143, 0.0, 20.0))


BANK = {
    "tube": (_tube, 2.0),
    "eccentric bore": (_eccentric, (60.0 - 50.0) / 2 - 3.63),
    "blind floor": (_blind, 1.4),
    "web": (_web, 8.9 - 8.0),
    "truncated wedge": (lambda: _wedge(1.2), 1.2),
    "knife wedge": (lambda: _wedge(0.0), 0.0),
    "rib": (_rib, 0.8),
    "pocket tilted to a flat side": (_beside_flat, 5.8143 - _reach()),
    "pocket tilted to a round side": (_beside_round, 5.8143 - _reach()),
}


@pytest.mark.parametrize("name", BANK)
def test_least_wall_within_a_hundredth(build: Build, name: str) -> None:
    draw, wall = BANK[name]
    part = build(draw())
    found = thin_places(part, 5.0)
    assert found[0].thickness == pytest.approx(wall, abs=0.01)
    if part.kernel == "brep":
        assert found[0].thickness == pytest.approx(wall, abs=2e-4)
    least = least_place(Skin.of(part))
    assert least is not None
    assert least.thickness == pytest.approx(wall, abs=0.01)


def test_the_pocket_of_the_bank_has_the_wall_that_its_formula_gives(build: Build) -> None:
    del build
    assert 5.8143 - _reach() == pytest.approx(1.6676, abs=1e-4)


def _chamfered() -> Recipe:
    levels = ((0.0, -2.0), (2.0, 0.0), (18.0, 0.0), (20.0, -2.0))
    return _recipe(
        Ruled(tuple(Section(PANEL.lifted(z), offset_outline(rectangle(60.0, 40.0, 3.0), by)) for z, by in levels))
    )


def _rounded() -> Recipe:
    """Every edge rounded by a radius of 3, those of top and bottom in steps of 7.5 degrees."""
    turns = np.radians(np.arange(0.0, 90.1, 7.5))
    low = [(3.0 - 3.0 * cos(t), 3.0 * sin(t) - 3.0) for t in turns]
    levels = [*low, *((20.0 - z, by) for z, by in reversed(low))]
    outline = rectangle(60.0, 40.0, 5.0)
    return _recipe(Ruled(tuple(Section(PANEL.lifted(z), offset_outline(outline, by)) for z, by in levels)))


def _leaning() -> Recipe:
    lean = 20.0 / tan(radians(80.0))
    return _recipe(Prism(polygon([(0.0, 0.0), (60.0, 0.0), (60.0 + lean, 20.0), (lean, 20.0)]), 0.0, 40.0, SIDEWAYS))


@pytest.mark.parametrize("draw", [_chamfered, _rounded, _leaning])
def test_broken_edges_are_no_thin_walls(build: Build, draw: Callable[[], Recipe]) -> None:
    """Blocks 20 thick: no wall below, and the least is the block's own."""
    part = build(draw())
    assert thin_places(part, 19.99) == ()
    assert [place.thickness for place in thin_places(part, 20.5)][:1] == [pytest.approx(20.0, abs=0.01)]


def test_edges_broken_at_45_count_for_the_least_material_only(build: Build) -> None:
    """A 1.37 wall whose top edge is broken by 0.5 on one side has 0.87 at the top."""
    tube = Revolved(PANEL, ((0.0, 60.0), (19.5, 60.0), (20.0, 59.0)))
    part = build(_recipe(tube, bore=Prism(circle(60.0 - 2 * 1.37), -1.0, 21.0)))
    nominal, anywhere = (least_place(Skin.of(part), opposed) for opposed in (0.87, ANYWHERE))
    assert nominal is not None
    assert anywhere is not None
    assert nominal.thickness == pytest.approx(1.37, abs=0.01)
    assert anywhere.thickness == pytest.approx(0.87, abs=0.01)
    assert anywhere.at[2] == pytest.approx(20.0, abs=0.02)


@pytest.mark.parametrize("seed", range(4))
def test_plates_full_of_holes_against_shapely(build: Build, seed: int) -> None:
    """In a plate thicker than any web the walls are the distances between the outlines."""
    chance = np.random.default_rng(seed)
    outline, holes, rings = rectangle(80.0, 60.0, 6.0), [], {}
    plate = Polygon(outline.points(1e-4))
    rings["body 0"] = plate.exterior
    while len(holes) < 9:
        at, wide = chance.uniform((-36.0, -26.0), (36.0, 26.0)), chance.uniform(4.0, 14.0)
        shape = Point(*at).buffer(wide / 2, quad_segs=256)
        if shape.within(plate) and all(shape.distance(ring) > 0.3 for ring in rings.values()):
            rings[f"hole_{len(holes)}"] = shape.exterior
            holes.append((float(wide), (float(at[0]), float(at[1]))))
    cuts = {f"hole_{k}": Prism(circle(wide, at), -1.0, 41.0) for k, (wide, at) in enumerate(holes)}
    part = build(_recipe(Prism(outline, 0.0, 40.0), **cuts))
    found = {labels(place.between): place.thickness for place in thin_places(part, 6.0, exact=False)}
    assert len(found) > 5
    for one, other in combinations(rings, 2):
        apart = rings[one].distance(rings[other])
        if (one, other) in found:
            assert found[one, other] == pytest.approx(apart, abs=0.01), (one, other)
        else:
            assert apart > 5.99 or _hidden(rings, one, other), (one, other)


def _hidden(rings: dict[str, LinearRing], one: str, other: str) -> bool:
    """Whether a third hole lies on the way between two, so that there is no wall of their own."""
    way = LineString(nearest_points(rings[one], rings[other]))
    return any(Polygon(rings[name]).intersects(way) for name in rings if name not in (one, other, "body 0"))


def test_volume_of_the_tube_says_that_the_bank_is_what_it_says(build: Build) -> None:
    assert build(_tube()).volume == pytest.approx(pi * (30.0**2 - 28.0**2) * 30.0, rel=2e-3)
