"""Meshes of every kind of unsoundness: each is told by its own finding, and where."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.soundness import buried_share, mesh_findings, winding_numbers
from mounts.findings.report import Finding, Verdict
from mounts.geometry.outline import circle
from mounts.kernels import brep, mesh
from mounts.kernels.part import Part
from mounts.load.formats import stl
from mounts.load.formats.mesh import mesh_part, read_mesh
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Feature, Recipe
from tests.idents import ident
from tests.kernels.ring import ring

REPAIR = "repair it where it was drawn, or with a slicer's repair, and check again"


def _part(*solids: trimesh.Trimesh) -> Part:
    starts = np.cumsum([0, *(len(solid.vertices) for solid in solids)])
    faces = [solid.faces + start for solid, start in zip(solids, starts, strict=False)]
    return mesh_part(
        "part", np.concatenate([s.vertices for s in solids]).astype(float), np.concatenate(faces).astype(int)
    )


def _ball(size: float = 40.0, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> trimesh.Trimesh:
    ball = trimesh.creation.icosphere(subdivisions=2, radius=size / 2)
    ball.apply_translation(at)
    return ball


def _wrong(part: Part) -> dict[str, Finding]:
    return {finding.code: finding for finding in mesh_findings(part) if finding.verdict is not Verdict.PASS}


def _without(part: Part, *triangles: int) -> Part:
    left = np.delete(part.triangles, triangles, axis=0)
    return mesh_part(part.name, part.vertices, left)


def _flipped(part: Part, triangles: slice | list[int]) -> Part:
    turned = part.triangles.copy()
    turned[triangles] = turned[triangles][:, ::-1]
    return mesh_part(part.name, part.vertices, turned)


@pytest.mark.parametrize("build", [brep.build, mesh.build])
def test_what_the_kernels_make_is_sound(build) -> None:  # type: ignore[no-untyped-def]
    found = mesh_findings(build(ring("wall")))
    assert [finding.code for finding in found] == ["solid.watertight", "solid.oriented", "solid.one", "solid.unit"]
    assert {finding.verdict for finding in found} == {Verdict.PASS}
    assert [finding.measured for finding in found[:3]] == [0.0, 0.0, 1.0]


def test_open_edges_are_counted_by_gaps() -> None:
    part = _without(_part(_ball()), 0, 200)
    found = _wrong(part)
    assert set(found) == {"solid.watertight"}
    watertight = found["solid.watertight"]
    assert (watertight.verdict, watertight.measured, watertight.limit) == (Verdict.FAIL, 6.0, 0.0)
    assert watertight.advice.startswith("6 edges of 2 gaps open, the first at (")
    assert watertight.advice.endswith(f"): {REPAIR}")
    assert watertight.at is not None
    assert np.linalg.norm(watertight.at) == pytest.approx(20.0, abs=1.0)


def test_one_facet_less_is_one_gap() -> None:
    assert _wrong(_without(_part(_ball()), 7))["solid.watertight"].advice.startswith("3 edges of 1 gap open, the first")


def test_two_bodies_that_share_an_edge() -> None:
    box = trimesh.creation.box((20.0, 20.0, 20.0))
    other = box.copy()
    other.apply_translation((20.0, 20.0, 0.0))
    corners = np.concatenate([box.triangles, other.triangles])
    vertices, index = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    found = _wrong(mesh_part("two", vertices, index.reshape(-1, 3)))
    assert found["solid.watertight"].advice.startswith("1 edge with more than two facets, the first at (10.0, 10.0, ")


@pytest.mark.parametrize("many", [1, 5])
def test_flipped_facets_are_counted(many: int) -> None:
    part = _flipped(_part(_ball()), [3, 60, 90, 120, 150][:many])
    found = _wrong(part)
    assert set(found) == {"solid.oriented"}
    assert (found["solid.oriented"].verdict, found["solid.oriented"].measured) == (Verdict.FAIL, float(many))
    assert found["solid.oriented"].advice.startswith(f"{many} facet{'s' * (many > 1)} flipped, the first at (")
    middle = part.vertices[part.triangles[3]].mean(axis=0)
    assert found["solid.oriented"].at == pytest.approx(tuple(middle))


def test_flipped_facets_are_the_fewer_even_beside_each_other() -> None:
    found = _wrong(_flipped(_part(_ball()), slice(0, 100)))
    assert found["solid.oriented"].measured == 100.0


def test_a_mesh_that_is_inside_out() -> None:
    part = _flipped(_part(_ball()), slice(None))
    found = _wrong(part)["solid.oriented"]
    assert found.measured == len(part.triangles)
    assert found.advice.startswith("the mesh is inside out, the first at (")


def test_two_lumps() -> None:
    found = _wrong(_part(_ball(), _ball(20.0, (80.0, 0.0, 0.0))))
    assert set(found) == {"solid.one"}
    assert (found["solid.one"].verdict, found["solid.one"].measured) == (Verdict.FAIL, 2.0)
    assert found["solid.one"].advice == "2 lumps, the second at (80.0, 0.0, 0.0): join them, or check each by itself"


def test_a_lump_that_is_inside_out_beside_a_good_one() -> None:
    far = _ball(20.0, (80.0, 0.0, 0.0))
    far.invert()
    found = _wrong(_part(_ball(), far))
    assert set(found) == {"solid.one", "solid.oriented"}
    assert found["solid.oriented"].measured == len(far.faces)


def test_a_hollow_inside() -> None:
    hollow = _ball(20.0)
    hollow.invert()
    found = _wrong(_part(_ball(), hollow))
    assert set(found) == {"solid.one"}
    assert found["solid.one"].advice.startswith("1 lump and 1 hollow, the second at (")


@pytest.mark.parametrize(
    ("size", "advice"),
    [
        (9.99, "its greatest size is 9.99: it looks like inches (253.7 mm); scale it"),
        (0.165, "its greatest size is 0.165: it looks like inches (4.191 mm) or metres (165 mm); scale it"),
        (1000.5, "its greatest size is 1000: it looks scaled from inches twice (39.39 mm); scale it"),
    ],
)
def test_units_are_doubted(size: float, advice: str) -> None:
    found = _wrong(_part(_ball(size)))
    assert set(found) == {"solid.unit"}
    assert (found["solid.unit"].verdict, found["solid.unit"].advice) == (Verdict.WARN, advice)


@pytest.mark.parametrize("size", [10.03, 999.5])
def test_units_are_not_doubted(size: float) -> None:
    assert _wrong(_part(_ball(size))) == {}


def test_facets_of_no_area() -> None:
    ball = _part(_ball())
    fallen = np.concatenate([ball.triangles, [[4, 4, 9], [7, 7, 7]]])
    found = _wrong(mesh_part("part", ball.vertices, fallen))
    assert set(found) == {"solid.facets"}
    assert (found["solid.facets"].verdict, found["solid.facets"].measured) == (Verdict.WARN, 2.0)
    assert found["solid.facets"].advice.endswith("; most slicers drop them")


def test_bodies_that_overlap() -> None:
    """Two balls of 40 whose centres are 30 apart: each has 12.5 % of its surface in the other (a cap 5 high of 40)."""
    found = _wrong(_part(_ball(), _ball(40.0, (30.0, 0.0, 0.0))))
    assert set(found) == {"solid.one", "solid.crossing"}
    assert found["solid.crossing"].verdict is Verdict.WARN
    assert found["solid.crossing"].measured == pytest.approx(12.5, abs=1.5)
    assert found["solid.crossing"].at is not None


def test_one_surface_that_runs_through_itself() -> None:
    torus = trimesh.creation.torus(20.0, 8.0)
    folded = torus.vertices.copy()
    folded[:, 0] = np.where(folded[:, 0] > 0, folded[:, 0] - 30.0, folded[:, 0])
    found = _wrong(mesh_part("folded", folded, np.asarray(torus.faces, dtype=np.int64)))
    assert set(found) == {"solid.crossing"}


def test_windings_by_place() -> None:
    skin = Skin.of(_part(_ball(), _ball(40.0, (30.0, 0.0, 0.0))))
    places = np.array([[-10.0, 0.0, 0.0], [15.0, 0.0, 0.0], [40.0, 3.0, 0.0], [60.0, 0.0, 0.0], [15.0, 18.0, 0.0]])
    ways = np.tile([0.6, 0.64, 0.48], (5, 1))
    assert winding_numbers(skin, places, ways).tolist() == [1, 2, 1, 0, 0]
    assert buried_share(Skin.of(_part(_ball()))) == (0.0, None)


def _torus(around: int, across: int) -> tuple[np.ndarray, np.ndarray]:
    """A torus of 100 and 30: vertices, and two triangles for each of around × across places."""
    u, v = np.meshgrid(np.arange(around), np.arange(across), indexing="ij")
    far, up = (50 + 15 * np.cos(2 * np.pi * v / across), 15 * np.sin(2 * np.pi * v / across))
    turn = 2 * np.pi * u / around
    vertices = np.stack([far * np.cos(turn), far * np.sin(turn), up], axis=2).reshape(-1, 3)
    a, b = u * across + v, (u + 1) % around * across + v
    c, d = (u + 1) % around * across + (v + 1) % across, u * across + (v + 1) % across
    return vertices, np.stack([a, b, c, a, c, d], axis=2).reshape(-1, 3)


def test_a_million_facets_from_file_to_findings(tmp_path: Path) -> None:
    """Source: the volume of a torus, 2π²·R·r², and that of polygons in place of its two circles."""
    vertices, triangles = _torus(1250, 400)
    facets = np.zeros(len(triangles), stl.RECORD)
    facets["corners"] = vertices[triangles]
    path = tmp_path / "torus.stl"
    path.write_bytes(bytes(80) + len(facets).to_bytes(4, "little") + facets.tobytes())
    part = read_mesh(path)
    assert (len(part.triangles), len(part.vertices)) == (1_000_000, 500_000)
    assert (part.solids, part.shells, part.genus, part.face.max()) == (1, 1, 1, 0)
    assert part.volume == pytest.approx(2 * np.pi**2 * 50 * 15**2, rel=1e-4)
    assert [finding.verdict for finding in mesh_findings(part)] == [Verdict.PASS] * 4


def test_one_facet_missing_of_very_many_is_found() -> None:
    found = _wrong(_without(mesh_part("torus", *_torus(500, 200)), 123_456))
    assert set(found) == {"solid.watertight"}
    assert found["solid.watertight"].measured == 3.0


def test_a_single_facet_has_no_inside_to_speak_of() -> None:
    found = _wrong(mesh_part("one", np.eye(3) * 50.0, np.array([[0, 1, 2]])))
    assert set(found) == {"solid.watertight"}


def test_a_part_in_the_wrong_place_is_none_the_less_sound() -> None:
    """Volumes are taken about the part's own middle, so that distance does not matter."""
    tube = Recipe("tube", (Feature(ident("tower"), (Prism(circle(60.0), 0.0, 30.0),)),), 0)
    part = mesh.build(tube)
    assert _wrong(replace(part, vertices=part.vertices + np.array([9000.0, -7000.0, 4000.0]))) == {}
