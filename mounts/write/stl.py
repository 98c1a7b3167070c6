"""Binary STL: triangles and nothing else, so the unit stands in the header for whoever looks."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from mounts.kernels.part import Part
from mounts.write.text_shaping import plain_text

_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def stl_bytes(part: Part, pose: ArrayLike | None = None) -> bytes:
    """Return the part's triangles in mm as a binary STL.

    Args:
        part: in the panel frame.
        pose: (4, 4) rigid transform from the panel frame to the print pose; None leaves the part where it is.

    Raises:
        ValueError: if the pose is not rigid.
    """
    corners = apply_pose(part.vertices, pose)[part.triangles].astype("<f4")
    records = np.zeros(len(corners), _RECORD)
    records["corners"] = corners
    records["normal"] = _normals(corners.astype(float))
    head = f"binary STL, unit mm, {plain_text(part.name)}".encode("ascii", "replace")[:80].ljust(80)
    return head + len(records).to_bytes(4, "little") + bytes(records.tobytes())


def apply_pose(points: ArrayLike, pose: ArrayLike | None) -> NDArray[np.float64]:
    """Return the points (n, 3) carried by a rigid transform (4, 4); None leaves them where they are.

    Raises:
        ValueError: if the transform stretches, mirrors or is no transform.
    """
    points = np.asarray(points, dtype=float)
    if pose is None:
        return points
    matrix = check_rigid(pose)
    moved: NDArray[np.float64] = points @ matrix[:3, :3].T + matrix[:3, 3]
    return moved


def check_rigid(pose: ArrayLike) -> NDArray[np.float64]:
    """Return the transform as a (4, 4) array.

    Raises:
        ValueError: if it is not rigid: it may turn and shift, but neither stretch nor mirror.
    """
    matrix = np.asarray(pose, dtype=float)
    if matrix.shape != (4, 4) or not np.allclose(matrix[3], (0, 0, 0, 1), atol=1e-9):
        raise ValueError("a pose has four rows of four, the last 0 0 0 1")
    turn = matrix[:3, :3]
    if not np.allclose(turn @ turn.T, np.eye(3), atol=1e-6) or np.linalg.det(turn) < 0:
        raise ValueError("a pose may turn and shift a part, but neither stretch nor mirror it")
    return matrix


def _normals(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the unit normals (m, 3); zero where a triangle has no area, which readers take as "work it out"."""
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(across, axis=1, keepdims=True)
    unit: NDArray[np.float64] = np.divide(across, size, out=np.zeros_like(across), where=size > 0)
    return unit
