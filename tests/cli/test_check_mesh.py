"""`mounts check` of a mesh file, as a person would type it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from mounts.kernels import mesh
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.load.resolve.job import load_job
from mounts.write.stl import stl_bytes

DEMO = Path(__file__).parents[2] / "profiles" / "jobs" / "linnet-woofer.yaml"


@pytest.fixture(scope="module")
def right(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's right-hand ring as an STL file."""
    job = load_job(DEMO)[1]
    path = tmp_path_factory.mktemp("mesh") / "ring.stl"
    path.write_bytes(stl_bytes(mesh.build(draw_ring(plan_ring(job)).recipe, 96)))
    return path


def test_a_mesh_by_itself(run, right):
    done = run("check", right, "--all")
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("ring: ")
    assert "greatest size, in mm if the file means mm" in done.out
    assert "the picture" not in done.out  # none was made


def test_a_mesh_of_a_job_says_which_side_it_is(run, right):
    done = run("check", right, "--job", DEMO, "--json")
    assert done.code == 0
    told = json.loads(done.out)
    assert [part["side"] for part in told["parts"]] == ["right"]
    assert told["job"] == "ring"
    codes = {one["code"]: one for one in told["parts"][0]["findings"]}
    assert codes["placed"]["what"] == "place of the mesh on the panel: print pose"
    assert codes["clear.glass"]["measured"] is not None
    assert told["parts"][0]["cautions"]


def test_another_material_is_taken_for_the_jobs(run, right):
    done = run("check", right, "--job", DEMO, "--material", "pla")
    assert done.code == 1
    assert "FAIL     service temperature of pla in a door" in done.out


def test_a_material_that_is_not_there_says_which_are(run, right):
    done = run("check", right, "--material", "asb")
    assert done.code == 2
    assert 'no material "asb" here or in what is shipped; did you mean "asa"?' in done.err


def test_a_job_has_its_own_material(run):
    done = run("check", DEMO, "--material", "pla")
    assert done.code == 2
    assert "--job and --material go with a mesh file" in done.err


def test_no_mesh_and_no_such_file(run, tmp_path):
    (tmp_path / "words.stl").write_text("no mesh at all", "utf-8")
    done = run("check", tmp_path / "words.stl")
    assert done.code == 2
    assert done.err.count("\n") == 1
    missing = run("check", tmp_path / "none.stl")
    assert (missing.code, missing.err) == (2, f"{tmp_path / 'none.stl'} there is no file none.stl\n")


def test_a_ring_is_no_ring_cut_from_sheet(run, right):
    done = run("check", right, "--job", DEMO.with_name("linnet-front-sheet.yaml"))
    assert done.code == 1
    assert "place of the mesh on the panel" in done.out
    assert "none fits: it is 31.4" in done.out


def test_a_name_in_capitals_is_a_mesh_too(run, right, tmp_path):
    shutil.copy(right, tmp_path / "RING.STL")
    assert run("check", tmp_path / "RING.STL").code == 0
