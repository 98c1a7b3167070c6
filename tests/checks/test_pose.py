"""Where a mesh stands that was saved elsewhere: every pose of a ring found again, and what is said when none fits."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from mounts.checks.mesh.pose import find_pose, register_holes, residuals
from mounts.checks.mesh.walls import wall_findings
from mounts.checks.mesh_file import OTHER, name_features
from mounts.findings.report import Verdict
from mounts.geometry.frames import Array
from mounts.kernels import brep, mesh
from mounts.kernels.part import Part
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.kinds.ring.values import RingPlan
from mounts.load.formats.mesh import mesh_part
from tests.kinds.ring.conftest import jobs_of

JOBS = ("linnet-woofer", "linnet-rear-three-holes", "linnet-rear-oval")
OTHER_SIDE = "none fits: its holes are the mirror image; this is the part for the other side of the vehicle"


@cache
def _made(job: str, side: int = 0) -> tuple[RingPlan, Part]:
    plan = plan_ring(jobs_of(job)[side])
    return plan, mesh.build(draw_ring(plan).recipe)


def _turned(angle: float, axis: int = 2) -> Array:
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    turn = np.eye(3)
    i, j = ((1, 2), (2, 0), (0, 1))[axis]
    turn[i, i] = turn[j, j] = c
    turn[i, j], turn[j, i] = -s, s
    return turn


def _loaded(part: Part, turn: Array, shift: tuple[float, float, float] = (0.0, 0.0, 0.0), scale: float = 1.0) -> Part:
    """The part as an STL of it would load: single precision, no names."""
    moved = (scale * part.vertices @ turn.T + shift).astype(np.float32).astype(float)
    return mesh_part("loaded", moved, part.triangles)


POSES = {
    "print pose": (np.eye(3), (0.0, 0.0, 0.0)),
    "hole pattern, turned by 12.0 degrees clockwise": (_turned(-12.0), (30.0, -5.0, 4.0)),
    "hole pattern, turned by 100.0 degrees anticlockwise": (_turned(100.0), (0.0, 0.0, 0.0)),
    "hole pattern, turned by 180.0 degrees clockwise": (_turned(180.0), (0.0, 0.0, -3.0)),
    "hole pattern, shifted": (np.eye(3), (1.0, 2.0, 30.0)),
    "hole pattern, laid on its flat side": (_turned(90.0, 0) @ _turned(33.0), (1.0, 2.0, 3.0)),
}


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("word", POSES)
def test_every_pose_is_found_again(job: str, word: str) -> None:
    plan, part = _made(job)
    turn, shift = POSES[word]
    transform, told = find_pose(_loaded(part, turn, shift), plan)
    assert told == word
    assert transform is not None
    assert transform[:3, :3] @ transform[:3, :3].T == pytest.approx(np.eye(3), abs=1e-9)
    back = (part.vertices @ turn.T + shift) @ transform[:3, :3].T + transform[:3, 3]
    assert back == pytest.approx(part.vertices, abs=1e-3)


@pytest.mark.parametrize("job", JOBS)
def test_a_coarse_export_is_found_all_the_same(job: str) -> None:
    """Its small holes have twelve sides, which turn by 30 degrees."""
    plan, _ = _made(job)
    coarse = mesh.build(draw_ring(plan).recipe, 32)
    assert find_pose(_loaded(coarse, np.eye(3)), plan)[1] == "print pose"
    assert find_pose(_loaded(coarse, _turned(-12.0)), plan)[1] == "hole pattern, turned by 12.0 degrees clockwise"


def test_upside_down_is_laid_on_its_flat_side() -> None:
    plan, part = _made("linnet-woofer")
    transform, told = find_pose(_loaded(part, _turned(180.0, 0)), plan)
    assert told == "hole pattern, laid on its flat side"
    assert transform is not None
    assert transform[:3, :3] @ _turned(180.0, 0) == pytest.approx(np.eye(3), abs=1e-3)


def test_a_print_pose_of_its_own_comes_before_the_panel_frame() -> None:
    plan, part = _made("linnet-woofer")
    pose = np.eye(4)
    pose[:3, :3], pose[:3, 3] = _turned(90.0), (100.0, 80.0, 0.0)
    transform, told = find_pose(_loaded(part, pose[:3, :3], (100.0, 80.0, 0.0)), plan, pose)
    assert told == "print pose"
    assert transform is not None
    assert transform @ pose == pytest.approx(np.eye(4), abs=1e-12)
    assert find_pose(_loaded(part, np.eye(3)), plan, pose)[1] == "panel frame"


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize("angle", [0.0, 30.0])
def test_the_other_sides_part_is_told_as_such(job: str, angle: float) -> None:
    plan, _ = _made(job)
    _, other = _made(job, 1)
    assert find_pose(_loaded(other, _turned(angle)), plan) == (None, OTHER_SIDE)


@pytest.mark.parametrize(
    ("scale", "fits"), [(1.01, "print pose"), (1.05, "none fits: its holes would at a scale of 0.9524")]
)
def test_a_part_of_a_wrong_size(scale: float, fits: str) -> None:
    """A hundredth too large it still stands where it should, and the holes' own check says what is wrong."""
    plan, part = _made("linnet-woofer")
    assert find_pose(_loaded(part, np.eye(3), scale=scale), plan)[1] == fits


