"""Tiling of a drawing at 1:1 over sheets of paper: which way round, on how many, and what each one shows."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Literal

from mounts.geometry.outline import Point

Paper = Literal["a4", "letter"]
SHEETS: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # ISO 216; ANSI Y14.1
USABLE = (190.0, 259.0)  # what every printer can print on either
OVERLAP = 12.0  # of neighbouring sheets, shown on both
STRIP = 8.0  # at the left and at the foot, for the measuring bars

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Tile:
    """Part of the drawing that one sheet shows.

    Attributes:
        column, row: place in the grid, from the left and from the top, from 0.
        corner: lower left corner of the sheet's field, in the drawing.
    """

    column: int
    row: int
    corner: Point

    @property
    def name(self) -> str:
        """Column as a letter and row as a number: "B1" is right of "A1"."""
        letters, column = "", self.column
        while column >= 0:
            letters, column = chr(65 + column % 26) + letters, column // 26 - 1
        return f"{letters}{self.row + 1}"


@dataclass(frozen=True, slots=True)
class TileGrid:
    """A grid of equal sheets over a drawing.

    Attributes:
        usable: width and height of the printable area.
        field: width and height of what a sheet shows of the drawing; it stands at the right of the area, above the
            strip at its foot.
        columns, rows: size of the grid.
        corner: lower left corner of the whole grid, in the drawing.
    """

    usable: tuple[float, float]
    field: tuple[float, float]
    columns: int
    rows: int
    corner: Point

    @property
    def is_upright(self) -> bool:
        """True if the sheet stands on its short edge."""
        return self.usable[0] < self.usable[1]

    @property
    def tiles(self) -> tuple[Tile, ...]:
        """All sheets, line by line from the top left."""
        return tuple(self._tile(column, row) for row in range(self.rows) for column in range(self.columns))

    def _tile(self, column: int, row: int) -> Tile:
        (width, height), (x, y) = self.field, self.corner
        below = self.rows - 1 - row
        return Tile(column, row, (x + column * (width - OVERLAP), y + below * (height - OVERLAP)))


def lay_tiles(box: Box, head_upright: float, head_lying: float) -> TileGrid:
    """Return the layout with the fewest sheets, upright where both ways take as many.

    Args:
        box: bounding box of the drawing, (x0, y0, x1, y1).
        head_upright, head_lying: height that the heading takes on an upright and on a lying sheet.
    """
    upright = _grid(box, USABLE, head_upright)
    lying = _grid(box, (USABLE[1], USABLE[0]), head_lying)
    return min(upright, lying, key=lambda layout: layout.columns * layout.rows)


def _grid(box: Box, usable: tuple[float, float], head: float) -> TileGrid:
    field = (usable[0] - STRIP, usable[1] - STRIP - head)
    columns, rows = _count(box[2] - box[0], field[0]), _count(box[3] - box[1], field[1])
    covered = (columns * (field[0] - OVERLAP) + OVERLAP, rows * (field[1] - OVERLAP) + OVERLAP)
    corner = ((box[0] + box[2] - covered[0]) / 2, (box[1] + box[3] - covered[1]) / 2)
    return TileGrid(usable, field, columns, rows, corner)


def _count(length: float, field: float) -> int:
    return max(1, ceil((length - OVERLAP) / (field - OVERLAP) - 1e-9))
