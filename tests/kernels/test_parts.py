"""What holds of every part, whichever kernel made it: closed triangles, each with the name of the feature it shows."""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import numpy as np
import pytest
from numpy.typing import NDArray

from mounts.errors import KernelError
from mounts.geometry.frames import PANEL, Frame
from mounts.geometry.outline import Arc, Line, Outline, circle, polygon, rectangle
from mounts.kernels import brep, mesh
from mounts.kernels.part import Part
from mounts.shape.primitives import Body, Prism, Revolved
from mounts.shape.recipe import Recipe
from tests.kernels.bank import CASES, recipe, ruled
from tests.kernels.glyphs import GLYPHS
from tests.kernels.ring import BASE, POCKETS_AT, SEAT, SUNK, TEXT, ring

Build = Callable[[Recipe], Part]
KERNELS = [pytest.param(brep.build, id="brep"), pytest.param(mesh.build, id="mesh")]


@pytest.fixture(scope="module", params=KERNELS)
def rings(request: pytest.FixtureRequest) -> dict[str, Part]:
    return {label: request.param(ring(label)) for label in ("base", "wall")}


@pytest.mark.parametrize("build", KERNELS)
@pytest.mark.parametrize("name", ["8 holes", "sharp", "twisted", "revolved", "letters", "ring wall"])
def test_triangles_close_and_carry_the_part(build: Build, name: str) -> None:
    part = build(CASES[name].recipe)
    count = len(part.vertices)
    start, end = part.triangles.ravel(), np.roll(part.triangles, -1, axis=1).ravel()
    there, back = np.sort(start * count + end), np.sort(end * count + start)
    assert np.array_equal(there, back)
    assert len(np.unique(there)) == len(there)  # every edge has one neighbour, not three
    assert len(np.unique(part.vertices.round(7), axis=0)) == count
    assert np.array_equal(np.unique(part.triangles), np.arange(count))
    a, b, c = (part.vertices[part.triangles[:, k]] for k in range(3))
    inside = np.einsum("ij,ij->", a, np.cross(b, c)) / 6
    assert inside == pytest.approx(part.volume, rel=3e-3 if part.kernel == "brep" else 1e-9)
    assert (part.solids, part.shells) == (1, 1)
    assert part.genus == CASES[name].recipe.genus == 1 - (count - len(part.triangles) // 2) // 2


@pytest.mark.parametrize("build", KERNELS)
def test_every_face_belongs_to_one_feature_and_every_feature_shows(build: Build) -> None:
    part = build(ring("wall"))
    pairs = np.unique(np.stack([part.face, part.feature]), axis=1)
    assert np.array_equal(pairs[0], np.arange(part.face.max() + 1))
    assert np.array_equal(np.unique(part.feature), np.arange(len(part.features)))


def _names_on(part: Part, on: Callable[[NDArray[np.float64]], NDArray[np.bool_]]) -> tuple[set[str], float]:
    """Features of the triangles whose corners all lie on a surface, and the triangles' area."""
    there = np.all(on(part.vertices)[part.triangles], axis=1)
    a, b, c = (part.vertices[part.triangles[there, k]] for k in range(3))
    area = float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)
    return {part.features[k].label for k in np.unique(part.feature[there])}, area


def _on_cylinder(frame: Frame, diameter: float, low: float, high: float) -> Callable[..., NDArray[np.bool_]]:
    def on(vertices: NDArray[np.float64]) -> NDArray[np.bool_]:
        x, y, z = frame.into(vertices).T
        return (np.abs(np.hypot(x, y) - diameter / 2) < 1e-6) & (z > low - 1e-6) & (z < high + 1e-6)

    return on


def test_bore_and_pockets_are_named_where_they_show(rings: dict[str, Part]) -> None:
    for part in rings.values():
        names, area = _names_on(part, _on_cylinder(SEAT, 117.0, -8.0, 0.0))
        assert names == {"bore"}
        assert area == pytest.approx(pi * 117.0 * 8.0, rel=2e-3)
        for k, at in enumerate(POCKETS_AT):
            names, area = _names_on(part, _on_cylinder(SEAT.shifted(*at), 5.6, -8.0, -0.6))
            assert names == {f"pocket {k}"}
            wall, floor = pi * 5.6 * 7.4, pi * 5.6**2 / 4  # the floor's triangles may have all their corners on its rim
            assert min(abs(area - wall), abs(area - wall - floor)) < 0.01 * wall


def test_groove_and_label_are_named_where_they_show(rings: dict[str, Part]) -> None:
    part = rings["base"]
    names, area = _names_on(part, lambda vertices: np.abs(vertices[:, 2] - 1.8) < 1e-6)
    assert names == {"groove"}
    assert area == pytest.approx(pi / 4 * (134.0**2 - 125.0**2), rel=1e-3)
    names, area = _names_on(part, lambda vertices: np.abs(vertices[:, 2] - (BASE - SUNK)) < 1e-6)
    assert names == {"label"}
    glyphs = sum(GLYPHS[letter][0].area - sum(o.area for o in GLYPHS[letter][1:]) for letter in TEXT)
    assert area == pytest.approx(glyphs, rel=2e-3)
    names, _ = _names_on(part, lambda vertices: np.abs(vertices[:, 2]) < 1e-6)
    assert names == {"base"}


