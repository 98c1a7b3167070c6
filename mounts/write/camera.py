"""Camera from which a part is seen, and the projection of points into the picture."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
_LENS = 4.2  # focal length over the picture's larger side: a calm perspective
_RISE = 48.0  # degrees of the eye above the table


@dataclass(frozen=True, slots=True, eq=False)
class Camera:
    """A pinhole camera; pixels count from the upper left.

    Attributes:
        eye: (3,) float, mm.
        axes: (3, 3) float, rows to the right, up and towards the eye.
        focal: focal length in pixels.
        middle: pixel in which the straight look ahead ends.
    """

    eye: Array
    axes: Array
    focal: float
    middle: tuple[float, float]

    @property
    def pixel(self) -> float:
        """Size of a pixel in the middle of the picture, mm."""
        return float(np.linalg.norm(self.eye)) / self.focal

    def seen(self, points: Array) -> Array:
        """Return the pixels (n, 2) at which points (n, 3) appear."""
        right, up, toward = ((np.atleast_2d(points) - self.eye) @ self.axes.T).T
        return np.stack([self.middle[0] - self.focal * right / toward, self.middle[1] + self.focal * up / toward], 1)

    def looks(self, pixels: NDArray[np.float32]) -> NDArray[np.float32]:
        """Return the unit directions (n, 3) from the eye through pixels (n, 2)."""
        right, up, toward = (self.axes / self.focal).astype(np.float32)
        x, y = (np.float32(self.middle[0]), np.float32(self.middle[1]))
        ways = (pixels[:, :1] - x) * right + (y - pixels[:, 1:]) * up - toward * np.float32(self.focal)
        unit: NDArray[np.float32] = ways / np.sqrt(np.einsum("ij,ij->i", ways, ways))[:, None]
        return unit


def fit_camera(points: Array, size: tuple[int, int], margin: tuple[int, int, int, int]) -> Camera:
    """Return a camera that looks down at points on a table, +y upward in the picture, which they fill.

    Args:
        points: (n, 3) float, z up from the table, mm.
        size: width and height of the picture in pixels.
        margin: pixels to keep free at the left, top, right and bottom.
    """
    axes = _axes()
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    focal = _LENS * max(size)
    half = ((size[0] - margin[0] - margin[2]) / 2, (size[1] - margin[1] - margin[3]) / 2)
    centre = (margin[0] + half[0], margin[1] + half[1])
    flat = (points - middle) @ axes.T
    away = float(max((flat[:, 2] + np.abs(flat[:, k]) * focal / half[k]).max() for k in (0, 1)))
    camera = Camera(middle + away * axes[2], axes, focal, centre)
    pixels = camera.seen(points)
    low, high = pixels.min(axis=0), pixels.max(axis=0)
    fill = float(min(2 * half[k] / (high[k] - low[k]) for k in (0, 1)))
    shift = [float(centre[k] - fill * ((low[k] + high[k]) / 2 - centre[k])) for k in (0, 1)]
    return Camera(camera.eye, axes, focal * fill, (shift[0], shift[1]))


def _axes() -> Array:
    """Return the axes of an eye straight below the part, so that the panel's up goes up in the picture."""
    rise = radians(_RISE)
    toward = np.array([0.0, -cos(rise), sin(rise)])
    right = np.array([1.0, 0.0, 0.0])
    return np.stack([right, np.cross(toward, right), toward])
