"""A face too small for the mesher leaves no hole: a box whose corner is cut off by next to nothing."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

cadquery = pytest.importorskip("cadquery")

from mounts.kernels.tessellation import SPECK, _flip_flat, tessellate  # noqa: E402


def clipped(deep: float):
    """A box of 10 whose corner at the origin a cylinder of 10 takes off, `deep` along the diagonal."""
    diagonal, along = np.array([1, 1, 1]) / 3**0.5, np.array([1, -1, 0]) / 2**0.5
    start = -(5 - deep) * diagonal - 20 * along
    cutter = cadquery.Solid.makeCylinder(5, 40, cadquery.Vector(*start), cadquery.Vector(*along))
    return cadquery.Solid.makeBox(10, 10, 10).cut(cutter)


@pytest.mark.parametrize("deep", [2e-4, 5e-4, 1e-3, 2e-3, 0.05, 0.5])
def test_triangles_close_however_small_a_face_is(deep):
    shape = clipped(deep)
    assert len(shape.Faces()) == 7
    vertices, triangles, _ = tessellate(shape, 0.02, 0.3)
    mesh = trimesh.Trimesh(vertices, triangles, process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.euler_number == 2
    assert len(np.unique(triangles)) == len(vertices)
    assert mesh.volume == pytest.approx(shape.Volume(), abs=0.02 * mesh.area)
    assert np.abs(mesh.bounds - [[0, 0, 0], [10, 10, 10]]).max() <= 2 * SPECK


def test_a_triangle_of_no_area_is_taken_up_by_its_neighbour():
    """A tetrahedron one of whose edges has a node in its middle that only one of the two faces there knows."""
    vertices = np.array([[0, 0, 0], [4, 0, 0], [0, 4, 0], [0, 0, 4], [2, 0, 0]], dtype=float)
    triangles = np.array([[0, 2, 1], [0, 4, 3], [4, 1, 3], [1, 2, 3], [0, 3, 2], [0, 1, 4]])
    face = np.array([0, 1, 1, 2, 3, 1])
    before = trimesh.Trimesh(vertices, triangles, process=False)
    assert before.is_watertight and before.area_faces.min() == 0
    turned, faces = _flip_flat(vertices, triangles, face)
    after = trimesh.Trimesh(vertices, turned, process=False)
    assert after.is_watertight and after.is_winding_consistent
    assert after.volume == pytest.approx(before.volume, rel=1e-12)
    assert after.area_faces.min() == pytest.approx(4.0)
    assert [after.area_faces[faces == number].sum() for number in range(4)] == pytest.approx(
        [before.area_faces[face == number].sum() for number in range(4)]
    )
