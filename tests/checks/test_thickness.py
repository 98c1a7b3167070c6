"""Walls measured on finished meshes: the limit from both sides, names and places, what the plan says beside them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from mounts.checks.mesh.nearest import least_walls
from mounts.checks.mesh.skin import Skin, origins, sights
from mounts.checks.mesh.thickness import NOMINAL, thin_places
from mounts.checks.mesh.walls import least_findings, mesh_wall_findings, wall_findings
from mounts.findings.compare import AGREE
from mounts.findings.report import Finding, Verdict
from mounts.findings.wall import Wall
from mounts.geometry.apart import Pairs, between
from mounts.geometry.frames import PANEL, Frame
from mounts.geometry.outline import circle, offset_outline, polygon, rectangle
from mounts.kernels import brep, mesh
from mounts.kernels.part import Part
from mounts.kinds.ring.shape import draw_ring
from mounts.kinds.ring.values import RingPlan
from mounts.shape.primitives import Body, Prism, Revolved, Ruled
from mounts.shape.recipe import Feature, Recipe
from tests.idents import ident, labels, pair
from tests.kernels.ring import ring
from tests.kinds.ring.conftest import jobs_of

LIMIT = 2.0


def _recipe(*added: tuple[str, Body], **cuts: Body) -> Recipe:
    features = [Feature(ident(name), (body,)) for name, body in added]
    cut = [Feature(ident(name.replace("_", " ")), (body,), cut=True) for name, body in cuts.items()]
    return Recipe("part", (*features, *cut), 0)


def _by_code(findings: tuple[Finding, ...]) -> dict[str, list[Finding]]:
    found: dict[str, list[Finding]] = {}
    for finding in findings:
        found.setdefault(finding.code, []).append(finding)
    return found


def _tube(wall: float) -> Part:
    bore = Prism(circle(60.0 - 2 * wall), -1.0, 21.0)
    return mesh.build(_recipe(("tower", Prism(circle(60.0), 0.0, 20.0)), bore=bore))


# the limit from both sides


@pytest.mark.parametrize(("wall", "verdict"), [(LIMIT + 0.02, Verdict.PASS), (LIMIT - 0.02, Verdict.FAIL)])
def test_a_mesh_just_passes_and_just_fails(wall: float, verdict: Verdict) -> None:
    (found,) = mesh_wall_findings(_tube(wall), LIMIT, "the test's own")
    assert (found.code, found.verdict, found.limit) == ("wall.thin", verdict, LIMIT)
    assert found.measured == pytest.approx(wall, abs=0.005)
    assert labels(found.between) == ("tower", "bore")
    assert found.at is not None
    assert np.hypot(*found.at[:2]) == pytest.approx(30.0 - wall / 2, abs=0.01)
    assert found.advice == ("" if verdict is Verdict.PASS else "0.1 more material is needed there")


@pytest.mark.parametrize(("wall", "verdict"), [(LIMIT - 0.005, Verdict.PASS), (LIMIT - 0.035, Verdict.FAIL)])
def test_a_wall_of_the_plan_fails_when_the_mesh_is_thinner(wall: float, verdict: Verdict) -> None:
    """The plan still believes in the limit itself; the difference is less than what is told as a disagreement."""
    planned = Wall("wall.tower", pair("bore", "outside"), LIMIT, LIMIT, "tower wall")
    (found,) = wall_findings(_tube(wall), [planned])
    assert (found.code, found.verdict, found.closed_form) == ("wall.tower", verdict, LIMIT)
    assert found.measured == pytest.approx(wall, abs=0.005)
    assert found.advice == ("" if verdict is Verdict.PASS else "take less tilt, or more height")


PLANNED = 2.8


@pytest.mark.parametrize("code", ["wall.web", "wall.tower"])  # told exactly, and as what it is at least
@pytest.mark.parametrize(
    ("wall", "differs"),
    [
        (PLANNED + AGREE + 0.01, "more"),
        (PLANNED + AGREE - 0.01, ""),
        (PLANNED - AGREE + 0.01, ""),
        (PLANNED - AGREE - 0.01, "less"),
        (LIMIT - 0.03, "less"),
    ],
)
def test_plan_and_mesh_disagree_from_a_twentieth_of_a_millimetre(code: str, wall: float, differs: str) -> None:
    planned = Wall(code, pair("bore", "outside"), PLANNED, LIMIT, "tower wall")
    found = _by_code(wall_findings(_tube(wall), [planned])).get("wall.disagreement", [])
    differs = "" if differs == "more" and planned.bound else differs
    assert [one.verdict for one in found] == [Verdict.FAIL] * bool(differs)
    for one in found:
        assert one.what == f"{planned.what}: {differs} on the mesh than planned"
        assert (one.closed_form, labels(one.between)) == (PLANNED, ("bore", "outside"))
        assert one.measured == pytest.approx(wall, abs=0.005)
        assert one.advice.startswith(f"the part has {differs} material there")


@pytest.mark.parametrize("wall", [3.0, 4.8, 5.2, 9.0])
def test_a_disagreement_fails_however_thick_the_wall_is(wall: float) -> None:
    planned = Wall("wall.web", pair("bore", "outside"), 5.0, LIMIT, "tower wall")
    (found,) = _by_code(wall_findings(_tube(wall), [planned]))["wall.disagreement"]
    assert found.verdict is Verdict.FAIL


def test_a_wall_from_edge_to_edge_is_found_which_no_ray_sees() -> None:
    """A room that ends 2 under a step, 3 aside of the block on it: rays out of neither meet the other."""
    block = Prism(rectangle(20.0, 40.0, 1.0).moved(-10.0, 0.0), 0.0, 20.0)
    step = Prism(rectangle(40.0, 40.0, 1.0), 0.0, 6.0)
    room = Prism(rectangle(10.0, 20.0, 1.0).moved(-8.0, 0.0), -1.0, 4.5)
    features = (Feature(ident("tower"), (block,)), Feature(ident("base"), (step,)))
    part = mesh.build(Recipe("part", (*features, Feature(ident("nut 1"), (room,), cut=True)), 0))
    planned = Wall("wall.nut-outside", pair("nut 1", "outside"), np.hypot(3.0, 1.5), 3.0, "tower wall")
    findings = _by_code(wall_findings(part, [planned]))
    (found,) = findings["wall.nut-outside"]
    assert found.measured == pytest.approx(np.hypot(3.0, 1.5), abs=1e-3)
    assert "wall.disagreement" not in findings


def test_the_seat_is_no_outside_of_the_tower() -> None:
    """The bore flares by 53 degrees from 1.5 under the seat on; beside it the wall is 4."""
    bore = Revolved(PANEL, ((-1.0, 52.0 + 8 / 3 * 19.5), (18.5, 52.0), (21.0, 52.0)))
    tower = Prism(circle(60.0), 0.0, 20.0)
    hollow = Recipe("part", (Feature(ident("tower"), (tower,)), Feature(ident("bore"), (bore,), cut=True)), 1)
    planned = Wall("wall.tower", pair("bore", "outside"), 4.0, LIMIT, "tower wall")
    (found,) = _by_code(wall_findings(mesh.build(hollow), [planned]))["wall.tower"]
    assert found.measured == pytest.approx(4.0, abs=0.005)


def _two_pockets(web: float) -> Part:
    pockets = {f"pocket_{k}": Prism(circle(8.0, (x, 0.0)), 4.0, 11.0) for k, x in ((1, -4.0), (2, 4.0 + web))}
    return mesh.build(_recipe(("base", Prism(rectangle(60.0, 40.0, 3.0), 0.0, 10.0)), **pockets))


@pytest.mark.parametrize(("web", "told"), [(1.2 + 0.01, False), (1.2 - 0.04, True)])
def test_a_thin_wall_that_no_plan_knows(web: float, told: bool) -> None:
    planned = Wall("wall.base", pair("base", "face"), 10.0, 1.2, "base thickness")
    found = _by_code(wall_findings(_two_pockets(web), [planned]))
    assert ("wall.unknown" in found) is told
    if told:
        (one,) = found["wall.unknown"]
        assert (one.verdict, labels(one.between), one.limit) == (Verdict.FAIL, ("pocket 1", "pocket 2"), 1.2)
        assert one.what == "wall, pocket 1 to pocket 2"
        assert one.measured == pytest.approx(web, abs=0.005)
    assert found["wall.base"][0].measured == pytest.approx(10.0, abs=1e-6)


# lettering

LETTERS = tuple(
    Prism(polygon([(x, -3.0), (x + 1.0, -3.0), (x + 1.0, 3.0), (x, 3.0)]), -0.6, 1.0, Frame((0.0, 0.0, 10.0)))
    for x in np.arange(-8.0, 8.0, 1.2)
)  # bars 0.2 apart


def _lettered(floor: float) -> Part:
    pocket = Feature(ident("pocket"), (Prism(circle(30.0), -1.0, 10.0 - 0.6 - floor),), cut=True)
    plate = Feature(ident("base"), (Prism(rectangle(60.0, 40.0, 3.0), 0.0, 10.0),))
    return mesh.build(Recipe("part", (plate, pocket, Feature(ident("label III"), LETTERS, cut=True)), 0))


@pytest.mark.parametrize(("floor", "verdict"), [(2.02, Verdict.PASS), (1.98, Verdict.FAIL)])
def test_lettering_is_judged_by_what_it_leaves_behind(floor: float, verdict: Verdict) -> None:
    part = _lettered(floor)
    assert [labels(place.between) for place in thin_places(part, 2.5)] == [("pocket", "label III")]
    (found,) = _by_code(wall_findings(part, []))["wall.label"]
    assert (found.verdict, found.what, found.limit) == (verdict, "material behind label III", 2.0)
    assert found.measured == pytest.approx(floor, abs=1e-4)


def test_lettering_on_a_mesh_without_names_is_one_warning() -> None:
    part = _lettered(5.0)
    unnamed = replace(part, kernel="file", feature=np.zeros_like(part.feature), features=(ident("part"),))
    (found,) = mesh_wall_findings(unnamed, LIMIT, "the test's own")
    assert (found.code, found.verdict) == ("wall.detail", Verdict.WARN)
    assert found.what == "13 thin details, such as lettering; the least"  # one between each two of fourteen bars
    assert found.measured == pytest.approx(0.2, abs=1e-4)


# the least material anywhere


@pytest.mark.parametrize(("left", "verdict"), [(0.82, Verdict.PASS), (0.78, Verdict.WARN)])
def test_the_least_material_anywhere_counts_broken_edges(left: float, verdict: Verdict) -> None:
    """The top edge is broken by 1.0 on a wall that much thicker."""
    tower = Revolved(PANEL, ((0.0, 60.0), (19.0, 60.0), (20.0, 58.0)))
    part = mesh.build(_recipe(("tower", tower), bore=Prism(circle(58.0 - 2 * left), -1.0, 21.0)))
    (found,) = least_findings(Skin.of(part))
    assert (found.code, found.verdict, found.limit) == ("wall.least", verdict, 0.8)
    assert found.measured == pytest.approx(left, abs=0.01)
    assert thin_places(part, left + 0.98, exact=False) == ()


def test_a_part_without_opposing_surfaces_has_no_wall() -> None:
    loose = replace(_tube(3.0), triangles=_tube(3.0).triangles[:1])
    loose = replace(loose, face=np.zeros(1, dtype=np.int64), feature=np.zeros(1, dtype=np.int64))
    assert thin_places(loose, 5.0) == ()
    assert least_findings(Skin.of(loose)) == ()
    assert mesh_wall_findings(loose, LIMIT, "the test's own") == ()


def test_a_knife_edge_is_called_one() -> None:
    wedge = Prism(polygon([(0.0, 0.0), (30.0, 0.0), (30.0, 8.0)]), 0.0, 25.0, Frame(z=(0.0, -1.0, 0.0)))
    found = mesh_wall_findings(mesh.build(_recipe(("base", wedge))), 0.8, "the test's own")
    assert (found[0].what, found[0].measured, found[0].verdict) == ("knife's edge in base", 0.0, Verdict.FAIL)


def test_equal_walls_come_in_the_order_of_their_places_however_faces_are_numbered() -> None:
    """Two slots leave three walls of 2."""
    outside = Prism(polygon([(-13.0, -8.0), (13.0, -8.0), (13.0, 8.0), (-13.0, 8.0)]), 0.0, 20.0)
    slot = [polygon([(x, -9.0), (x + 10.0, -9.0), (x + 10.0, 9.0), (x, 9.0)]) for x in (-11.0, 1.0)]
    recipe = _recipe(("base", outside), pocket=Prism(slot[0], 5.0, 21.0), groove=Prism(slot[1], 5.0, 21.0))
    part, rng = mesh.build(recipe), np.random.default_rng(1)
    for _ in range(4):
        number = rng.permutation(int(part.face.max()) + 1)
        found = thin_places(replace(part, face=number[part.face]), 2.5)
        assert [round(place.at[0]) for place in found] == [-12, 0, 12]
        assert [place.thickness for place in found] == pytest.approx([2.0] * 3)


# the search itself


def test_rays_start_inside_their_triangles_and_are_the_same_every_time() -> None:
    skin = Skin.of(mesh.build(ring("wall"), 96))
    source, start = origins(skin)
    again = origins(Skin.of(mesh.build(ring("wall"), 96)))
    assert np.array_equal(source, again[0])
    assert np.array_equal(start, again[1])
    triangles = skin.corners[source]
    points = np.repeat(start[:, None], 3, axis=1)
    sides = np.roll(triangles, -1, axis=1) - triangles
    inward = np.cross(np.repeat(skin.normals[source][:, None], 3, axis=1), sides)
    assert (np.einsum("nsk,nsk->ns", points - triangles, inward) > -1e-9).all()
    assert set(skin.part.face[source]) == set(skin.part.face)


def test_every_wall_is_as_thin_as_any_two_triangles_tell() -> None:
    """Every pair of opposing triangles of two features, without rays, blocks or descent."""
    skin = Skin.of(mesh.build(ring(""), 64))
    seen, feature = sights(skin, NOMINAL), skin.part.feature
    size = len(skin.part.features)
    one, other = feature[seen.source], feature[seen.target]
    group = np.where(one == other, -1, np.minimum(one, other) * size + np.maximum(one, other))
    found = least_walls(skin, seen, group, np.full(size * size, NOMINAL), feature)
    assert len(found) > 20
    for number, wall in found.items():
        if wall.distance < 8 and wall.settled:
            least = _brute(skin, *(np.flatnonzero(feature == k) for k in divmod(number, size)))
            names = [skin.part.features[k] for k in divmod(number, size)]
            assert wall.distance == pytest.approx(least, abs=2e-3), names


def _brute(skin: Skin, one: np.ndarray, other: np.ndarray) -> float:
    i, j = np.nonzero(skin.normals[one] @ skin.normals[other].T < -NOMINAL)
    a, b = one[i], other[j]
    pairs = Pairs(skin.corners[a], skin.corners[b], skin.normals[a], skin.normals[b])
    near = pairs.at_least() < 8.0
    pairs = Pairs(*(each[near] for each in (pairs.one, pairs.other, pairs.normals, pairs.other_normals)))
    ways = between(pairs.one, pairs.other)
    return float(ways[0][pairs.through(ways, NOMINAL)].min())


# the demo ring, and what happens to it when a wall is thinned


@cache
def _demo() -> tuple[RingPlan, Recipe]:
    from mounts.kinds.kind import kind_of

    job = jobs_of("linnet-woofer")[0]
    plan = kind_of(job).plan(job)
    return plan, draw_ring(plan).recipe


def test_the_demo_ring_is_as_planned() -> None:
    """Every wall that the mesh shows agrees with the plan, or the plan asks for less than a third of it."""
    plan, recipe = _demo()
    found = wall_findings(mesh.build(recipe), plan.walls)
    assert [finding for finding in found if finding.verdict is not Verdict.PASS] == []
    named = {finding.what: finding for finding in found if finding.measured is not None and finding.closed_form}
    assert len(named) > 25
    for finding in named.values():
        assert finding.measured is not None
        assert finding.limit is not None
        if finding.measured < 3 * finding.limit:
            assert finding.measured == pytest.approx(finding.closed_form, abs=0.02), finding.what


def test_what_the_demo_ring_does_not_show() -> None:
    """The panel's opening and the seat's land are no walls of the part; the groove lies between recesses and bore."""
    plan, recipe = _demo()
    found = wall_findings(mesh.build(recipe), plan.walls)
    hidden = {finding.what for finding in found if finding.measured is None}
    recesses = {f"wall, recess {name} to bore" for name in "ABCD"}
    always = {"lip, gasket groove to opening", "speaker gasket's land inside its screws"}
    assert always <= hidden <= always | recesses
    assert {finding.code for finding in found if finding.measured is not None} >= {
        "wall.screw-bore",
        "wall.screw-outside",
        "wall.floor",
        "wall.path-bore",
        "wall.groove-bore",
        "wall.base",
        "wall.roof",
        "wall.hole-edge",
        "wall.tower",
        "wall.label",
        "seal.land",
    }


def test_exact_faces_tell_the_demo_ring_to_a_thousandth() -> None:
    plan, recipe = _demo()
    part = brep.build(recipe)
    found = thin_places(part, 3.0)
    told = {labels(place.between): place.thickness for place in found}
    assert told["bore", "gasket groove"] == pytest.approx(1.2, abs=1e-3)
    walls = {labels(wall.between): wall.thickness for wall in plan.walls}
    for number in "1234":
        screw = f"speaker screw {number}"
        assert told["bore", screw] == pytest.approx(walls[screw, "bore"], abs=0.01)
        assert told["tower", screw] == pytest.approx(walls[screw, "outside"], abs=0.01)


def _moved(body: Body, way: tuple[float, float]) -> Body:
    assert isinstance(body, Prism)
    return replace(body, outline=body.outline.moved(*way))


def _outward(recipe: Recipe, name: str, by: float) -> Recipe:
    """A pocket moved on the seat away from the seat's centre."""

    def change(body: Body) -> Body:
        assert isinstance(body, Prism)
        x, y = body.outline.arcs[0].centre
        return _moved(body, (by * x / np.hypot(x, y), by * y / np.hypot(x, y)))

    return _changed(recipe, name, change)


