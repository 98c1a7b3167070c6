"""Frames in space and clock directions.

Panel frame: origin at the opening's centre on the face, +x right, +y up, +z towards the viewer in the cabin. A clock
direction φ runs clockwise from +y, in degrees: 12:00 is 0, 3:00 is 90.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, radians, sin

import numpy as np
from numpy.typing import ArrayLike, NDArray

Vector = tuple[float, float, float]
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Frame:
    """Right-handed frame in the panel frame: its `origin` in mm and the unit vectors of its `x` and `z` axes."""

    origin: Vector = (0.0, 0.0, 0.0)
    x: Vector = (1.0, 0.0, 0.0)
    z: Vector = (0.0, 0.0, 1.0)

    @property
    def axes(self) -> Array:
        """Unit vectors of x, y and z as columns, (3, 3) float."""
        (a, b, c), (d, e, f) = self.x, self.z
        return np.array([[a, e * c - f * b, d], [b, f * a - d * c, e], [c, d * b - e * a, f]])

    def out(self, points: ArrayLike) -> Array:
        """Return points of this frame, (n, 3) or (3,) float, in panel coordinates.

        >>> Frame((0.0, 0.0, 5.0)).out((1.0, 2.0, 0.0))
        array([1., 2., 5.])
        """
        outside: Array = np.asarray(points, dtype=float) @ self.axes.T + np.asarray(self.origin)
        return outside

    def into(self, points: ArrayLike) -> Array:
        """Return points of the panel frame, (n, 3) or (3,) float, in coordinates of this frame.

        >>> Frame((0.0, 0.0, 5.0)).into((1.0, 2.0, 5.0))
        array([1., 2., 0.])
        """
        inside: Array = (np.asarray(points, dtype=float) - np.asarray(self.origin)) @ self.axes
        return inside

    def lifted(self, by: float) -> Frame:
        """Return the frame moved by `by` mm along its own z."""
        ox, oy, oz = self.origin
        return replace(self, origin=(ox + by * self.z[0], oy + by * self.z[1], oz + by * self.z[2]))

    def shifted(self, u: float, v: float) -> Frame:
        """Return the frame moved by (u, v) mm in its own plane."""
        return replace(self, origin=as_vector(self.out((u, v, 0.0))))


PANEL = Frame()


@dataclass(frozen=True, slots=True, eq=False)
class Frames:
    """Many frames as arrays.

    Attributes:
        origins: (n, 3) float, mm.
        axes: unit vectors of x, y and z as columns, (n, 3, 3) float.
    """

    origins: Array
    axes: Array

    @classmethod
    def of(cls, *frames: Frame) -> Frames:
        """Return some frames as one array of frames."""
        return cls(np.array([frame.origin for frame in frames]), np.array([frame.axes for frame in frames]))

    @classmethod
    def tilted(cls, centres: ArrayLike, tilts: ArrayLike, towards: ArrayLike) -> Frames:
        """Return tilted frames as `tilt_frame` does, for centres (n, 3), tilts (n,) and clock directions (n,)."""
        tilt, toward = np.radians(tilts), np.radians(towards)
        nx, ny, nz = np.sin(tilt) * np.sin(toward), np.sin(tilt) * np.cos(toward), np.cos(tilt)
        x = np.stack([1 - nx * nx / (1 + nz), -nx * ny / (1 + nz), -nx], axis=-1)
        z = np.stack([nx, ny, nz], axis=-1)
        y = np.stack([-nx * ny / (1 + nz), 1 - ny * ny / (1 + nz), -ny], axis=-1)
        return cls(np.asarray(centres, dtype=float), np.stack([x, y, z], axis=-1))

    @property
    def z(self) -> Array:
        """Unit vectors of z, (n, 3) float."""
        return self.axes[:, :, 2]

    def out(self, points: Array) -> Array:
        """Return points (..., 3), given in every frame alike, in panel coordinates: (n, ..., 3)."""
        flat = points.reshape(-1, 3) @ self.axes.transpose(0, 2, 1) + self.origins[:, None]
        return flat.reshape(-1, *points.shape)

    def each_out(self, points: Array) -> Array:
        """Return points (n, ..., 3), the k-th of them given in the k-th frame, in panel coordinates: (n, ..., 3)."""
        flat = points.reshape(len(points), -1, 3) @ self.axes.transpose(0, 2, 1) + self.origins[:, None]
        return flat.reshape(points.shape)

    def into(self, points: Array) -> Array:
        """Return points (..., 3) of the panel frame in coordinates of every frame: (n, ..., 3)."""
        flat = (points.reshape(-1, 3) - self.origins[:, None]) @ self.axes
        return flat.reshape(-1, *points.shape)

    def each_into(self, points: Array) -> Array:
        """Return points (n, ..., 3) of the panel frame, the k-th of them in coordinates of the k-th frame."""
        flat = (points.reshape(len(points), -1, 3) - self.origins[:, None]) @ self.axes
        return flat.reshape(points.shape)


def clock_vector(clock: float) -> tuple[float, float]:
    """Return the unit vector in the panel's plane towards a clock direction in degrees.

    >>> clock_vector(90.0)[0]
    1.0
    """
    return (sin(radians(clock)), cos(radians(clock)))


def clock_to_angle(clock: float) -> float:
    """Return a clock direction as an angle counter-clockwise from +x, both in degrees.

    >>> clock_to_angle(90.0)
    0.0
    """
    return 90.0 - clock


def tilt_frame(centre: Vector, tilt: float, toward: float) -> Frame:
    """Return the frame at `centre` whose z leans by `tilt` degrees from the panel's towards a clock direction.

    The axes follow by the least rotation that carries the panel's z onto it, so x and y stay as upright as they can.

    >>> round(tilt_frame((0.0, 0.0, 0.0), 30.0, 0.0).z[1], 9)
    0.5
    """
    hx, hy = clock_vector(toward)
    nx, ny, nz = sin(radians(tilt)) * hx, sin(radians(tilt)) * hy, cos(radians(tilt))
    return Frame(centre, (1 - nx * nx / (1 + nz), -nx * ny / (1 + nz), -nx), (nx, ny, nz))


def as_vector(values: ArrayLike) -> Vector:
    """Return an array (3,) as a tuple of plain floats.

    >>> as_vector(np.array([1, 2, 3]))
    (1.0, 2.0, 3.0)
    """
    x, y, z = np.asarray(values, dtype=float).tolist()
    return (x, y, z)
