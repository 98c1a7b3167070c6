"""Bounding boxes of points in the plane, turned step by step: how a part can lie on a bed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array

TURNS = np.arange(0.0, 180.0, 1.0)  # degrees, counter-clockwise
QUARTER = 90  # of them


def turned_box_sizes(points: Array) -> Array:
    """Return width and depth in mm of the bounding box of points (n, 2) turned by each of TURNS, (180, 2) float.

    >>> turned_box_sizes(np.array([[0.0, 0.0], [30.0, 10.0]]))[0]
    array([30., 10.])
    """
    return projected_box_sizes(project_turned(points))


def project_turned(points: Array) -> Array:
    """Return the places of points (n, 2) along the x axis, turned by −90 degrees and by each more to the last of TURNS.

    Returns:
        (270, n) float, mm. Turned by some degrees, x is given in that row, and y in that of a quarter turn less.
    """
    angle = np.radians(np.arange(-QUARTER, len(TURNS)))
    places: Array = np.column_stack([np.cos(angle), -np.sin(angle)]) @ points.T
    return places


def projected_box_sizes(places: Array, which: NDArray[np.bool_] | None = None) -> Array:
    """Return as `turned_box_sizes` from what `project_turned` gives, of some of the points (n,)."""
    some = places if which is None else places[:, which]
    across = some.max(axis=1) - some.min(axis=1)
    return np.stack([across[QUARTER:], across[: len(TURNS)]], axis=1)
