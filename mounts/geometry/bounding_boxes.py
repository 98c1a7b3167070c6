"""Bounding boxes of points in the plane, turned step by step: how a part can lie on a bed."""

from __future__ import annotations

import numpy as np

from mounts.geometry.frames import Array

TURNS = np.arange(0.0, 180.0, 1.0)  # degrees, counter-clockwise


def turned_box_sizes(points: Array) -> Array:
    """Return width and depth in mm of the bounding box of points (n, 2) turned by each of TURNS, (180, 2) float.

    >>> turned_box_sizes(np.array([[0.0, 0.0], [30.0, 10.0]]))[0]
    array([30., 10.])
    """
    angle = np.radians(TURNS)
    x = np.outer(np.cos(angle), points[:, 0]) - np.outer(np.sin(angle), points[:, 1])
    y = np.outer(np.sin(angle), points[:, 0]) + np.outer(np.cos(angle), points[:, 1])
    return np.stack([np.ptp(x, axis=1), np.ptp(y, axis=1)], axis=1)
