"""Distance from holes to the opening's edge, for many at once, and the way it grows."""

from __future__ import annotations

import numpy as np

from mounts.geometry.distance import depths
from mounts.geometry.frames import Array
from mounts.geometry.outline import Arc, Outline

STEP = 1e-4  # mm, of the differences that give the slope where the outline is not round


def edge_distances(opening: Outline, points: Array) -> Array:
    """How far outside the opening's edge points (…, 2) lie, mm, negative inside."""
    if opening.is_circle and isinstance(ring := opening.spans[0], Arc):
        away: Array = np.linalg.norm(points - np.asarray(ring.centre), axis=-1) - ring.diameter / 2
        return away
    return -depths(opening, points.reshape(-1, 2)).reshape(points.shape[:-1])


def edge_gradients(opening: Outline, points: Array) -> Array:
    """Unit vectors (…, 2) along which that distance grows."""
    if opening.is_circle and isinstance(ring := opening.spans[0], Arc):
        out = points - np.asarray(ring.centre)
        found: Array = out / np.maximum(np.linalg.norm(out, axis=-1, keepdims=True), 1e-9)
        return found
    ways = [np.array([STEP, 0.0]), np.array([0.0, STEP])]
    return np.stack(
        [(edge_distances(opening, points + w) - edge_distances(opening, points - w)) / (2 * STEP) for w in ways], -1
    )
