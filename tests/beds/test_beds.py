"""Beds: nothing meets anything, small parts lie inside rings, and there are never more beds than boxes would take.

Distances are measured with shapely on exact silhouettes, which trimesh projects; boxes are packed by rectpack. Both are
general-purpose libraries that know nothing of ours.
"""

from __future__ import annotations

import sys
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
import rectpack
import trimesh
from shapely import affinity, union_all
from shapely.geometry import box as rectangle

from mounts.beds.packing import least_bed, pack_beds
from mounts.beds.raster import CELL, Bed, Piece, draw_silhouette, placed_extent, turn_quarters
from mounts.beds.raster import shadow_loops as outlines

sys.path.insert(0, str(Path(__file__).parent))
from solids import block, disc, ring

BED = Bed((250.0, 250.0), 250.0, 4.0, 3.0)


def shadow(piece: Piece):
    """The piece's exact silhouette."""
    mesh = trimesh.Trimesh(piece.vertices, piece.triangles, process=False)
    return trimesh.path.polygons.projected(mesh, (0, 0, 1))


def lying(pieces, placed):
    """Exact silhouettes where they lie on a bed."""
    return [
        affinity.translate(affinity.rotate(shadow(pieces[one.piece]), one.turn, origin=(0, 0)), *one.at)
        for one in placed
    ]


KITS = {
    "rings and what goes inside": (
        [ring("ring", 236, 180), ring("tall", 220, 160), disc("disc", 130), block("plate", 71, 53)],
        [2, 1, 3, 2],
    ),
    "a door set": ([ring("woofer", 165, 120), block("bracket", 90, 40), disc("tweeter", 50)], [2, 4, 8]),
    "odds and ends": (
        [block("long", 230, 30), block("square", 110, 110), ring("port", 60, 30), disc("cap", 20)],
        [3, 3, 9, 9],
    ),
}


@pytest.mark.parametrize("name", KITS)
def test_nothing_meets_anything_and_nothing_hangs_over_the_edge(name):
    pieces, copies = KITS[name]
    beds = pack_beds(pieces, copies, BED)
    assert sorted(one.piece for bed in beds for one in bed) == [k for k, n in enumerate(copies) for _ in range(n)]
    inside = rectangle(0, 0, *BED.size).buffer(-BED.brim + 1e-6)
    for bed in beds:
        shapes = lying(pieces, bed)
        assert all(inside.contains(shape) for shape in shapes)
        assert all(one.distance(other) >= BED.gap + 2 * BED.brim - 1e-6 for one, other in combinations(shapes, 2))


def boxes(pieces, copies) -> int:
    """Beds that rectpack takes with the pieces' bounding boxes, turned as it likes, its best algorithm."""
    counts = []
    for algorithm in (rectpack.MaxRectsBssf, rectpack.MaxRectsBaf, rectpack.SkylineBlWm, rectpack.GuillotineBssfSas):
        packer = rectpack.newPacker(rotation=True, pack_algo=algorithm)
        for piece, count in zip(pieces, copies, strict=True):
            size = np.ptp(piece.vertices[:, :2], axis=0) + 2 * BED.brim + BED.gap
            for _ in range(count):
                packer.add_rect(*(float(side) for side in size))
        packer.add_bin(BED.size[0] + BED.gap, BED.size[1] + BED.gap, count=float("inf"))
        packer.pack()
        assert len(packer.rect_list()) == sum(copies)
        counts.append(len(packer))
    return min(counts)


def test_never_more_beds_than_boxes_take_and_fewer_where_there_are_rings():
    ours = {name: len(pack_beds(*kit, BED)) for name, kit in KITS.items()}
    theirs = {name: boxes(*kit) for name, kit in KITS.items()}
    assert all(ours[name] <= theirs[name] for name in KITS)
    assert ours["rings and what goes inside"] < theirs["rings and what goes inside"]


