"""Silhouettes as rasters: what a part covers of its bed, seen from above, with a margin round it, erring outward."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.bool_]  # [row, column]: y upward, x to the right

CELL = 1.0  # mm, side of a raster's cell
FINE = 4  # a silhouette is drawn this many times finer, two pixels wider, and a cell that holds any of it counts


@dataclass(frozen=True, slots=True, eq=False)
class Silhouette:
    """What a part covers with its margin, in cells.

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


def silhouette(
    vertices: NDArray[np.float64], triangles: NDArray[np.int64], margin: float = 0.0, turn: float = 0.0
) -> Silhouette:
    """The silhouette of a part in print pose.

    Every cell within the margin of the part is covered; one within a cell of those may be as well.

    Args:
        vertices: (n, 3) mm, each place once.
        triangles: (m, 3), counter-clockwise seen from outside.
        margin: mm round it.
        turn: degrees about the vertical, before it is drawn.
    """
    from PIL import Image, ImageDraw, ImageFilter  # noqa: PLC0415

    angle = np.radians(turn)
    flat = vertices[:, :2] @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    low = np.floor((flat.min(axis=0) - margin) / CELL - 1.0) * CELL
    size = np.ceil((flat.max(axis=0) + margin - low) / CELL).astype(int) + 2
    points = (flat - low) * FINE / CELL - 0.5
    upper = triangles[_upward(points[triangles])]  # a closed surface's upper side alone covers all that it covers
    image = Image.new("L", (int(size[0]) * FINE, int(size[1]) * FINE))
    draw = ImageDraw.Draw(image)
    for corners in points[upper].reshape(-1, 6).tolist():
        draw.polygon(corners, fill=1, outline=1)
    half = margin * FINE / CELL
    for (x0, y0), (x1, y1) in points[_rim(upper)].tolist() if margin else ():
        draw.line((x0, y0, x1, y1), fill=1, width=round(2 * half))
        draw.ellipse((x0 - half, y0 - half, x0 + half, y0 + half), fill=1)
    fine = np.asarray(image.filter(ImageFilter.MaxFilter(5))) > 0
    mask: Mask = fine.reshape(size[1], FINE, size[0], FINE).max(axis=(1, 3))
    return Silhouette(mask, (float(low[0]), float(low[1])), turn)


def _upward(corners: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which triangles (m, 3, 2) face up."""
    (x1, y1), (x2, y2) = (corners[:, 1] - corners[:, 0]).T, (corners[:, 2] - corners[:, 0]).T
    up: NDArray[np.bool_] = x1 * y2 - y1 * x2 > 0.0
    return up


def _rim(upper: NDArray[np.int64]) -> NDArray[np.int64]:
    """Edges (k, 2) of the upper side that only one of its triangles has."""
    edges = upper[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    _, first, count = np.unique(np.sort(edges, axis=1), axis=0, return_index=True, return_counts=True)
    rim: NDArray[np.int64] = edges[first[count == 1]]
    return rim


def quarter_turned(one: Silhouette, times: int) -> Silhouette:
    """A silhouette turned by right angles, counter-clockwise."""
    mask, (x, y) = one.mask, one.origin
    for _ in range(times % 4):
        rows = mask.shape[0]
        mask = np.rot90(mask[::-1])[::-1]
        x, y = -(y + rows * CELL), x
    return Silhouette(mask, (x, y), (one.turn + 90.0 * times) % 360.0)


def cells_in(length: float) -> int:
    """Whole cells in a length."""
    return floor(length / CELL + 1e-9)
