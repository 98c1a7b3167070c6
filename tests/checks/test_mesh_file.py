"""Meshes from files: by themselves, and as the ring of a job; each way of spoiling a good one is caught."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from mounts.checks.mesh.walls import wall_findings
from mounts.checks.mesh_file import bare_mesh_findings, mesh_file_findings
from mounts.findings.report import Finding, Verdict
from mounts.geometry.distance import depths
from mounts.geometry.outline import circle
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.kinds.kind import plan
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.load.formats.mesh import mesh_part, read_mesh
from mounts.load.models.job import AimAngles
from mounts.load.resolve.job import load_job
from mounts.load.resolve.library import load_profile
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Feature, Recipe
from mounts.write.stl import stl_bytes
from tests.checks.rings import GOOD, JOBS, Ring, feature, redrawn, ring
from tests.idents import ident

PROFILES = JOBS.parent


def filed(part: Part, folder: Path) -> Part:
    """The part as whoever opens its STL has it."""
    path = folder / "part.stl"
    path.write_bytes(stl_bytes(part))
    return read_mesh(path)


def moved(part: Part, by: np.ndarray, scale: float = 1.0) -> Part:
    """The mesh turned by a matrix (3, 3) and scaled."""
    return mesh_part(part.name, scale * part.vertices @ by.T, part.triangles)


def told(made: Ring, part: Part) -> dict[str, Finding]:
    """What fails of a mesh as the ring of a job, by code."""
    found = mesh_file_findings(plan(made.job), made.part, part)
    return {one.code: one for one in found if one.verdict is Verdict.FAIL}


@pytest.fixture(params=GOOD)
def made(request: pytest.FixtureRequest) -> Ring:
    return ring(request.param)


def test_our_own_file_passes_as_the_ring_it_is(made: Ring, tmp_path: Path) -> None:
    part = filed(made.part, tmp_path)
    assert told(made, part) == {}
    codes = {one.code for one in mesh_file_findings(plan(made.job), made.part, part)}
    assert codes >= {"placed", "clear.trim", "hole.position", "seat.tilt", "wall.tower", "print.overhang", "solid.unit"}


def test_turned_on_the_bed_it_is_found_by_its_holes(made: Ring, tmp_path: Path) -> None:
    turn = np.radians(37.0)
    matrix = np.array([[np.cos(turn), -np.sin(turn), 0.0], [np.sin(turn), np.cos(turn), 0.0], [0.0, 0.0, 1.0]])
    found = mesh_file_findings(plan(made.job), made.part, moved(filed(made.part, tmp_path), matrix))
    assert [one.verdict for one in found if one.verdict is Verdict.FAIL] == []
    assert found[0].what == "place of the mesh on the panel: hole pattern, turned by 37.0 degrees anticlockwise"


def test_a_hole_moved_by_0_6(made: Ring, tmp_path: Path) -> None:
    name = made.plan.fixings[0].name
    (hole,) = feature(made, f"hole {name}").bodies
    part = redrawn(made, f"hole {name}", replace(hole, frame=hole.frame.shifted(0.6, 0.0)))  # type: ignore[type-var]
    assert "hole.position" in told(made, filed(part, tmp_path))


def test_a_raised_recess(made: Ring, tmp_path: Path) -> None:
    name = made.plan.fixings[0].name
    (recess,) = feature(made, f"recess {name}").bodies
    assert isinstance(recess, Prism)
    part = redrawn(made, f"recess {name}", replace(recess, high=recess.high + 0.6))
    assert "recess.depth" in told(made, filed(part, tmp_path))


def test_a_thinned_wall(made: Ring, tmp_path: Path) -> None:
    """The pocket that is nearest to the bore drawn nearer to it, by what is left over and 0.1."""
    walls = {wall.between[0].label: wall for wall in made.plan.walls if wall.code == "wall.screw-bore"}
    name, wall = min(walls.items(), key=lambda one: one[1].thickness)
    screw = next(one for one in made.plan.seat.screws if name == f"speaker screw {one.name}")
    by = -float(depths(made.plan.seat.bore, [screw.at])[0]) - screw.hole / 2 - wall.limit + 0.1
    (pocket,) = feature(made, name).bodies
    ahead, above = (1e-3, 0.0), (0.0, 1e-3)  # the way to the bore is that in which its depth grows
    places = [np.array(screw.at) + step for step in (ahead, np.negative(ahead), above, np.negative(above))]
    right, left, over, under = depths(made.plan.seat.bore, places)
    hx, hy = np.array([left - right, under - over]) / np.hypot(left - right, under - over)
    aside = replace(pocket, frame=pocket.frame.shifted(-by * hx, -by * hy))  # type: ignore[type-var]
    part = redrawn(made, name, aside)
    (named,) = [
        one for one in wall_findings(part, made.plan.walls) if one.between == wall.between and one.code == wall.code
    ]
    assert named.verdict is Verdict.FAIL
    assert named.measured == pytest.approx(wall.limit - 0.1, abs=0.05)
    found = told(made, filed(part, tmp_path))
    if by < 0.3:  # a surface further off than this is not taken for the plan's
        assert found["wall.screw-bore"].measured == pytest.approx(wall.limit - 0.1, abs=0.05)
    else:
        assert "hole.position" in found


def test_a_seat_half_a_degree_off(made: Ring, tmp_path: Path) -> None:
    seat = made.plan.seat
    tilt = seat.tilt - 0.5 if seat.tilt else 0.5
    job = replace(made.job, aim=AimAngles(tilt, seat.toward), height=seat.frame.origin[2], turn=seat.turn)
    part = mesh.build(draw_ring(plan_ring(job)).recipe, 96)
    assert "seat.tilt" in told(made, filed(part, tmp_path))


@pytest.mark.parametrize("name", ["linnet-woofer", "linnet-front-flush", "linnet-rear-three-holes"])
def test_the_other_sides_part(name: str, tmp_path: Path) -> None:
    left, right = ring(name), load_job(JOBS / f"{name}.yaml")[1]
    part = filed(mesh.build(draw_ring(plan_ring(right)).recipe, 96), tmp_path)
    found = told(left, part)
    assert set(found) & {"placed", "hand"}


@pytest.mark.parametrize(("scale", "words"), [(1.01, ""), (1 / 25.4, "scale of 25.4"), (25.4, "scale of 0.03937")])
def test_another_scale(made: Ring, scale: float, words: str, tmp_path: Path) -> None:
    found = told(made, moved(filed(made.part, tmp_path), np.eye(3), scale))
    assert set(found) & {"placed", "hole.position"}
    if words:
        assert words in found["placed"].advice


def test_a_facet_left_out(made: Ring, tmp_path: Path) -> None:
    part = filed(made.part, tmp_path)
    holed = mesh_part(part.name, part.vertices, part.triangles[1:])
    found = told(made, holed)
    assert set(found) == {"solid.watertight", "solid.unmeasured"}
    assert found["solid.unmeasured"].what == "place, walls and clearances are not checked"
    assert {one.code for one in bare_mesh_findings(holed) if one.verdict is Verdict.FAIL} == set(found)


def test_a_mesh_that_is_no_such_ring_says_why(tmp_path: Path) -> None:
    block = np.array([[x, y, z] for x in (0.0, 60.0) for y in (0.0, 60.0) for z in (0.0, 20.0)])
    faces = [(0, 2, 6, 4), (1, 5, 7, 3), (0, 4, 5, 1), (2, 3, 7, 6), (0, 1, 3, 2), (4, 6, 7, 5)]
    triangles = np.array([t for a, b, c, d in faces for t in ((a, b, c), (a, c, d))])
    part = mesh_part("block", block, triangles)
    if part.volume < 0:
        part = mesh_part("block", block, triangles[:, ::-1])
    found = told(ring("linnet-woofer"), part)
    assert set(found) == {"placed"}
    assert found["placed"].advice == (
        "none fits: 0 round holes on its base, the pattern has 4; nothing that depends on its place was checked"
    )


def test_by_itself_a_good_ring_passes_and_a_thin_one_fails(tmp_path: Path) -> None:
    good = bare_mesh_findings(filed(ring("linnet-woofer").part, tmp_path))
    assert [one.code for one in good if one.verdict is Verdict.FAIL] == []
    for wall, verdict in ((0.82, Verdict.PASS), (0.78, Verdict.FAIL)):
        tube = Feature(ident("tube"), (Prism(circle(60.0), 0.0, 20.0, islands=(circle(60.0 - 2 * wall),)),))
        part = filed(mesh.build(Recipe("tube", (tube,), 1), 512), tmp_path)
        (thin,) = [one for one in bare_mesh_findings(part) if one.code == "wall.thin"]
        assert thin.verdict is verdict
        assert thin.measured == pytest.approx(wall, abs=0.01)


def test_with_a_material_every_place_is_told_and_none_fails() -> None:
    pla = load_profile("material", PROFILES / "materials" / "pla.yaml").value
    asa = load_profile("material", PROFILES / "materials" / "asa.yaml").value
    part = ring("linnet-woofer").part
    hot = [one for one in bare_mesh_findings(part, pla) if one.code == "heat"]
    assert {one.verdict for one in hot} == {Verdict.WARN}
    assert len(hot) == 6
    bears = {one.what: one.verdict for one in bare_mesh_findings(part, asa) if one.code == "heat"}
    assert bears["service temperature of asa in a door"] is Verdict.PASS
    assert bears["service temperature of asa in a dash"] is Verdict.WARN
