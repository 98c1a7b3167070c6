"""Planes fitted to clock readings, and exact signed distances between planes and discs, the parts of a round body."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from mounts.geometry.distance import depths
from mounts.geometry.frames import Array, Frame, Vector, clock_to_angle
from mounts.geometry.outline import Outline, polar_point


@dataclass(frozen=True, slots=True)
class Plane:
    """Plane z = at + slope · (x, y) in the panel frame, mm."""

    at: float
    slope: tuple[float, float] = (0.0, 0.0)

    @property
    def normal(self) -> Vector:
        """Unit normal towards the viewer, (x, y, z)."""
        sx, sy = self.slope
        length = (1 + sx * sx + sy * sy) ** 0.5
        return (-sx / length, -sy / length, 1 / length)

    def height(self, x: float, y: float) -> float:
        """Return z of the plane over (x, y), mm."""
        return self.at + self.slope[0] * x + self.slope[1] * y

    def moved(self, dz: float) -> Plane:
        """Return the plane lifted by `dz` mm along the panel's z."""
        return Plane(self.at + dz, self.slope)

    def gaps(self, points: Array) -> Array:
        """Return the signed distances of points (..., 3) from the plane, (...) mm, positive on the viewer's side."""
        away: Array = (points - np.array([0.0, 0.0, self.at])) @ np.asarray(self.normal)
        return away

    def frame(self, x: float, y: float) -> Frame:
        """Return the frame on the plane over (x, y): z along the normal, the axes as upright as they can be."""
        nx, ny, nz = self.normal
        return Frame((x, y, self.height(x, y)), (1 - nx * nx / (1 + nz), -nx * ny / (1 + nz), -nx), (nx, ny, nz))


def fit_plane(readings: Mapping[float, float] | float, rim: Outline, centre: tuple[float, float]) -> Plane:
    """Return the least-squares plane through heights read at clock directions on a rim, in mm above the face.

    With fewer than three readings, or all in one line, the plane is level in the directions that no reading determines.

    Args:
        readings: clock direction in degrees → height over the face; or one height everywhere.
        rim: outline about the origin at whose edge the readings were taken.
        centre: where the rim's origin lies in the panel frame.
    """
    if not isinstance(readings, Mapping):
        return Plane(float(readings))
    places = np.array([rim_point(rim, clock) for clock in readings]) + np.asarray(centre)
    heights = np.array(list(readings.values()), dtype=float)
    middle = places.mean(axis=0)
    slope = np.linalg.lstsq(places - middle, heights - heights.mean(), rcond=1e-6)[0]
    return Plane(float(heights.mean() - slope @ middle), (float(slope[0]), float(slope[1])))


def plane_weights(
    readings: Mapping[float, float], rim: Outline, centre: tuple[float, float], at: tuple[float, float]
) -> dict[float, float]:
    """Return the weight of each reading in the height of the fitted plane over a point, by its clock direction.

    Args:
        readings, rim, centre: as for `fit_plane`.
        at: the point, panel frame.
    """
    places = np.array([rim_point(rim, clock) for clock in readings]) + np.asarray(centre)
    middle = places.mean(axis=0)
    weights = 1 / len(places) + (np.asarray(at) - middle) @ np.linalg.pinv(places - middle, rcond=1e-6)
    return dict(zip(readings, (float(weight) for weight in weights), strict=True))


def supporting_plane(
    readings: Mapping[float, float] | float, rim: Outline, centre: tuple[float, float], *, towards: int
) -> Plane:
    """Return the fitted plane moved by its largest residual along `towards` (+1 up, −1 down), to the safe side.

    Args:
        readings, rim, centre: as for `fit_plane`.
        towards: the side on which no reading may lie beyond the plane.
    """
    plane = fit_plane(readings, rim, centre)
    if not isinstance(readings, Mapping):
        return plane
    places = [(rim_point(rim, clock), height) for clock, height in readings.items()]
    off = [height - plane.height(x + centre[0], y + centre[1]) for (x, y), height in places]
    return plane.moved(max(off) if towards > 0 else min(off))


def rim_point(rim: Outline, clock: float) -> tuple[float, float]:
    """Return the point at which the ray from the origin in a clock direction leaves an outline about the origin, mm.

    >>> from mounts.geometry.outline import circle
    >>> rim_point(circle(10.0), 90.0)
    (5.0, 0.0)
    """
    return polar_point((0.0, 0.0), 2 * rim.reach(clock_to_angle(clock)), clock_to_angle(clock))


def plate_distances(frame: Frame, opening: Outline | None, points: Array) -> Array:
    """Return the signed distances of points (n, 3) under a plate to it, or to its opening's endless wall, (n,) mm.

    They are negative inside the plate.

    Args:
        frame: in whose x-y plane the plate's underside lies.
        opening: hole in the plate, in that frame; None for a plate without one.
        points: in the panel frame.
    """
    local = frame.into(points)
    below: Array = -local[:, 2]
    if opening is None:
        return below
    aside = depths(opening, local[:, :2])
    return np.where(aside > 0, np.hypot(aside, np.maximum(below, 0.0)), below)


def disc_gap(plane: Plane, centre: Vector, axis: Vector, diameter: float) -> tuple[float, Vector]:
    """Return the least signed distance of a disc from a plane, positive on the viewer's side, and its nearest point.

    A disc reaches half its diameter times the sine of the angle between its axis and the plane's normal towards the
    plane.
    """
    return _as_floats(disc_gaps(plane, np.array(centre), np.array(axis), np.array(diameter), 1.0))


def disc_gap_below(plane: Plane, centre: Vector, axis: Vector, diameter: float) -> tuple[float, Vector]:
    """Return `disc_gap` for a disc that must stay below the plane: positive when all of it lies behind."""
    return _as_floats(disc_gaps(plane, np.array(centre), np.array(axis), np.array(diameter), -1.0))


def disc_gaps(plane: Plane, centres: Array, axes: Array, diameters: Array, side: float) -> tuple[Array, Array]:
    """Return the signed distances of many discs from a plane, and the nearest point of each.

    Args:
        plane: the plane.
        centres, axes: (..., 3) float.
        diameters: (...) float.
        side: the side on which the discs must stay, 1 as for `disc_gap`, −1 as for `disc_gap_below`.

    Returns:
        Distances (...) in mm and nearest points (..., 3).
    """
    normal = np.asarray(plane.normal)
    across = normal - (axes @ normal)[..., None] * axes
    length = np.linalg.norm(across, axis=-1)
    reach = np.where(length > 1e-12, diameters / 2 / np.maximum(length, 1e-12), 0.0)
    points = centres - side * reach[..., None] * across
    return side * plane.gaps(points), points


def _as_floats(found: tuple[Array, Array]) -> tuple[float, Vector]:
    """Return one distance and point as plain floats."""
    x, y, z = (float(value) for value in found[1])
    return float(found[0]), (x, y, z)
