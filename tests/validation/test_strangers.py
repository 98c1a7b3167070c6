"""The demo ring's STL and 3MF in the hands of programs that share nothing with this package.

Sources: ADMesh 0.98 and PrusaSlicer 2.5 (`--info`), run as commands and skipped where they are not installed; trimesh
and lib3mf, the 3MF Consortium's own library, reading strictly. Each counts open edges and volume by its own code. The
B-rep kernel's exact volume stands beside them: triangles that lie within `SAG` of the surface are off by no more than
that times its area.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from functools import cache
from pathlib import Path

import lib3mf
import numpy as np
import pytest
import trimesh

from mounts.kernels import brep
from mounts.kernels.part import Part
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.write.stl import stl_bytes
from mounts.write.threemf import PlacedPart, threemf_bytes
from tests.kinds.ring.conftest import jobs_of

SAG = 0.02  # mm, as the ring is triangulated for its files
SINGLE = 1e-5  # of a volume summed in single precision over some 15 000 triangles
RECORD = 50  # bytes of one triangle in a binary STL


@cache
def demo() -> Part:
    return brep.build(draw_ring(plan_ring(jobs_of("linnet-woofer")[0])).recipe, SAG)


@cache
def of_its_triangles(part: Part) -> tuple[float, float]:
    """Volume and surface, by Gauss's theorem over the triangles."""
    a, b, c = np.moveaxis(part.vertices[part.triangles], 1, 0)
    surface = np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6, float(surface)


def lacking(data: bytes, triangle: int) -> bytes:
    """A binary STL without one of its triangles."""
    count = int.from_bytes(data[80:84], "little") - 1
    begin = 84 + RECORD * triangle
    return data[:80] + count.to_bytes(4, "little") + data[84:begin] + data[begin + RECORD :]


def asked(program: str, file: Path, *options: str) -> str:
    """What a program says of a file; the test is skipped where it is not installed."""
    found = shutil.which(program)
    if found is None:
        pytest.skip(f"{program} is not installed")
    said = subprocess.run([found, *options, str(file)], capture_output=True, check=True, timeout=60)
    return said.stdout.decode("utf-8", "replace")  # a program may show bytes of the file's name or header


def number(said: str, before: str) -> float:
    """The number behind some words and a colon or an equals sign."""
    found = re.search(rf"{before}\s*[:=]\s*(-?[\d.]+)", said)
    assert found, said
    return float(found[1])


@pytest.fixture
def ring(tmp_path: Path) -> Path:
    file = tmp_path / "ring.stl"
    file.write_bytes(stl_bytes(demo()))
    return file


@pytest.fixture
def holed(tmp_path: Path) -> Path:
    file = tmp_path / "holed.stl"
    file.write_bytes(lacking(stl_bytes(demo()), 1000))
    return file


def test_the_triangles_enclose_the_solids_volume_to_their_sag():
    volume, surface = of_its_triangles(demo())
    assert abs(volume - demo().volume) < SAG * surface
    assert abs(volume - demo().volume) < 1e-3 * demo().volume  # what bulges in and what bulges out nearly cancel


def test_admesh_finds_one_closed_solid_and_nothing_to_mend(ring):
    said = asked("admesh", ring)
    assert number(said, "Number of facets") == len(demo().triangles)
    assert number(said, "Number of parts") == 1
    mended = ("Degenerate facets", "Edges fixed", "Facets removed", "Facets added", "Facets reversed", "Normals fixed")
    assert [number(said, what) for what in (*mended, "Backwards edges", "Total disconnected facets")] == [0] * 8
    assert number(said, "Volume") == pytest.approx(of_its_triangles(demo())[0], rel=SINGLE)


def test_admesh_sees_a_hole_where_one_triangle_is_left_out(holed):
    said = asked("admesh", holed)
    assert number(said, "Total disconnected facets") == 3
    assert number(said, "Facets added") == 1


def test_prusa_slicer_finds_one_manifold(ring):
    said = asked("prusa-slicer", ring, "--info")
    assert "manifold = yes" in said
    assert number(said, "number_of_parts") == 1
    assert number(said, "number_of_facets") == len(demo().triangles)
    assert number(said, "volume") == pytest.approx(of_its_triangles(demo())[0], rel=SINGLE)
    sizes = [number(said, f"size_{axis}") for axis in "xyz"]
    assert sizes == pytest.approx(np.ptp(demo().vertices, axis=0), abs=1e-4)


def test_prusa_slicer_sees_a_hole_where_one_triangle_is_left_out(holed):
    said = asked("prusa-slicer", holed, "--info")
    assert "manifold = no" in said
    assert number(said, "open_edges") == 3


def test_trimesh_reads_a_closed_solid(ring, holed):
    mesh = trimesh.load(ring)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.euler_number == 2 - 2 * demo().genus
    assert mesh.volume == pytest.approx(of_its_triangles(demo())[0], rel=SINGLE)
    assert not trimesh.load(holed).is_watertight


def test_lib3mf_reads_the_same_solid_out_of_the_3mf():
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(threemf_bytes("demo", [PlacedPart(demo(), "demo")]))
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    objects = model.GetMeshObjects()
    assert objects.MoveNext()
    mesh = objects.GetCurrentMeshObject()
    assert mesh.IsManifoldAndOriented()
    corners = np.array([list(v.Coordinates) for v in mesh.GetVertices()])
    triangles = np.array([list(t.Indices) for t in mesh.GetTriangleIndices()])
    read = trimesh.Trimesh(corners, triangles, process=False)
    assert read.volume == pytest.approx(of_its_triangles(demo())[0], rel=SINGLE)
    assert not objects.MoveNext()
