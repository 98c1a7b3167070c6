"""Errors of the CAD kernel, and of its import, told in one line."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from mounts.errors import KernelError
from mounts.geometry.outline import circle
from mounts.kernels import brep, tessellation
from mounts.kernels.cad import OCP, kernel_step, missing_library
from mounts.shape.primitives import Prism
from tests.kernels.bank import recipe

JOB = Path(__file__).parents[2] / "profiles" / "jobs" / "linnet-woofer.yaml"


def test_a_kernel_error_names_part_step_and_values() -> None:
    with pytest.raises(KernelError) as caught, kernel_step("left", "fillet", radius=3.5, edges=2):
        OCP.gp.gp_Dir(0.0, 0.0, 0.0)
    assert str(caught.value) == "part left, fillet (radius 3.5, edges 2): gp_Dir() - input vector has zero norm"
    assert type(caught.value.__cause__).__name__ == "Standard_ConstructionError"


def test_an_error_of_ours_is_not_wrapped_twice_and_a_mistake_is_not_hidden() -> None:
    with pytest.raises(KernelError, match=r"^as it was$"), kernel_step("left", "cut"):
        raise KernelError("as it was")
    with pytest.raises(KeyError), kernel_step("left", "cut"):
        raise KeyError("a mistake in our code")


@pytest.mark.parametrize("library", ["libGL.so.1", "libX11.so.6"])
def test_a_missing_system_library_is_one_line_that_names_the_package(library: str) -> None:
    error = missing_library(ImportError(f"{library}: cannot open shared object file: No such file or directory"))
    assert str(error).count("\n") == 0
    assert library in str(error)
    assert str(error).endswith("sudo apt install libgl1")


def test_importing_the_kernel_without_its_library_is_an_error_of_ours() -> None:
    """The real import, in a process where the library cannot be found."""
    script = """
import sys
class Missing:
    def find_spec(self, name, path=None, target=None):
        if name == "OCP":
            raise ImportError("libGL.so.1: cannot open shared object file: No such file or directory")
sys.meta_path.insert(0, Missing())
from mounts.errors import MountsError
try:
    import mounts.kernels.brep
except MountsError as error:
    print(type(error).__name__, error)
"""
    said = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True).stdout
    assert said.startswith("KernelError the CAD kernel needs a system library (libGL.so.1")
    assert said.count("\n") == 1


def test_the_mesh_kernel_and_the_preview_import_no_cad() -> None:
    script = "import sys, mounts.kernels.mesh, mounts.kernels.agreement; print(*sys.modules)"
    said = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True).stdout.split()
    assert not {"cadquery", "OCP", "trimesh", "scipy"} & set(said)


def test_a_quick_preview_imports_neither_cadquery_nor_trimesh() -> None:
    script = f"""
import sys
from pathlib import Path
from mounts import pipeline
from mounts.load.resolve.job import load_job
part = pipeline.preview(load_job(Path({str(JOB)!r}))[0])
print(part.kernel, *sys.modules)
"""
    kernel, *modules = subprocess.run(
        [sys.executable, "-c", script], check=True, capture_output=True, text=True
    ).stdout.split()
    assert kernel == "mesh"
    assert not {"cadquery", "OCP", "trimesh", "vtk", "vtkmodules"} & set(modules)


def test_triangles_that_do_not_close_are_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tessellation, "_weld_nodes", lambda nodes, corners: (nodes, corners))
    with pytest.raises(
        KernelError, match=r"^part p, triangulate \(sag 0.02, turn 0.3\): \d+ of \d+ edges of triangles stay open$"
    ):
        brep.build(recipe("p", 0, (Prism(circle(10.0), 0.0, 4.0),)))
