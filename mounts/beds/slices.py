"""Layers of a part: of each its area, the length of its edge, and what lies near an upper or lower face."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
TIE = 1e-4  # of a layer: a face that lies no higher over the middle of a layer leaves the layer out


@dataclass(frozen=True, slots=True, eq=False)
class Slices:
    """Layers of a part, lowest first; each is cut at half its height.

    Attributes:
        area: of each layer, (n,) mm².
        edge: length of all its outlines, outer and inner, (n,) mm.
        skin: what lies in the shell under an upper face or over a lower one, save what walls make anyway, (n,) mm².
    """

    area: Floats
    edge: Floats
    skin: Floats


def slice_layers(vertices: Floats, triangles: NDArray[np.int64], layer: float, walls: float, shell: int) -> Slices:
    """Return the layers of a part in print pose.

    Args:
        vertices: (n, 3) mm, lowest point at z = 0.
        triangles: (m, 3), counter-clockwise seen from outside.
        layer: height of a layer, mm.
        walls: thickness of all walls together, mm.
        shell: solid layers under an upper face and over a lower one.
    """
    corners = vertices[triangles]
    count = max(1, ceil(float(corners[:, :, 2].max()) / layer - TIE))
    number, begin, end = _segments(corners, layer, count)
    cross = begin[:, 0] * end[:, 1] - begin[:, 1] * end[:, 0]
    area: Floats = np.abs(np.bincount(number, cross / 2, count).astype(float))
    edge: Floats = np.bincount(number, np.hypot(*(end - begin).T), count).astype(float)
    return Slices(area, edge, np.minimum(_skin(corners, layer, count, walls, shell), area))


def _segments(corners: Floats, layer: float, count: int) -> tuple[NDArray[np.int64], Floats, Floats]:
    """Return the segments in which triangles cross the middles of layers: layer number and both ends, (k, 2) mm."""
    z = corners[:, :, 2] / layer - 0.5 - TIE
    first, last = (np.clip(np.ceil(of(z, axis=1) - 1e-9).astype(int), 0, count) for of in (np.min, np.max))
    many = last - first
    which = np.repeat(np.arange(len(corners)), many)
    number = np.arange(many.sum()) - np.repeat(np.cumsum(many) - many, many) + first[which]
    above = z[which] - number[:, None]
    ends = [np.zeros((len(which), 2)), np.zeros((len(which), 2))]
    for k in range(3):
        one, other = above[:, k], above[:, (k + 1) % 3]
        share = np.divide(one, one - other, out=np.zeros_like(one), where=one != other)
        here = corners[which, k, :2]
        place = here + share[:, None] * (corners[which, (k + 1) % 3, :2] - here)
        for end, crosses in zip(ends, ((one > 0) & (other <= 0), (one <= 0) & (other > 0)), strict=True):
            end[crosses] = place[crosses]
    return number, ends[0], ends[1]


def _skin(corners: Floats, layer: float, count: int, walls: float, shell: int) -> Floats:
    """Return what upper and lower faces make solid in each layer, mm²; of a steep face the walls make most anyway."""
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) / 2
    across = np.hypot(normals[:, 0], normals[:, 1])
    flat = np.abs(normals[:, 2])
    rise = np.divide(across, flat, out=np.full_like(flat, np.inf), where=flat > 1e-12)
    beyond = flat * np.maximum(0.0, 1.0 - walls * rise / (shell * layer))
    at = np.ceil(corners[:, :, 2].mean(axis=1) / layer - 0.5 - TIE).astype(int)
    skin = np.zeros(count)
    for depth in range(shell):
        for upper in (True, False):
            of = (normals[:, 2] > 0) == upper
            number = at[of] - 1 - depth if upper else at[of] + depth
            inside = (number >= 0) & (number < count)
            skin += np.bincount(number[inside], beyond[of][inside], count)
    return skin
