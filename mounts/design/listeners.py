"""Where the listeners are: from rearward, inboard and up of the vehicle into a panel's own frame."""

from __future__ import annotations

import numpy as np

from mounts.geometry.frames import Array, Vector
from mounts.load.models.panel import Located


def panel_axes(panel: Located) -> Array:
    """The panel's x, y and z as columns of (rearward, inboard, up), (3, 3) float.

    Toe first, about the vertical: it turns the face rearward. Then lean, about the panel's own x: the top goes
    outboard. Seen from the cabin, rearward is left on a left panel and right on a right one.
    """
    toe, lean = np.radians(panel.toe), np.radians(panel.lean)
    right = np.array([np.cos(toe), -np.sin(toe), 0.0]) * (1.0 if panel.side == "right" else -1.0)
    out, up = np.array([np.sin(toe), np.cos(toe), 0.0]), np.array([0.0, 0.0, 1.0])
    normal = np.cos(lean) * out + np.sin(lean) * up
    return np.column_stack([right, np.cos(lean) * up - np.sin(lean) * out, normal])


def in_panel(panel: Located, vector: Vector) -> Vector:
    """A vector told as (rearward, inboard, up), in the panel's frame."""
    x, y, z = (float(value) for value in np.asarray(vector) @ panel_axes(panel))
    return (x, y, z)