def test_a_disc_lies_inside_a_ring_that_leaves_it_the_room():
    """A bore of 116 holds a disc of 116 − 2·(gap + 2 brims) = 96, less three cells of the raster a side: 90 does."""
    just, more = ([ring("ring", 230, 116), disc("disc", diameter)] for diameter in (90.0, 96.5))
    assert [len(bed) for bed in pack_beds(just, [1, 1], BED)] == [2]
    assert [len(bed) for bed in pack_beds(more, [1, 1], BED)] == [1, 1]


def test_the_content_of_a_bed_lies_about_its_middle():
    pieces, copies = KITS["a door set"]
    for bed in pack_beds(pieces, copies, BED):
        corners = np.concatenate([placed_extent(pieces[one.piece], one) for one in bed])
        np.testing.assert_allclose((corners.min(axis=0) + corners.max(axis=0)) / 2, (125.0, 125.0), atol=1e-9)


@pytest.mark.parametrize(
    ("size", "need"), [((244.0, 244.0, 249.0), None), ((244.2, 244.0, 10.0), (250.2, 250.0, 10.0))]
)
def test_a_part_that_just_goes_on_a_bed_and_one_that_just_does_not(size, need):
    piece = block("large", *size)
    assert least_bed(piece, BED) == need
    if need is None:
        ((placed,),) = pack_beds([piece], [1], BED)
        assert rectangle(0, 0, *BED.size).buffer(-BED.brim + 1e-6).contains(*lying([piece], [placed]))


def test_a_long_part_goes_across_a_bed_that_is_shorter_than_it():
    """260 × 30 on 250 × 250 at 45°: (260 + 30 + margins)/√2 = 226."""
    piece = block("bar", 260, 30)
    assert least_bed(piece, BED) is None
    ((placed,),) = pack_beds([piece], [1], BED)
    assert placed.turn % 90 == 45


def test_the_same_kit_is_laid_the_same_way_every_time():
    pieces, copies = KITS["odds and ends"]
    assert pack_beds(pieces, copies, BED) == pack_beds(pieces, copies, BED)


@pytest.mark.parametrize("turn", [0.0, 45.0, 30.0])
@pytest.mark.parametrize("margin", [0.0, 5.0])
def test_a_silhouette_covers_all_within_the_margin_and_little_more(turn, margin):
    piece = ring("ring", 60, 30)
    found = draw_silhouette(outlines(piece.vertices, piece.triangles), margin, turn)
    exact = affinity.rotate(shadow(piece), turn, origin=(0, 0)).buffer(margin, quad_segs=64)
    x, y = found.origin
    rows, columns = (where * CELL for where in np.nonzero(found.mask))
    covered = union_all(
        [rectangle(x + c, y + r, x + c + CELL, y + r + CELL) for r, c in zip(rows, columns, strict=True)]
    )
    assert exact.difference(covered).area == 0
    assert covered.difference(exact.buffer(2.5 * CELL)).area == 0  # a cell's diagonal, and the drawing


def test_what_stands_in_the_hole_of_another_is_covered_and_the_rest_of_the_hole_is_not():
    outer, inner = ring("ring", 60, 40), disc("disc", 20)
    vertices = np.concatenate([outer.vertices, inner.vertices])
    loops = outlines(vertices, np.concatenate([outer.triangles, inner.triangles + len(outer.vertices)]))
    assert len(loops) == 3
    exact = np.pi / 4 * (60**2 - 40**2 + 20**2)
    assert exact < draw_silhouette(loops).area < exact + np.pi * (60 + 40 + 20) * 2.5 * CELL


def test_a_silhouette_turned_by_right_angles_is_the_one_drawn_at_that_turn():
    piece = block("plate", 41, 17)
    loops = outlines(piece.vertices, piece.triangles)
    once = draw_silhouette(loops)
    for times in range(4):
        turned, drawn = turn_quarters(once, times), draw_silhouette(loops, 0.0, 90.0 * times)
        assert turned.turn == drawn.turn
        np.testing.assert_allclose(middle(turned), middle(drawn), atol=1.0)


def middle(found):
    rows, columns = np.nonzero(found.mask)
    return np.array([columns.mean() + 0.5, rows.mean() + 0.5]) * CELL + np.array(found.origin)
