"""Names of a recipe's features for the triangles of a mesh that has none, by where they lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from mounts.checks.mesh.skin import Skin
from mounts.geometry.facets import Edges, Whole
from mounts.geometry.frames import Array
from mounts.identity import Ident, Role
from mounts.kernels.part import Part

NEAR, CLOSE = 0.3, 0.05  # mm from a triangle's middle within which the surface that it is is looked for, in turn
WIDER = (0.8, 1.5)  # mm within which one is looked for that was drawn larger or smaller
SLIVER, ROUNDS = 0.05, 3  # mm: lower triangles are too thin to be hit by a ray; so many lie side by side
LOOKS = (NEAR, CLOSE)  # between the walls of a thin stroke only the closer look finds the right one
ALIKE = 0.7  # least cosine between the normals of both
OTHER = Ident(Role.PART, "unplanned", "unplanned")  # feature of what lies nowhere on the planned surface


def name_features(part: Part, planned: Part, transform: Array, looks: Sequence[float] = LOOKS) -> Part:
    """Return a part in the panel frame, its triangles named by the planned features on whose surface they lie.

    Args:
        part: of a mesh file, in its own frame.
        planned: what it should be, in the panel frame; the mesh kernel's will do.
        transform: rigid (4, 4), from the loaded part's frame to the panel's.
        looks: mm within which the surface that a triangle is is looked for, in turn.
    """
    turn, shift = transform[:3, :3], transform[:3, 3]
    part = replace(part, vertices=part.vertices @ turn.T + shift, centroid=turn @ part.centroid + shift)
    skin, wanted = Skin.of(part), Skin.of(planned)
    feature = np.full(len(part.triangles), len(planned.features))
    for near in looks:
        lost = np.flatnonzero(feature == len(planned.features))
        found = _surface_at(skin, wanted, lost, near)
        feature[lost[found >= 0]] = planned.feature[found[found >= 0]]
    feature = _slivers_named(skin, feature, len(planned.features))
    face = np.unique(np.stack([part.face, feature]), axis=1, return_inverse=True)[1].reshape(-1)
    return replace(part, face=face, feature=feature, features=(*planned.features, OTHER))


def _slivers_named(skin: Skin, feature: Whole, unnamed: int) -> Whole:
    """Return the features with slivers named after the neighbour that faces most nearly their way."""
    named = feature.copy()
    one, other = (side // 3 for side in Edges(skin.part.triangles).pairs)
    sliver, beside = np.append(one, other), np.append(other, one)
    alike = np.einsum("ij,ij->i", skin.normals[sliver], skin.normals[beside])
    order = np.argsort(alike, kind="stable")  # the most alike is written last, and stays
    for _ in range(ROUNDS):
        at, by = sliver[order], beside[order]
        counts = (named[at] == unnamed) & (skin.height[at] < SLIVER) & (named[by] != unnamed)
        named[at[counts]] = named[by[counts]]
    return named


def _surface_at(skin: Skin, wanted: Skin, which: Whole, near: float) -> Whole:
    """Return the planned triangles at the middles of some triangles, within `near` mm; −1 where there is none."""
    normals = skin.normals[which]
    start = skin.corners[which].mean(axis=1) + near * normals
    triangle = wanted.first_met(start, -normals)
    far = wanted.way_to(triangle, start, -normals)
    alike = np.einsum("ij,ij->i", normals, wanted.normals[triangle]) > ALIKE
    return np.where((triangle >= 0) & (far < 2 * near) & alike, triangle, -1)