TIP = Outline((Arc((0.0, 0.0), 0.0, 0.0, 360.0),))
CLOCKWISE = Outline((Line((0.0, 0.0), (0.0, 4.0)), Line((0.0, 4.0), (4.0, 0.0)), Line((4.0, 0.0), (0.0, 0.0))))
IMPOSSIBLE: dict[str, tuple[Body, str]] = {
    "no height": (Prism(circle(4.0), 3.0, 3.0), "from 3.000 up to 3.000"),
    "upside down": (Prism(circle(4.0), 3.0, 1.0), "from 3.000 up to 1.000"),
    "clockwise": (Prism(CLOCKWISE, 0.0, 1.0), "-8 mm²"),
    "a point": (Prism(TIP, 0.0, 1.0), "0 mm²"),
    "one section": (ruled((PANEL, circle(4.0))), "1 section"),
    "unlike spans": (ruled((PANEL, circle(4.0)), (PANEL.lifted(2.0), rectangle(4.0, 4.0, 1.0))), "8 spans"),
    "sections that go down": (ruled((PANEL.lifted(2.0), circle(4.0)), (PANEL, circle(4.0))), "encloses"),
    "unlike sweeps": (
        ruled(
            (PANEL, Outline((Arc((0.0, 0.0), 4.0, 0.0, 180.0), Line((-2.0, 0.0), (2.0, 0.0))))),
            (PANEL.lifted(2.0), Outline((Arc((0.0, 0.0), 4.0, 0.0, 170.0), Line((-1.97, 0.35), (2.0, 0.0))))),
        ),
        "170",
    ),
    "falling profile": (Revolved(PANEL, ((0.0, 4.0), (2.0, 4.0), (1.0, 3.0))), "(1.0, 3.0)"),
    "negative diameter": (Revolved(PANEL, ((0.0, 4.0), (2.0, -4.0))), "(2.0, -4.0)"),
    "pinched": (Revolved(PANEL, ((0.0, 4.0), (2.0, 0.0), (4.0, 4.0))), "(2.0, 0.0)"),
    "a needle": (Revolved(PANEL, ((0.0, 0.0), (2.0, 0.0))), "(2.0, 0.0)"),
}


@pytest.mark.parametrize("build", KERNELS)
@pytest.mark.parametrize("what", IMPOSSIBLE)
def test_impossible_bodies_are_refused_by_name_and_value(build: Build, what: str) -> None:
    body, value = IMPOSSIBLE[what]
    drawn = recipe("odd", 0, (Prism(circle(40.0), 0.0, 5.0),), pocket_3=body)
    with pytest.raises(KernelError) as caught:
        build(drawn)
    assert "part odd" in str(caught.value)
    assert "feature pocket_3" in str(caught.value)
    assert value in str(caught.value)


@pytest.mark.parametrize("build", KERNELS)
def test_a_part_of_nothing_is_refused(build: Build) -> None:
    with pytest.raises(KernelError, match="part void: no feature adds material"):
        build(Recipe("void", (), 0))


@pytest.mark.parametrize("build", KERNELS)
def test_spans_of_no_length_are_skipped(build: Build) -> None:
    corners = [(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0)]
    plain = polygon(corners)
    points = [Line(p, p) for p in corners]
    dots = [Arc(p, 0.0, -90.0 + 90.0 * k, 90.0) for k, p in enumerate(corners)]
    padded = [span for line, point, dot in zip(plain.spans, points, dots, strict=True) for span in (dot, point, line)]
    for body in (
        Prism(Outline(tuple(padded)), 0.0, 2.0),
        ruled((PANEL, Outline(tuple(padded))), (PANEL.lifted(2.0), Outline(tuple(padded)))),
    ):
        part = build(recipe("padded", 0, (body,)))
        assert part.volume == pytest.approx(48.0, abs=1e-9)
        assert len(np.unique(part.face)) == 6


def test_the_same_recipe_gives_the_same_triangles() -> None:
    one, other = (mesh.build(ring("wall"), 96) for _ in range(2))
    assert np.array_equal(one.vertices, other.vertices)
    assert np.array_equal(one.triangles, other.triangles)
    one, other = (brep.build(ring("wall")) for _ in range(2))
    assert np.array_equal(one.vertices, other.vertices)
    assert np.array_equal(one.feature, other.feature)


def test_triangles_of_the_real_part_keep_their_sag() -> None:
    """Corners lie on the cone itself; middles of triangles no further from it than was asked."""
    for sag in (0.1, 0.02, 0.005):
        part = brep.build(CASES["frustum"].recipe, sag=sag, turn=0.5)
        middles = part.vertices[part.triangles].mean(axis=1)
        inside = (middles[:, 2] > 1e-6) & (middles[:, 2] < 15.0 - 1e-6)
        slope = (20.0 - 12.0) / 15.0
        away = (20.0 - slope * middles[:, 2] - np.hypot(*middles[:, :2].T)) / np.hypot(1.0, slope)
        assert away[inside].max() <= sag
        assert away[inside].min() > -1e-9
        assert np.abs(20.0 - slope * part.vertices[:, 2] - np.hypot(*part.vertices[:, :2].T)).max() < 1e-9
