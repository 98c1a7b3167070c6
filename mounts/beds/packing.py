"""Packing of pieces on beds: first fit on rasters, in several orders, of which the one with the fewest beds is taken.

A piece goes where its silhouette, with brim and half the gap round it, meets no other's. All places on a bed are tried
at once: the overlap of two rasters at every shift is a correlation, which a Fourier transform gives. So a small part is
laid inside a ring as readily as beside it.

Free places for a piece on a bed: the overlap of two rasters at every shift at once, by a Fourier transform.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import ceil

import numpy as np
from numpy.typing import NDArray

from mounts.beds.raster import (
    CELL,
    Bed,
    BedPlacement,
    Mask,
    Piece,
    Silhouette,
    cells_in,
    draw_silhouette,
    placed_extent,
    shadow_loops,
    turn_quarters,
)

ORDERS = 6  # of the pieces that are tried where the first leaves a chance of fewer beds
SEED = 20261125
TURNS = (0.0, 45.0)  # degrees, each also by right angles


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


def least_bed(piece: Piece, bed: Bed) -> tuple[float, float, float] | None:
    """Return the least bed that holds a piece, [x, y, z] mm with its brim, if this one is too small; else None."""
    low, high = piece.vertices.min(axis=0), piece.vertices.max(axis=0)
    x, y, z = (float(v) for v in np.round(high - low + np.array([2 * bed.brim, 2 * bed.brim, 0.0]), 1))
    flat = (x <= bed.size[0] and y <= bed.size[1]) or (y <= bed.size[0] and x <= bed.size[1])
    if z <= bed.height and (flat or any(fits_bed(shape, bed) for shape in _turned_pieces([piece], bed)[0])):
        return None
    return (x, y, z)


def pack_beds(pieces: Sequence[Piece], copies: Sequence[int], bed: Bed) -> tuple[tuple[BedPlacement, ...], ...]:
    """Return the placements of all copies of all pieces, on as few beds as are found, centred on each bed.

    Args:
        pieces: each of which goes on the bed, see `least_bed`.
        copies: of each piece.
        bed: all beds are alike.

    Raises:
        ValueError: if a piece goes on no bed.
    """
    shapes = _turned_pieces(pieces, bed)
    areas = [shape[0].own.area for shape in shapes]
    wanted = [k for k, count in enumerate(copies) for _ in range(count)]
    least = ceil(sum(areas[k] for k in wanted) / (bed.size[0] * bed.size[1]))
    best: list[list[BedPlacement]] | None = None
    known: Known = {}
    for order in _orders(wanted, areas, shapes):
        laid = _first_fit(order, shapes, bed, known)
        if best is None or len(laid) < len(best):
            best = laid
        if len(best) <= max(least, 1):
            break
    return tuple(_centre_pieces(placed, pieces, bed) for placed in best or [])


def _turned_pieces(pieces: Sequence[Piece], bed: Bed) -> list[list[TurnedPiece]]:
    """Return each piece in all its turns."""
    found = []
    for k, piece in enumerate(pieces):
        margin = bed.brim + bed.gap / 2
        loops = shadow_loops(piece.vertices, piece.triangles)
        drawn = [draw_silhouette(loops, margin, turn) for turn in TURNS]
        turned = [turn_quarters(one, times) for one in drawn for times in range(4)]
        found.append([TurnedPiece(k, one) for one in turned])
    return found


def _orders(wanted: list[int], areas: list[float], shapes: list[list[TurnedPiece]]) -> list[list[int]]:
    """Return orders to lay the pieces in: largest first, longest first, then those with a random factor."""
    longest = [max(shape[0].own.mask.shape) for shape in shapes]
    chance = np.random.default_rng(SEED)
    orders = [sorted(wanted, key=lambda k: -areas[k]), sorted(wanted, key=lambda k: (-longest[k], -areas[k]))]
    for _ in range(ORDERS - 2):
        luck = chance.uniform(0.6, 1.4, len(wanted))
        mixed = sorted(range(len(wanted)), key=lambda i: -areas[wanted[i]] * luck[i])
        orders.append([wanted[i] for i in mixed])
    return orders


# where there is room for a piece, by what lies on the bed already: other orders come to the same beds again
Known = dict[tuple[tuple[BedPlacement, ...], int], tuple[TurnedPiece, tuple[int, int]] | None]


@dataclass(slots=True)
class _FilledBed:
    """Bed while it is filled.

    Attributes:
        taken: its raster.
        placed: what lies on it.
        full: pieces that found no room; what is laid later leaves them no more.
    """

    taken: Mask
    placed: list[BedPlacement] = field(default_factory=list)
    full: set[int] = field(default_factory=set)

    def takes(self, turns: Sequence[TurnedPiece], bed: Bed, known: Known) -> bool:
        """Lay a piece on the bed where there is room, and return whether there was."""
        piece = turns[0].piece
        if piece in self.full:
            return False
        asked = (tuple(self.placed), piece)
        if asked not in known:
            known[asked] = find_room(self.taken, turns, bed)
        found = known[asked]
        if found is None:
            self.full.add(piece)
            return False
        shape, (row, column) = found
        height, width = shape.mask.shape
        self.taken[row : row + height, column : column + width] |= shape.mask
        self.placed.append(place_at_cell(shape, row, column, bed))
        return True


def _first_fit(
    order: Sequence[int], shapes: list[list[TurnedPiece]], bed: Bed, known: Known
) -> list[list[BedPlacement]]:
    """Return each piece on the first bed with room for it; one that fills a bed to its edges gets a bed of its own."""
    beds: list[_FilledBed] = []
    for k in order:
        if not any(fits_bed(shape, bed) for shape in shapes[k]):
            beds.append(_fill_bed(_select_turn(shapes[k], bed), bed))
        elif not any(laid.takes(shapes[k], bed, known) for laid in beds):
            beds.append(_FilledBed(empty_bed(bed)))
            beds[-1].takes(shapes[k], bed, known)
    return [laid.placed for laid in beds]


def _fill_bed(shape: TurnedPiece, bed: Bed) -> _FilledBed:
    """Return a bed with a piece in its middle whose raster, which errs outward, is a little larger than the bed."""
    laid = _FilledBed(empty_bed(bed))
    row, column = ((room - own) // 2 for room, own in zip(laid.taken.shape, shape.mask.shape, strict=True))
    rows, columns = np.nonzero(shape.mask)
    rows, columns = rows + row, columns + column
    inside = (rows >= 0) & (columns >= 0) & (rows < laid.taken.shape[0]) & (columns < laid.taken.shape[1])
    laid.taken[rows[inside], columns[inside]] = True
    laid.placed.append(place_at_cell(shape, row, column, bed))
    return laid


def _select_turn(turns: Sequence[TurnedPiece], bed: Bed) -> TurnedPiece:
    """Return the turn in which a piece that nearly fills a bed lies on it."""
    wide = bed.size[0] >= bed.size[1]
    return next(one for one in turns if one.own.turn % 90 == 0 and (one.mask.shape[1] >= one.mask.shape[0]) is wide)


def _centre_pieces(placed: Sequence[BedPlacement], pieces: Sequence[Piece], bed: Bed) -> tuple[BedPlacement, ...]:
    """Return the pieces about the bed's middle, where it is flattest and warmest (common practice, no source)."""
    corners = np.concatenate([placed_extent(pieces[one.piece], one) for one in placed])
    low, high = corners.min(axis=0), corners.max(axis=0)
    x, y = (np.asarray(bed.size) - low - high) / 2
    return tuple(BedPlacement(one.piece, one.turn, (one.at[0] + float(x), one.at[1] + float(y))) for one in placed)