def test_inches() -> None:
    plan, part = _made("linnet-woofer")
    told = find_pose(_loaded(part, np.eye(3), scale=1 / 25.4), plan)
    assert told == (None, "none fits: its holes would at a scale of 25.4")


def test_a_part_of_another_panel() -> None:
    plan, _ = _made("linnet-woofer")
    _, other = _made("linnet-rear-oval")
    transform, told = find_pose(_loaded(other, np.eye(3)), plan)
    assert transform is None
    assert told == "none fits: its holes are no such pattern"


def test_a_part_with_too_few_holes() -> None:
    plan, _ = _made("linnet-woofer")
    box = mesh_part("box", 40 * np.array([(x, y, z) for x in (0.0, 1) for y in (0.0, 1) for z in (0.0, 1)]), BOX)
    assert find_pose(box, plan) == (None, "none fits: 0 round holes on its base, the pattern has 4")


BOX = np.array([int(k) for k in "013032467475045051237276026064157173"]).reshape(12, 3)


# patterns laid on each other

PATTERN = np.array([[58.0, 53.5], [58.5, -54.0], [-57.5, -53.0], [-58.0, 54.0]])


@pytest.mark.parametrize("turn", [-179.0, -64.5, 0.0, 12.0, 180.0])
def test_a_pattern_is_laid_among_other_holes(turn: float) -> None:
    away = np.concatenate([PATTERN, [[3.0, 4.0], [40.0, 2.0], [-9.0, 66.0]]])
    holes = (away - np.array([5.0, -7.0])) @ _turned(turn)[:2, :2]
    best = register_holes(holes, PATTERN, 2.0)[0]
    assert best.turn == pytest.approx(turn, abs=1e-9)
    assert best.off == pytest.approx(np.zeros(4), abs=1e-9)
    carried = np.column_stack([holes, np.zeros(7), np.ones(7)]) @ best.matrix.T
    assert carried[:, :2] == pytest.approx(away, abs=1e-9)


def test_a_hole_out_of_place_does_not_turn_the_rest() -> None:
    holes = PATTERN.copy()
    holes[2] += [0.6, 0.0]
    best = register_holes(holes, PATTERN, 2.0)[0]
    assert best.turn == pytest.approx(0.0, abs=1e-9)
    assert best.off == pytest.approx([0.0, 0.0, 0.6, 0.0], abs=1e-9)


def test_of_equal_ways_the_least_turn_is_taken() -> None:
    square = np.array([[50.0, 50.0], [50.0, -50.0], [-50.0, -50.0], [-50.0, 50.0]])
    ways = register_holes(square @ _turned(20.0)[:2, :2].T, square, 2.0)
    assert [round(way.turn, 6) for way in ways] == [-20.0, 70.0, -110.0, 160.0]


def test_what_is_further_off_than_wanted_is_not_laid() -> None:
    three = np.array([[43.5, -70.0], [-90.5, 11.0], [51.0, 62.0]])
    holes = three + np.array([[1.55, 0.0], [0.0, 0.0], [0.0, 0.0]])
    assert register_holes(holes, three, 0.5) == ()
    assert len(register_holes(holes, three, 1.6)) == 1
    assert register_holes(PATTERN[:1], PATTERN, 2.0) == ()
    assert residuals(np.zeros((0, 2)), PATTERN).tolist() == [np.inf] * 4


# names


def test_a_loaded_part_gets_the_names_of_the_plan() -> None:
    """The B-rep's triangles without their names, turned away, named after the mesh kernel's."""
    plan, planned = _made("linnet-woofer")
    part = brep.build(draw_ring(plan).recipe)
    loaded = _loaded(part, _turned(-12.0), (3.0, 4.0, 5.0))
    transform, _ = find_pose(loaded, plan)
    assert transform is not None
    named = name_features(loaded, planned, transform)
    assert named.features == (*part.features, OTHER)
    corners = part.vertices[part.triangles]
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    assert area[named.feature == part.feature].sum() > 0.999 * area.sum()
    assert named.vertices == pytest.approx(part.vertices, abs=1e-4)
    found = wall_findings(named, plan.walls)
    assert [finding.what for finding in found if finding.verdict is not Verdict.PASS] == []
    assert sum(finding.measured is not None for finding in found) > 25


def test_what_lies_on_no_planned_surface_is_unplanned() -> None:
    plan, planned = _made("linnet-woofer")
    moved = planned.vertices.copy()
    moved[moved[:, 2] > plan.base.thickness] += [0.0, 0.0, 1.0]
    named = name_features(mesh_part("raised", moved, planned.triangles), planned, np.eye(4))
    seat = named.vertices[named.triangles[named.feature == len(planned.features)]]
    assert len(seat) > 50
    assert seat[:, :, 2].max() > plan.base.thickness + 1.0
