"""Third step of measuring walls: from the chords of round faces to the faces that they approximate.

A kernel's triangles span a round face with their corners on it, so a wall between two of them is off by their sag. The
normals at a triangle's corners tell how the face bulges over it, to the second order: half of the mean of the places'
projections onto the corners' tangent planes.
"""

from __future__ import annotations

import numpy as np

from mounts.checks.mesh.skin import Skin
from mounts.geometry.apart import corner_shares
from mounts.geometry.facets import Whole, normalize
from mounts.geometry.frames import Array

BEND = float(np.cos(np.radians(25)))  # facets that turn more at a corner are not one round face


def onto_round_faces(skin: Skin, triangles: Whole, places: Array) -> Array:
    """Return places (k, 3) on triangles (k,) moved onto the round faces that the triangles approximate, (k, 3)."""
    corners = skin.corners[triangles]
    shares = corner_shares(corners, places)
    normals = _corner_normals(skin, triangles)
    tall = np.einsum("kci,kci->kc", corners - places[:, None], normals)
    bulge: Array = 0.5 * np.einsum("kc,kc,kci->ki", shares, tall, normals)
    return places + bulge


def _corner_normals(skin: Skin, triangles: Whole) -> Array:
    """Return normals at corners (k, 3, 3): the angle-weighted mean of what meets there smoothly."""
    vertex = skin.part.triangles[triangles].ravel()
    beside, owner = skin.at_vertices(vertex)
    here = np.repeat(triangles, 3)[owner]
    smooth = np.einsum("ij,ij->i", skin.normals[beside], skin.normals[here]) > BEND
    smooth &= skin.part.face[beside] == skin.part.face[here]
    owner, beside = owner[smooth], beside[smooth]
    weight = _angles(skin.corners[beside], skin.part.triangles[beside] == vertex[owner][:, None])
    pull = (weight[:, None] * skin.normals[beside]).T
    added: Array = np.stack([np.bincount(owner, along, len(vertex)) for along in pull], axis=1).astype(float)
    return normalize(added).reshape(-1, 3, 3)


def _angles(corners: Array, at: Array) -> Array:
    """Return the angle of each triangle (k, 3, 3) at the one corner that `at` (k, 3) marks, rad."""
    k = at.argmax(axis=1)
    index = np.arange(len(corners))
    middle = corners[index, k]
    one, other = (normalize(corners[index, (k + step) % 3] - middle) for step in (1, 2))
    angles: Array = np.arccos(np.clip(np.einsum("ij,ij->i", one, other), -1, 1))
    return angles
