"""Silhouettes as rasters: what a part covers of its bed, seen from above, erring outward."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, hypot

import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.bool_]  # [row, column]: y upward, x to the right

CELL = 1.0  # mm, side of a raster's cell
FINE = 2  # a silhouette is drawn this many times finer, and a cell that holds any of it counts


@dataclass(frozen=True, slots=True, eq=False)
class Silhouette:
    """What a part covers, in cells.

    Attributes:
        mask: which cells it covers.
        origin: x and y of the mask's lower left corner in the part's own print pose, turned by `turn`, mm.
        turn: degrees, counter-clockwise seen from above.
    """

    mask: Mask
    origin: tuple[float, float]
    turn: float

    @property
    def area(self) -> float:
        """Covered area, mm²."""
        return float(self.mask.sum()) * CELL**2


def silhouette(vertices: NDArray[np.float64], triangles: NDArray[np.int64], turn: float = 0.0) -> Silhouette:
    """The silhouette of a part in print pose.

    Every cell that the part touches is covered; a cell within half a cell of it may be as well.

    Args:
        vertices: (n, 3) mm.
        triangles: (m, 3), counter-clockwise seen from outside.
        turn: degrees about the vertical, before it is drawn.
    """
    from PIL import Image, ImageDraw  # noqa: PLC0415

    angle = np.radians(turn)
    flat = vertices[:, :2] @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    low = np.floor(flat.min(axis=0) / CELL - 1.0) * CELL
    size = np.ceil((flat.max(axis=0) - low) / CELL).astype(int) + 2
    drawn = (flat - low) * FINE / CELL
    corners = drawn[triangles]
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    upward = np.cross(b - a, c - a) > 0.0  # a closed surface's upper side alone covers all that it covers
    image = Image.new("1", (int(size[0]) * FINE, int(size[1]) * FINE))
    draw = ImageDraw.Draw(image)
    for triangle in (corners[upward].reshape(-1, 6) - 0.5).tolist():
        draw.polygon(triangle, fill=1, outline=1)
    fine = np.asarray(image)
    mask: Mask = fine.reshape(size[1], FINE, size[0], FINE).max(axis=(1, 3))
    return Silhouette(mask, (float(low[0]), float(low[1])), turn)


def quarter_turned(one: Silhouette, times: int) -> Silhouette:
    """A silhouette turned by right angles, counter-clockwise."""
    mask, (x, y) = one.mask, one.origin
    for _ in range(times % 4):
        rows = mask.shape[0]
        mask = np.rot90(mask[::-1])[::-1]
        x, y = -(y + rows * CELL), x
    return Silhouette(mask, (x, y), (one.turn + 90.0 * times) % 360.0)


def grown(mask: Mask, by: float) -> Mask:
    """A mask with everything within `by` mm of it; larger on each side by `reach(by)` cells."""
    cells = reach(by)
    height, width = mask.shape
    wide: Mask = np.zeros((height + 2 * cells, width + 2 * cells), dtype=bool)
    for row in range(-cells, cells + 1):
        for column in range(-cells, cells + 1):
            if hypot(max(abs(row) - 1, 0), max(abs(column) - 1, 0)) * CELL < by:
                wide[cells + row : cells + row + height, cells + column : cells + column + width] |= mask
    return wide


def reach(by: float) -> int:
    """Cells by which `grown` makes a mask larger on each side."""
    return ceil(by / CELL) + 1 if by > 0 else 0


def cells_in(length: float) -> int:
    """Whole cells in a length."""
    return floor(length / CELL + 1e-9)
