"""Free places for a piece on a bed: the overlap of two rasters at every shift at once, by a Fourier transform."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from mounts.beds.raster import CELL, Mask, Silhouette, cells_in
from mounts.beds.values import Bed, BedPlacement


@dataclass(frozen=True)
class TurnedPiece:
    """Piece in one of its turns, with its brim and half the gap round it."""

    piece: int
    own: Silhouette

    @property
    def mask(self) -> Mask:
        """Cells that it covers."""
        return self.own.mask

    @cached_property
    def spectra(self) -> dict[tuple[int, int], NDArray[np.complex128]]:
        """Transforms of its mask, by the size of the raster that it is laid on."""
        return {}


def empty_bed(bed: Bed) -> Mask:
    """Return the raster of an empty bed, larger than the bed by half the gap, which may hang over its edge."""
    over = 2 * _overhang_cells(bed)
    return np.zeros((cells_in(bed.size[1]) + over, cells_in(bed.size[0]) + over), dtype=bool)


def _overhang_cells(bed: Bed) -> int:
    """Return the cells by which a piece's margin may hang over the bed's edge."""
    return cells_in(bed.gap / 2)


def fits_bed(shape: TurnedPiece, bed: Bed) -> bool:
    """Return whether an empty bed holds the piece."""
    return all(one <= room for one, room in zip(shape.mask.shape, empty_bed(bed).shape, strict=True))


def find_room(taken: Mask, turns: Sequence[TurnedPiece], bed: Bed) -> tuple[TurnedPiece, tuple[int, int]] | None:
    """Return the turn and cell nearest to the lower left corner at which a piece fits; None when there is no room."""
    spectrum = np.fft.rfft2(taken, _transform_size(taken))
    found: list[tuple[int, int, int, int]] = []
    for number, shape in enumerate(turns):
        if not fits_bed(shape, bed):
            continue
        rows, columns = np.nonzero(_free_cells(taken, spectrum, shape))
        if len(rows):
            far = rows + columns + sum(shape.mask.shape)
            at = int(np.argmin(far))
            found.append((int(far[at]), number, int(rows[at]), int(columns[at])))
    if not found:
        return None
    _, number, row, column = min(found)
    return turns[number], (row, column)


def _free_cells(taken: Mask, spectrum: NDArray[np.complex128], shape: TurnedPiece) -> Mask:
    """Return the mask of rows and columns at which the lower left corner may lie without overlap."""
    size = _transform_size(taken)
    if size not in shape.spectra:
        shape.spectra[size] = np.conj(np.fft.rfft2(shape.mask, size))
    overlap = np.fft.irfft2(spectrum * shape.spectra[size], size)
    rows, columns = (room - own + 1 for room, own in zip(taken.shape, shape.mask.shape, strict=True))
    free: Mask = overlap[:rows, :columns] < 0.5
    return free


def _transform_size(taken: Mask) -> tuple[int, int]:
    """Return the size of the transform: no shift that lies wholly on the bed wraps round."""
    return (_smooth_length(taken.shape[0]), _smooth_length(taken.shape[1]))


def _smooth_length(length: int) -> int:
    """Return the next length with only small prime factors, for which the transform is fast."""
    while True:
        rest = length
        for factor in (2, 3, 5):
            while rest % factor == 0:
                rest //= factor
        if rest == 1:
            return length
        length += 1


def place_at_cell(shape: TurnedPiece, row: int, column: int, bed: Bed) -> BedPlacement:
    """Return the placement of a piece whose raster's corner lies in a cell."""
    x = (column - _overhang_cells(bed)) * CELL - shape.own.origin[0]
    y = (row - _overhang_cells(bed)) * CELL - shape.own.origin[1]
    return BedPlacement(shape.piece, shape.own.turn, (x, y))
