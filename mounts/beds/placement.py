"""Where on a bed there is room for a piece: all shifts of two rasters at once, by a Fourier transform."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from mounts.beds.raster import CELL, Mask, Silhouette, cells_in
from mounts.beds.values import Bed, Placement


@dataclass(frozen=True)
class TurnedPiece:
    """A piece in one of its turns, with its brim and half the gap round it."""

    piece: int
    own: Silhouette

    @property
    def mask(self) -> Mask:
        """Its cells."""
        return self.own.mask

    @cached_property
    def spectra(self) -> dict[tuple[int, int], NDArray[np.complex128]]:
        """Transforms of its mask, by the size of the raster that it is laid on."""
        return {}


def empty_bed(bed: Bed) -> Mask:
    """A bed without pieces; half the gap may hang over its edge, so the raster is larger by that."""
    over = 2 * _overhang_cells(bed)
    return np.zeros((cells_in(bed.size[1]) + over, cells_in(bed.size[0]) + over), dtype=bool)


def _overhang_cells(bed: Bed) -> int:
    return cells_in(bed.gap / 2)


def fits_bed(shape: TurnedPiece, bed: Bed) -> bool:
    """Whether a bed without anything else holds it."""
    return all(one <= room for one, room in zip(shape.mask.shape, empty_bed(bed).shape, strict=True))


def find_room(taken: Mask, turns: Sequence[TurnedPiece], bed: Bed) -> tuple[TurnedPiece, tuple[int, int]] | None:
    """Where a piece goes on a bed in one of its turns, nearest to the lower left corner; None when there is no room."""
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
    """Rows and columns at which a shape's lower left corner may lie so that it meets nothing."""
    size = _transform_size(taken)
    if size not in shape.spectra:
        shape.spectra[size] = np.conj(np.fft.rfft2(shape.mask, size))
    overlap = np.fft.irfft2(spectrum * shape.spectra[size], size)
    rows, columns = (room - own + 1 for room, own in zip(taken.shape, shape.mask.shape, strict=True))
    free: Mask = overlap[:rows, :columns] < 0.5
    return free


def _transform_size(taken: Mask) -> tuple[int, int]:
    """Size of the transform: no shift that lies wholly on the bed wraps round."""
    return (_smooth_length(taken.shape[0]), _smooth_length(taken.shape[1]))


def _smooth_length(length: int) -> int:
    """The next length with only small factors, for which the transform is quick."""
    while True:
        rest = length
        for factor in (2, 3, 5):
            while rest % factor == 0:
                rest //= factor
        if rest == 1:
            return length
        length += 1


def place_at_cell(shape: TurnedPiece, row: int, column: int, bed: Bed) -> Placement:
    """The place of a piece whose raster's corner lies in a cell."""
    x = (column - _overhang_cells(bed)) * CELL - shape.own.origin[0]
    y = (row - _overhang_cells(bed)) * CELL - shape.own.origin[1]
    return Placement(shape.piece, shape.own.turn, (x, y))
