"""Meshes of parts without a hole pattern, held against their jobs: how they stand, and what is wrong with them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from mounts import foreign
from mounts.checks.mesh.surface_fit import MIRRORED, OTHER, fit_surface
from mounts.checks.mesh_file import mesh_file_findings
from mounts.findings.report import Finding, PartReport, Verdict
from mounts.geometry.frames import Array
from mounts.geometry.outline import offset_outline, rectangle
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.kinds.kind import kind_called, kind_of, parts, plan
from mounts.load.formats.mesh import mesh_part, read_mesh
from mounts.load.models.job import Job
from mounts.load.resolve.job import load_job
from mounts.shape.primitives import Prism, Ruled
from mounts.shape.recipe import Feature, Recipe
from mounts.write.stl import stl_bytes
from tests.checks.test_pose import _turned as turned
from tests.idents import ident, pair
from tests.spacers import spacer

JOBS = Path(__file__).parents[2] / "profiles" / "jobs"
SLEEVE, CUP, HALVES = "linnet-port-slit", "linnet-dash-tweeter-press", "linnet-tailgate-halves"


@cache
def jobs_of(name: str) -> tuple[Job, ...]:
    """All parts of a job of the library."""
    return parts(load_job(JOBS / f"{name}.yaml"))


@cache
def drawn(name: str, number: int = 0) -> tuple[Recipe, Array]:
    """A part's recipe, and its print pose."""
    job = jobs_of(name)[number]
    kind = kind_of(job)
    plan = kind.plan(job)
    return kind.shape(plan).recipe, np.array(kind.pose(plan))


@cache
def made(name: str, number: int = 0, segments: int = 256) -> Part:
    """A part by the mesh kernel."""
    return mesh.build(drawn(name, number)[0], segments)


