"""Sheets over a drawing: all of it shown, neighbours overlapping, no sheet more than needed."""

from __future__ import annotations

from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mounts.write.tiles import OVERLAP, SHEETS, STRIP, USABLE, Tile, TileGrid, lay_tiles

Pair = tuple[float, float]

HEAD = 20.0
lengths = st.floats(1, 900)
places = st.floats(-300, 300)


def shown(layout: TileGrid, tile: Tile, x: float, y: float) -> bool:
    (x0, y0), (width, height) = tile.corner, layout.field
    return x0 - 1e-6 <= x <= x0 + width + 1e-6 and y0 - 1e-6 <= y <= y0 + height + 1e-6


@given(st.tuples(places, places), st.tuples(lengths, lengths), st.tuples(st.floats(0, 1), st.floats(0, 1)))
def test_every_point_is_on_a_sheet(corner: Pair, size: Pair, share: Pair) -> None:
    layout = lay_tiles((*corner, corner[0] + size[0], corner[1] + size[1]), HEAD, HEAD)
    x, y = (corner[k] + share[k] * size[k] for k in (0, 1))
    assert any(shown(layout, tile, x, y) for tile in layout.tiles)


@given(lengths, lengths, places, places)
def test_what_is_no_larger_than_the_overlap_is_whole_on_a_sheet(w: float, h: float, x: float, y: float) -> None:
    layout = lay_tiles((0, 0, w, h), HEAD, HEAD)
    x, y = x % max(w - OVERLAP, 1e-9), y % max(h - OVERLAP, 1e-9)
    ends = [(x, y), (min(w, x + OVERLAP), min(h, y + OVERLAP))]
    assert any(all(shown(layout, tile, *end) for end in ends) for tile in layout.tiles)


@given(lengths, lengths)
def test_no_more_sheets_than_needed(w: float, h: float) -> None:
    layout = lay_tiles((0, 0, w, h), HEAD, HEAD)

    def count(usable: tuple[float, float]) -> int:
        field = (usable[0] - STRIP, usable[1] - STRIP - HEAD)
        return max(1, ceil((w - OVERLAP) / (field[0] - OVERLAP) - 1e-9)) * max(
            1, ceil((h - OVERLAP) / (field[1] - OVERLAP) - 1e-9)
        )

    assert len(layout.tiles) == min(count(USABLE), count(USABLE[::-1]))


@pytest.mark.parametrize(
    ("size", "columns", "rows", "upright"),
    [((182, 231), 1, 1, True), ((183, 150), 1, 1, False), ((251, 162), 1, 1, False), ((300, 300), 2, 2, True)],
)
def test_sheets_of_known_drawings(size: tuple[float, float], columns: int, rows: int, upright: bool) -> None:
    layout = lay_tiles((0, 0, *size), HEAD, HEAD)
    assert (layout.columns, layout.rows, layout.is_upright) == (columns, rows, upright)


def test_names_run_from_the_upper_left() -> None:
    layout = lay_tiles((0, 0, 300, 300), HEAD, HEAD)
    assert [tile.name for tile in layout.tiles] == ["A1", "B1", "A2", "B2"]
    first, right, below, _ = layout.tiles
    assert right.corner == pytest.approx((first.corner[0] + layout.field[0] - OVERLAP, first.corner[1]))
    assert below.corner == pytest.approx((first.corner[0], first.corner[1] - layout.field[1] + OVERLAP))
    assert Tile(26, 0, (0, 0)).name == "AA1"


def test_the_usable_area_fits_both_papers_with_ten_mm_to_spare() -> None:
    for wide, high in SHEETS.values():
        assert wide - USABLE[0] >= 20 and high - USABLE[1] >= 20
