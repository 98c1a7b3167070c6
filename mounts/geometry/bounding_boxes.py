"""The boxes of points in the plane, turned step by step: how a part can lie on a bed."""

from __future__ import annotations

import numpy as np

from mounts.geometry.frames import Array

TURNS = np.arange(0.0, 180.0, 1.0)  # degrees, counter-clockwise


def turned_box_sizes(points: Array) -> Array:
    """Width and depth of the points' box at each of TURNS, (180, 2) float, mm; points (n, 2)."""
    angle = np.radians(TURNS)
    x = np.outer(np.cos(angle), points[:, 0]) - np.outer(np.sin(angle), points[:, 1])
    y = np.outer(np.sin(angle), points[:, 0]) + np.outer(np.cos(angle), points[:, 1])
    return np.stack([np.ptp(x, axis=1), np.ptp(y, axis=1)], axis=1)
