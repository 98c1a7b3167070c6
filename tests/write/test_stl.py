"""STL, read back byte by byte (layout: 80 bytes, a count, 50 bytes a triangle) and by trimesh."""

from __future__ import annotations

import io
import struct

import numpy as np
import pytest
import trimesh

from mounts.kernels.part import Part
from mounts.write.stl import apply_pose, stl_bytes
from tests.idents import ident

POSE = np.array([[0.0, -1.0, 0.0, 7.0], [1.0, 0.0, 0.0, -3.0], [0.0, 0.0, 1.0, 2.5], [0.0, 0.0, 0.0, 1.0]])


def test_every_triangle_stands_in_the_file(box: Part) -> None:
    data = stl_bytes(box)
    assert data[:80].decode().rstrip() == "binary STL, unit mm, box"
    assert struct.unpack("<I", data[80:84]) == (12,)
    assert len(data) == 84 + 50 * 12
    for k in range(12):
        *figures, attribute = struct.unpack("<12fH", data[84 + 50 * k : 134 + 50 * k])
        corners = np.reshape(figures[3:], (3, 3))
        np.testing.assert_array_equal(corners, box.vertices[box.triangles[k]])
        across = np.cross(corners[1] - corners[0], corners[2] - corners[0])
        np.testing.assert_allclose(figures[:3], across / np.linalg.norm(across), atol=1e-7)
        assert attribute == 0


def test_trimesh_reads_a_closed_solid_of_the_right_volume(tube: Part) -> None:
    mesh = trimesh.load(io.BytesIO(stl_bytes(tube)), file_type="stl")
    chord = np.sin(2 * np.pi / 180) * 180 / 2  # area of a regular 180-gon over the square of its half diameter
    assert mesh.is_watertight and mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(chord * (80**2 - 60**2) * 30, rel=1e-6)


def test_the_pose_moves_the_part(box: Part) -> None:
    mesh = trimesh.load(io.BytesIO(stl_bytes(box, POSE)), file_type="stl")
    np.testing.assert_allclose(mesh.bounds, [[7 - 25, -3 + 10, 4.5], [7 + 5, -3 + 50, 24.5]], atol=1e-6)
    assert mesh.volume == pytest.approx(40 * 30 * 20)


@pytest.mark.parametrize(
    ("pose", "message"),
    [
        (np.diag([1.0, 1.0, -1.0, 1.0]), "neither stretch nor mirror"),
        (np.diag([1.0, 1.0, 1.01, 1.0]), "neither stretch nor mirror"),
        (np.eye(3), "four rows of four"),
        (np.ones((4, 4)), "four rows of four"),
    ],
)
def test_a_pose_that_is_not_rigid_is_refused(box: Part, pose: np.ndarray, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        apply_pose(box.vertices, pose)


def test_a_name_of_any_script_does_not_break_the_header(box: Part) -> None:
    named = Part("solid\n" + "山" * 200, "mesh", box.vertices, box.triangles, box.face, box.feature, (ident("body"),),
                 0.0, box.centroid, 1, 1, 0)  # fmt: skip
    data = stl_bytes(named)
    assert len(data) == 84 + 50 * 12
    assert not data.startswith(b"solid"), "a reader would take the file for text"
