"""What a program that imports `mounts` gets: the names, what they promise, and nothing heavy before it is used."""

from __future__ import annotations

import doctest
import re
import subprocess
import sys
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
import trimesh

import mounts

ROOT = Path(__file__).parents[1]
HEAVY = ("numpy", "yaml", "pydantic", "click", "cadquery", "OCP", "trimesh", "manifold3d")


@pytest.fixture(scope="module")
def made() -> mounts.Made:
    return mounts.make(mounts.load(ROOT / "profiles" / "jobs" / "linnet-woofer.yaml")[0])


def test_importing_it_imports_nothing_heavy() -> None:
    asked = f"import mounts, sys; print([name for name in {HEAVY} if name in sys.modules], dir(mounts))"
    told = subprocess.run([sys.executable, "-c", asked], cwd=ROOT, capture_output=True, text=True, check=True)
    assert told.stdout.strip() == f"[] {sorted(mounts.__all__)}"


def test_every_public_name_is_there_and_no_other() -> None:
    for name in mounts.__all__:
        assert getattr(mounts, name).__doc__, name
    with pytest.raises(AttributeError, match="has no attribute 'nothing'"):
        mounts.nothing  # noqa: B018


@pytest.mark.parametrize("name", ["mounts", "mounts.load"])
def test_docstrings_say_what_happens(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    module = sys.modules[name]
    finder = doctest.DocTestFinder(recurse=False)
    tests = finder.find(module)
    if name == "mounts.load":
        tests += finder.find(type(module).__call__, "mounts.load.__call__")
    ran = [doctest.DocTestRunner(optionflags=doctest.IGNORE_EXCEPTION_DETAIL).run(test) for test in tests]
    assert sum(one.attempted for one in ran) >= 3
    assert sum(one.failed for one in ran) == 0


def test_every_public_name_stands_in_an_example() -> None:
    examples = doctest.DocTestParser().get_examples(mounts.__doc__ or "")
    shown = {name for one in examples for name in re.findall(r"mounts\.(\w+)", one.source)}
    assert {name for name in mounts.__all__ if name != "__version__"} <= shown


def test_the_readme_says_what_happens(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    ran = doctest.testfile(str(ROOT / "README.md"), module_relative=False, optionflags=doctest.ELLIPSIS)
    assert ran.attempted >= 6
    assert ran.failed == 0


def test_solid_and_mesh_are_one_part(made: mounts.Made) -> None:
    assert isinstance(made.solid, cq.Solid)
    assert isinstance(made.mesh, trimesh.Trimesh)
    assert made.mesh is made.part.mesh
    with pytest.raises(ValueError, match="read-only"):
        made.mesh.vertices[0] = 0.0
    with pytest.raises(ValueError, match="immutable"):
        made.mesh.apply_scale(2.0)
    assert made.mesh.copy().apply_scale(2.0).volume == pytest.approx(8 * made.mesh.volume)
    assert made.solid.isValid()
    assert made.mesh.is_watertight
    assert made.solid.Volume() == pytest.approx(made.part.volume, rel=1e-6)  # cadquery's own figure
    assert made.mesh.volume == pytest.approx(made.solid.Volume(), rel=2e-3)  # triangles sag by 0.02 mm
    box = made.solid.BoundingBox()
    assert made.mesh.bounds == pytest.approx(
        np.array([[box.xmin, box.ymin, box.zmin], [box.xmax, box.ymax, box.zmax]]), abs=0.1
    )


def test_an_assembly_holds_part_and_all_that_was_measured_in_colours(made: mounts.Made) -> None:
    whole = made.assembly()
    assert isinstance(whole, cq.Assembly)
    assert [child.name for child in whole.children] == [
        "part",
        "speaker",
        "panel",
        "hardware",
        "glass",
        "trim",
        "grille",
        "things",
    ]
    assert len({child.color.toTuple() for child in whole.children}) == len(whole.children)
    children = {child.name: child.obj for child in whole.children}
    assert all(shape.isValid() for shape in children.values())
    assert children["glass"].distance(cq.Vertex.makeVertex(0, 60, -52)) == pytest.approx(0.0, abs=1.0)  # as it was read
    assert children["panel"].BoundingBox().zmax == pytest.approx(0.0, abs=1e-6)  # the face
    # what the clearances say by other means: nothing of the part is inside of what is round it
    for name in ("speaker", "glass", "trim", "grille", "things"):
        assert made.solid.intersect(children[name]).Volume() == pytest.approx(0.0, abs=1e-3), name


def test_wrong_input_says_what_and_where() -> None:
    with pytest.raises(mounts.InputError) as caught:
        mounts.load(ROOT / "profiles" / "jobs" / "no-such-job.yaml")
    (problem,) = caught.value.problems
    assert isinstance(problem, mounts.Problem)
    assert problem.file is not None
