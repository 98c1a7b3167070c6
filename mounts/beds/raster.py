"""Silhouettes as rasters: what a part covers of its bed, seen from above, with a margin round it, erring outward.

Pieces, beds and placements.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.bool_]  # [row, column]: y upward, x to the right
Loops = tuple[NDArray[np.float64], ...]

CELL = 1.0  # mm, side of a raster's cell
FINE = 4  # a silhouette is drawn this many times finer, a little wider, and a cell that holds any of it counts
SPREAD = 2  # of those finer pixels


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """Part in print pose, wherever it lies on a bed.

    Attributes:
        name: of the part.
        vertices: (n, 3) float, mm, in print pose, lowest point at z = 0.
        triangles: (m, 3) int.
    """

    name: str
    vertices: NDArray[np.float64]
    triangles: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Bed:
    """Bed of a printer.

    Attributes:
        size: x and y, mm.
        height: z, mm.
        gap: between the brims of two pieces, mm.
        brim: round each piece, mm.
    """

    size: tuple[float, float]
    height: float
    gap: float
    brim: float


@dataclass(frozen=True, slots=True)
class BedPlacement:
    """Piece in its place on a bed.

    Attributes:
        piece: its index.
        turn: about z, degrees, before it is moved.
        at: x and y that it is moved by, on the bed's own axes, mm.
    """

    piece: int
    turn: float
    at: tuple[float, float]


def pieces_on(placed: Sequence[BedPlacement]) -> tuple[int, ...]:
    """Return the pieces on a bed, each once, in the order in which they were laid."""
    return tuple(dict.fromkeys(one.piece for one in placed))


def placed_extent(piece: Piece, placed: BedPlacement) -> NDArray[np.float64]:
    """Return the least and greatest x and y of a placed piece, (2, 2) mm."""
    flat = piece.vertices[:, :2] @ rotation(placed.turn).T + np.asarray(placed.at)
    return np.array([flat.min(axis=0), flat.max(axis=0)])


def rotation(turn: float) -> NDArray[np.float64]:
    """Return the rotation about the vertical by degrees, counter-clockwise seen from above, (2, 2)."""
    angle = np.radians(turn)
    return np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])


@dataclass(frozen=True, slots=True, eq=False)
class Silhouette:
    """Area that a part covers with its margin, in cells.

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


def shadow_loops(vertices: NDArray[np.float64], triangles: NDArray[np.int64]) -> Loops:
    """Return the exact outlines of a part's projection on the bed.

    Args:
        vertices: (n, 3) mm.
        triangles: (m, 3), counter-clockwise seen from outside.

    Returns:
        closed loops, each (k, 2) mm; those round holes run clockwise.
    """
    from manifold3d import CrossSection, FillRule

    corners = vertices[triangles][:, :, :2]
    (x1, y1), (x2, y2) = (corners[:, 1] - corners[:, 0]).T, (corners[:, 2] - corners[:, 0]).T
    upper = corners[x1 * y2 > y1 * x2]  # a closed surface's upper side alone covers all that it covers
    return tuple(CrossSection(list(upper), FillRule.NonZero).to_polygons())


def draw_silhouette(loops: Loops, margin: float = 0.0, turn: float = 0.0) -> Silhouette:
    """Return the silhouette of a part in print pose.

    Every cell within the margin of the part is covered; one within a cell of those may be as well.

    Args:
        loops: of its projection.
        margin: mm round it.
        turn: degrees about the vertical, before it is drawn.
    """
    from PIL import Image, ImageDraw

    angle = np.radians(turn)
    turned = [loop @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]]) for loop in loops]
    every = np.concatenate(turned)
    low = np.floor((every.min(axis=0) - margin) / CELL - 1.0) * CELL
    size = np.ceil((every.max(axis=0) + margin - low) / CELL).astype(int) + 2
    drawn = sorted(((loop - low) * FINE / CELL - 0.5 for loop in turned), key=_enclosed_area, reverse=True)
    image = Image.new("L", (int(size[0]) * FINE, int(size[1]) * FINE))
    draw = ImageDraw.Draw(image)
    for loop in drawn:  # from the outside in, so that what lies in a hole is drawn after it
        draw.polygon(loop.ravel().tolist(), fill=int(_signed_area(loop) > 0))
    half = margin * FINE / CELL
    for loop in drawn:
        rim = [tuple(place) for place in np.vstack([loop, loop[:1]]).tolist()]
        draw.line(rim, fill=1, width=max(1, round(2 * half)))
        for x, y in rim[1:] if margin else ():
            draw.ellipse((x - half, y - half, x + half, y + half), fill=1)
    fine = _dilate(np.asarray(image) > 0)
    mask: Mask = fine.reshape(size[1], FINE, size[0], FINE).max(axis=(1, 3))
    return Silhouette(mask, (float(low[0]), float(low[1])), turn)


def _signed_area(loop: NDArray[np.float64]) -> float:
    """Return the area inside a loop, negative where it runs clockwise, mm²."""
    (x, y), (u, v) = loop.T, np.roll(loop, -1, axis=0).T
    return float((x * v - u * y).sum() / 2)


def _enclosed_area(loop: NDArray[np.float64]) -> float:
    """Return the area inside a loop, mm²."""
    return abs(_signed_area(loop))


def _dilate(mask: Mask) -> Mask:
    """Return the mask of pixels within SPREAD of one that is set, by rows and by columns."""
    for axis in (0, 1):
        for _ in range(SPREAD):
            one = np.moveaxis(mask, axis, 0)
            grown = one.copy()
            grown[1:] |= one[:-1]
            grown[:-1] |= one[1:]
            mask = np.moveaxis(grown, 0, axis)
    return mask


def turn_quarters(one: Silhouette, times: int) -> Silhouette:
    """Return a silhouette turned counter-clockwise by a number of right angles."""
    mask, (x, y) = one.mask, one.origin
    for _ in range(times % 4):
        rows = mask.shape[0]
        mask = np.rot90(mask[::-1])[::-1]
        x, y = -(y + rows * CELL), x
    return Silhouette(mask, (x, y), (one.turn + 90.0 * times) % 360.0)


def cells_in(length: float) -> int:
    """Return the number of whole cells in a length in mm."""
    return floor(length / CELL + 1e-9)