def _changed(recipe: Recipe, name: str, change) -> Recipe:  # type: ignore[no-untyped-def]
    features = [
        replace(feature, bodies=tuple(change(body) for body in feature.bodies))
        if feature.ident.label == name
        else feature
        for feature in recipe.features
    ]
    assert features != list(recipe.features)
    return replace(recipe, features=tuple(features))


def _deeper_recess(body: Body) -> Body:
    assert isinstance(body, Prism)
    return replace(body, high=body.high + 1.7)


def _wider_groove(body: Body) -> Body:
    assert isinstance(body, Prism)
    return replace(body, islands=tuple(offset_outline(island, -0.3) for island in body.islands))


def _lower_top(body: Body) -> Body:
    assert isinstance(body, Ruled)
    lowered = [s if k < 2 else replace(s, frame=s.frame.lifted(-1.1)) for k, s in enumerate(body.sections)]
    return Ruled(tuple(lowered))


MUTATIONS = {
    "a pocket 0.1 too far out": (lambda r: _outward(r, "speaker screw 3", 0.1), "speaker screw 3 to outside", 2.0),
    "a pocket 0.2 too far in": (lambda r: _outward(r, "speaker screw 2", -0.2), "speaker screw 2 to bore", 2.0),
    "a recess 1.7 too deep": (lambda r: _changed(r, "recess B", _deeper_recess), "roof over recess B", 2.9),
    "a groove 0.3 too wide": (lambda r: _changed(r, "gasket groove", _wider_groove), "gasket groove to bore", 0.9),
    "a base 1.1 too low": (lambda r: _changed(r, "base", _lower_top), "base thickness", 4.9),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_thinned_wall_of_the_demo_ring_is_found(name: str) -> None:
    change, what, wall = MUTATIONS[name]
    plan, recipe = _demo()
    found = wall_findings(mesh.build(change(recipe)), plan.walls)
    failing = [finding for finding in found if finding.verdict is Verdict.FAIL]
    assert {finding.code for finding in failing} > {"wall.disagreement"}
    thin = [finding for finding in failing if finding.code != "wall.disagreement"]  # what lies behind it may be thicker
    assert all(what in finding.what for finding in thin), [finding.what for finding in thin]
    assert thin[0].measured == pytest.approx(wall, abs=0.02)
    assert thin[0].closed_form is not None
    assert thin[0].limit is not None
    assert thin[0].closed_form > thin[0].limit - 1e-6 > wall
