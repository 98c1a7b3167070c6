"""Small parts and drawings of our own invention that every writer is tried on."""

from __future__ import annotations

import numpy as np
import pytest
from manifold3d import Manifold

from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke
from mounts.geometry.outline import circle
from mounts.kernels.part import Part
from tests.geometry.discs import hull_of_discs
from tests.idents import ident

HOLES = {"A": (58.0, 53.5), "B": (58.5, -54.0), "C": (-57.5, -53.0), "D": (-58.0, 54.0)}


def part_of(solid: Manifold, name: str) -> Part:
    """A manifold as a part; triangles in one plane make a face, which for a facetted round is as good."""
    mesh = solid.to_mesh64()
    vertices = np.asarray(mesh.vert_properties)[:, :3].astype(float)
    triangles = np.asarray(mesh.tri_verts).astype(np.int64)
    vertices, index = np.unique(vertices, axis=0, return_inverse=True)
    triangles = index.reshape(-1)[triangles]
    corners = vertices[triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    planes = np.c_[normals, np.einsum("ij,ij->i", normals, corners[:, 0])].round(4) + 0.0
    _, face = np.unique(planes, axis=0, return_inverse=True)
    feature = np.zeros(len(triangles), np.int64)
    return Part(
        name, "mesh", vertices, triangles, face.reshape(-1), feature, (ident("body"),), solid.volume(),
        vertices.mean(axis=0), 1, 1, solid.genus(),
    )  # fmt: skip


@pytest.fixture(scope="session")
def box() -> Part:
    """40 × 30 × 20 mm, its lower left front corner in (10, −5, 2)."""
    return part_of(Manifold.cube([40, 30, 20]).translate([10, -5, 2]), "box")


@pytest.fixture(scope="session")
def tube() -> Part:
    """Outside diameter 160, inside 120, 30 high from z = 0, both of 180 chords."""
    return part_of(
        Manifold.cylinder(30, 80, 80, 180) - Manifold.cylinder(40, 60, 60, 180).translate([0, 0, -5]), "tube"
    )


@pytest.fixture(scope="session")
def wedge_ring() -> Part:
    """A tube cut off at 8°, so that it is high at +x and low at −x."""
    tube = Manifold.cylinder(40, 80, 80, 180) - Manifold.cylinder(50, 60, 60, 180).translate([0, 0, -5])
    return part_of(tube.trim_by_plane([np.sin(np.radians(8)), 0, -np.cos(np.radians(8))], -20.0), "wedge ring")


@pytest.fixture(scope="session")
def drawing() -> Drawing:
    """A base with an opening and four holes, about as a plan draws it."""
    base = hull_of_discs([((0.0, 0.0), 150.0), *((at, 20.0) for at in HOLES.values())])
    holes = [Stroke(circle(6.0, at), Layer.CUT, f"hole {name}") for name, at in HOLES.items()]
    return Drawing(
        title="linnet <b>woofer</b> & co 山🚐, left",
        captions=("seen from the cabin", "opening ⌀ 120"),
        items=(
            Stroke(base, Layer.CUT, "base"),
            Stroke(circle(120.0), Layer.CUT, "opening"),
            *holes,
            Stroke(circle(135.0), Layer.REF, "flange"),
            Cross((0.0, 0.0), 12.0),
            *(Cross(at) for at in HOLES.values()),
            Note("12:00", (0.0, 45.0), 4.0),
            Note("left", (0.0, -45.0), 5.0, layer=Layer.ENGRAVE),
        ),
    )
