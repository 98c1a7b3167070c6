"""The names of a recipe's features given to the triangles of a mesh that has none, by where they lie."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from mounts.checks.mesh.skin import Skin
from mounts.geometry.frames import Array
from mounts.kernels.part import Part

NEAR = 0.3  # mm from a triangle's middle within which the surface that it is must lie
ALIKE = 0.7  # least cosine between the normals of both
OTHER = "unplanned"  # feature of what lies nowhere on the planned surface


def named_after(part: Part, planned: Part, transform: Array) -> Part:
    """A loaded part in the panel frame, each triangle with the name of the planned feature whose surface it lies on.

    Args:
        part: of a mesh file, in its own frame.
        planned: what it should be, in the panel frame; the mesh kernel's will do.
        transform: rigid (4, 4), from the loaded part's frame to the panel's.
    """
    turn, shift = transform[:3, :3], transform[:3, 3]
    part = replace(part, vertices=part.vertices @ turn.T + shift, centroid=turn @ part.centroid + shift)
    skin, wanted = Skin.of(part), Skin.of(planned)
    start = skin.corners.mean(axis=1) + NEAR * skin.normals
    met = wanted.scene.run(start.astype(np.float32), (-skin.normals).astype(np.float32), output=True)
    triangle, far = met["primID"].astype(np.int64), met["tfar"]
    alike = np.einsum("ij,ij->i", skin.normals, wanted.normals[triangle]) > ALIKE
    on_it = (triangle >= 0) & (far < 2 * NEAR) & alike
    feature = np.where(on_it, planned.feature[triangle], len(planned.features))
    face = np.unique(np.stack([part.face, feature]), axis=1, return_inverse=True)[1].reshape(-1)
    return replace(part, face=face, feature=feature, features=(*planned.features, OTHER))
