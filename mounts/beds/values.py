"""Pieces, beds and placements."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


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