def loaded(part: Part, turn: Array, shift: Array | tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Part:
    """The part as an STL of it would load: single precision, no names."""
    return mesh_part("loaded", (part.vertices @ turn.T + shift).astype(np.float32).astype(float), part.triangles)


POSES: dict[str, Callable[[Array], tuple[Array, Array | tuple[float, float, float]]]] = {
    "print pose": lambda pose: (pose[:3, :3], pose[:3, 3]),
    "panel frame": lambda _: (np.eye(3), (0.0, 0.0, 0.0)),
    "by its surface, turned by 33.0 degrees anticlockwise": lambda p: (turned(33.0) @ p[:3, :3], (90.0, 80.0, 2.0)),
    "by its surface, laid on its flat side": lambda p: (turned(90.0, 0) @ turned(20.0) @ p[:3, :3], (1.0, 2.0, 3.0)),
}


@pytest.mark.parametrize("name", [SLEEVE, CUP, "linnet-seat-board"])
@pytest.mark.parametrize("word", POSES)
def test_every_pose_is_found_again(name: str, word: str) -> None:
    """The mesh has 96 chords to a circle, the planned part 256: off by the sag of a chord at most."""
    pose, part = drawn(name)[1], made(name, segments=96)
    turn, shift = POSES[word](pose)
    found = fit_surface(loaded(part, turn, shift), made(name), pose)
    assert found.word == (word if np.any(pose != np.eye(4)) or word != "panel frame" else "print pose")
    assert found.share > 0.95
    assert found.transform is not None
    assert found.transform[:3, :3] @ found.transform[:3, :3].T == pytest.approx(np.eye(3), abs=1e-9)
    back = (part.vertices @ turn.T + shift) @ found.transform[:3, :3].T + found.transform[:3, 3]
    assert back == pytest.approx(part.vertices, abs=0.02)


def test_a_mirror_image_is_told_as_such() -> None:
    pose, part = drawn(CUP)[1], made(CUP, 1, 96)
    other = loaded(part, pose[:3, :3], pose[:3, 3])
    assert fit_surface(other, made(CUP), pose, sided=True).word == OTHER
    assert fit_surface(other, made(CUP), pose).word == MIRRORED


@pytest.mark.parametrize(("scale", "word"), [(1 / 25.4, "scale of 25.4"), (1000.0, "scale of 0.001")])
def test_another_scale(scale: float, word: str) -> None:
    found = fit_surface(loaded(made(SLEEVE), scale * np.eye(3)), made(SLEEVE), drawn(SLEEVE)[1])
    assert found.transform is None
    assert found.word == f"none fits: its surface would at a {word}"


def test_another_part() -> None:
    found = fit_surface(made(CUP), made(SLEEVE), drawn(SLEEVE)[1])
    assert found.transform is None
    assert found.share < 0.1
    assert found.word == (
        "none fits: it is 15.6 × 52.6 × 70.7 large, the job's part 17.6 × 33.0 × 33.2; "
        f"at best {100 * found.share:.0f} % of its surface lies in place"
    )


def compared(part: Part, name: str, folder: Path, number: int = 0) -> tuple[PartReport, ...]:
    """What is said of a part's STL in print pose, held against its job as the command does."""
    path = folder / "part.stl"
    path.write_bytes(stl_bytes(part, tuple(map(tuple, drawn(name, number)[1]))))
    return foreign.check_mesh_as(read_mesh(path), load_job(JOBS / f"{name}.yaml")).parts


def failing(part: Part, name: str) -> dict[str, Finding]:
    """What fails of a part in print pose as the first part of a job."""
    job, pose = jobs_of(name)[0], drawn(name)[1]
    found = mesh_file_findings(plan(job), made(name), loaded(part, pose[:3, :3], pose[:3, 3]))
    assert found[0].what == "place of the mesh on the panel: print pose"
    return {one.code: one for one in found if one.verdict is Verdict.FAIL}


def redrawn(name: str, feature: str, change: Callable[[Feature], Feature]) -> Part:
    """A part with one feature drawn otherwise."""
    recipe = drawn(name)[0]
    assert feature in {one.ident.label for one in recipe.features}
    features = tuple(change(one) if one.ident.label == feature else one for one in recipe.features)
    return mesh.build(replace(recipe, features=features), 256)


@pytest.mark.parametrize(
    ("name", "codes"),
    [
        (SLEEVE, {"placed", "size.bore", "size.sleeve", "wall.sleeve", "print.overhang", "hold.push-in"}),
        (CUP, {"placed", "clear.room", "hole.place", "seat.tilt", "wall.cup", "press.strain", "print.overhang"}),
        ("linnet-seat-board", {"placed", "hole.position", "wall.plate", "load.sag", "print.overhang"}),
        ("linnet-front-sheet", {"placed", "hole.position", "clear.glass", "wall.web", "edges"}),
    ],
)
def test_our_own_file_passes_as_the_part_that_it_is(name: str, codes: set[str], tmp_path: Path) -> None:
    report = compared(made(name), name, tmp_path)[0]
    assert [one.what for one in report.findings if one.verdict is Verdict.FAIL] == []
    assert {one.code for one in report.findings} >= codes
    assert report.side == jobs_of(name)[0].part
    assert report.findings[0].what == "place of the mesh on the panel: print pose"
    assert report.findings[0].measured == pytest.approx(100.0, abs=2.0)


def test_each_part_of_a_job_is_found(tmp_path: Path) -> None:
    """A foot among board and foot, the right cup among both."""
    (foot,) = compared(made("linnet-boot-board", 1), "linnet-boot-board", tmp_path, 1)
    assert (foot.side, foot.verdict) == ("foot", Verdict.PASS)
    (right,) = compared(made(CUP, 1), CUP, tmp_path, 1)
    assert right.side == "right"


@pytest.mark.parametrize(("wider", "codes"), [(0.04, set()), (0.06, {"size.bore"}), (0.5, {"size.bore"})])
def test_a_bore_drawn_wider(wider: float, codes: set[str], tmp_path: Path) -> None:
    """By so much a side: a twentieth is allowed, and half a millimetre is still known for a bore."""
    job = spacer(tmp_path)
    plan = kind_called("spacer", "print").plan(job)
    recipe = kind_called("spacer", "print").shape(plan).recipe
    bores = [one for one in recipe.features if one.ident.label == "bore"]
    (bore,) = bores[0].bodies
    assert isinstance(bore, Ruled)
    wide = replace(
        bore, sections=tuple(replace(one, outline=offset_outline(one.outline, wider)) for one in bore.sections)
    )
    features = tuple(Feature(ident("bore"), (wide,), cut=True) if one in bores else one for one in recipe.features)
    path = tmp_path / "part.stl"
    path.write_bytes(stl_bytes(mesh.build(replace(recipe, features=features), 512)))
    (report,) = foreign.check_mesh_as(read_mesh(path), (job,)).parts
    told = {one.code: one for one in report.findings}
    assert told["placed"].what == "place of the mesh on the panel: panel frame"
    assert {code for code in ("size.bore", "size.sleeve") if told[code].verdict is Verdict.FAIL} == codes
    assert told["size.bore"].measured == pytest.approx(told["size.bore"].closed_form + wider, abs=2e-3)


def test_a_slit_that_was_closed(tmp_path: Path) -> None:
    recipe = drawn(SLEEVE)[0]
    open_ = [one for one in recipe.features if one.ident.label != "slit"]
    assert len(open_) == len(recipe.features) - 1
    (report,) = compared(mesh.build(replace(recipe, features=tuple(open_), genus=1)), SLEEVE, tmp_path)
    (holes,) = [one for one in report.findings if one.code == "solid.holes"]
    assert (holes.verdict, holes.measured, holes.closed_form) == (Verdict.WARN, 1.0, 0.0)


@pytest.mark.parametrize(("aside", "codes"), [(0.03, set()), (0.08, {"hole.place"})])
def test_a_pin_hole_drawn_aside(aside: float, codes: set[str]) -> None:
    """On the only pin hole that is neither locator nor slot a twentieth is allowed."""

    def change(hole: Feature) -> Feature:
        (body,) = hole.bodies
        assert isinstance(body, Ruled)
        moved = tuple(replace(one, outline=one.outline.moved(aside, 0.0)) for one in body.sections)
        return replace(hole, bodies=(replace(body, sections=moved),))

    recipe = drawn(CUP)[0]
    name = next(one.ident.label for one in recipe.features if one.ident.label.startswith("hole "))
    found = failing(redrawn(CUP, name, change), CUP)
    assert set(found) & {"hole.place", "hole.lost"} == codes


def test_a_cup_that_is_deeper_than_its_room() -> None:
    """A block on its back, 20 further: clearances are those of the mesh."""
    recipe = drawn(CUP)[0]
    low = made(CUP).vertices[:, 2].min()
    block = Prism(rectangle(6.0, 6.0, 0.0).moved(15.0, 0.0), low - 20.0, low + 8.0)
    part = mesh.build(replace(recipe, features=(*recipe.features, Feature(ident("block"), (block,)))))
    found = failing(part, CUP)
    assert "clear.disagreement" in found
    assert found["clear.disagreement"].between == pair("cup", "room's end")


def test_a_half_of_a_ring_is_checked_as_a_half() -> None:
    job = jobs_of(HALVES)[1]
    pose = drawn(HALVES, 1)[1]
    part = loaded(made(HALVES, 1), pose[:3, :3], pose[:3, 3])
    found = mesh_file_findings(plan(job), made(HALVES, 1), part)
    assert [one.what for one in found if one.verdict is Verdict.FAIL] == []
    assert {one.code for one in found} >= {"placed", "hole.position", "wall.least", "fit.halves", "print.overhang"}
    (alone,) = [one for one in found if one.code == "solid.unmeasured"]
    assert alone.what == "clearances, screws and loads of the ring not checked: this is half b alone"
    assert alone.advice == "check a mesh of both halves joined to one solid against this job"


def test_a_half_fits_itself_better_than_the_other() -> None:
    pose, part = drawn(HALVES, 0)[1], made(HALVES, 0)
    own, other = (fit_surface(loaded(part, np.eye(3)), made(HALVES, number), pose) for number in (0, 1))
    assert own.word == "panel frame"
    assert own.share > 0.99
    assert other.share < 0.9
