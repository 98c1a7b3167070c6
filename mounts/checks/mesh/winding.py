"""Winding number of a part's surface round places: 1 in material, 0 in free space."""

from __future__ import annotations

import numpy as np

from mounts.checks.mesh.skin import NEEDLE, Skin
from mounts.geometry.facets import Whole, as_vector, normalize
from mounts.geometry.frames import Array, Vector

PLACES = 2000
OFF = 2e-3  # mm outside the surface
STEP = 1e-3  # mm by which a ray goes on behind what it met
MOST = 400  # surfaces on one ray
ASKEW = ((0.31, 0.17, -0.23), (-0.19, 0.29, 0.37))  # two ways beside the normal, so that no edge fools both


def buried_share(skin: Skin) -> tuple[float, Vector | None]:
    """Return the share (0 to 1) of a closed part's surface inside other material of it, and one such place."""
    fit = np.flatnonzero(skin.height > 10 * NEEDLE)
    if not len(fit):
        return 0.0, None
    total = np.cumsum(skin.area[fit])
    source = fit[np.minimum(np.searchsorted(total, (np.arange(PLACES) + 0.5) / PLACES * total[-1]), len(fit) - 1)]
    places = skin.corners[source].mean(axis=1) + OFF * skin.normals[source]
    inside = np.ones(PLACES, dtype=bool)
    for askew in ASKEW:
        rest = np.flatnonzero(inside)
        inside[rest] = winding_numbers(skin, places[rest], normalize(skin.normals[source[rest]] + np.array(askew))) > 0
    if not inside.any():
        return 0.0, None
    return float(inside.mean()), as_vector(places[np.flatnonzero(inside)[0]])


def winding_numbers(skin: Skin, places: Array, ways: Array) -> Whole:
    """Return the winding numbers of a skin round places (n, 3), counted along ways (n, 3)."""
    count = np.zeros(len(places), dtype=np.int64)
    at, going = places.copy(), np.arange(len(places))
    for _ in range(MOST):
        if not len(going):
            break
        met = skin.first_met(at[going], ways[going])
        going, triangle = going[met >= 0], met[met >= 0]
        count[going] += np.sign(np.einsum("ij,ij->i", ways[going], skin.normals[triangle])).astype(np.int64)
        at[going] += (skin.way_to(triangle, at[going], ways[going]) + STEP)[:, None] * ways[going]
    return count
