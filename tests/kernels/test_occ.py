"""Errors of the CAD kernel, and of its import, told in one line."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import cadquery
import numpy as np
import pytest

from mounts.errors import KernelError
from mounts.geometry.outline import circle
from mounts.kernels import brep, brep_triangles
from mounts.kernels.occ import OCP, kernel_step, missing_library
from mounts.shape.primitives import Prism
from tests.kernels.bank import recipe


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
    script = "import sys, mounts.kernels.mesh, mounts.kernels.agree; print(*sys.modules)"
    said = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True).stdout.split()
    assert not {"cadquery", "OCP", "trimesh", "scipy"} & set(said)


def test_a_part_is_made_and_written_without_cadquerys_own_layer(tmp_path: Path) -> None:
    file = tmp_path / "part.step"
    script = f"""
import sys
from pathlib import Path
from mounts.geometry.outline import circle
from mounts.kernels.proved import proved
from mounts.kernels.readback import cylinders
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Feature, Recipe
from mounts.write.step import step_bytes
from tests.idents import ident
disc, hole = Prism(circle(20.0), 0.0, 5.0), Prism(circle(5.0), -1.0, 6.0)
part, _ = proved(Recipe("disc", (Feature(ident("disc"), (disc,)), Feature(ident("hole"), (hole,), cut=True)), 1))
Path({str(file)!r}).write_bytes(step_bytes(part))
print(*sorted(one.diameter for one in cylinders(Path({str(file)!r}))), *sys.modules)
"""
    run = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True)
    small, large, *modules = run.stdout.split()
    assert (float(small), float(large)) == pytest.approx((5.0, 20.0))
    assert not [name for name in modules if name.startswith(("cadquery", "vtk"))]
    assert cadquery.importers.importStep(str(file)).val().Volume() == pytest.approx(5 * np.pi / 4 * (20**2 - 5**2))


def test_triangles_that_do_not_close_are_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(brep_triangles, "_welded", lambda nodes, triangles: (nodes, triangles))
    with pytest.raises(
        KernelError, match=r"^part p, triangulate \(sag 0.02, turn 0.3\): \d+ of \d+ edges of triangles stay open$"
    ):
        brep.build(recipe("p", 0, (Prism(circle(10.0), 0.0, 4.0),)))
