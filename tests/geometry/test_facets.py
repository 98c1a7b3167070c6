"""Triangles as arrays: welding, edges, patches and lumps, counted on bodies whose counts are known."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from mounts.geometry.facets import (
    Edges,
    connected_groups,
    cross,
    degenerate_triangles,
    mesh_components,
    normalize,
    smooth_patches,
    weld_vertices,
)

BOX = np.array([(x, y, z) for x in (0.0, 1.0) for y in (0.0, 1.0) for z in (0.0, 1.0)])
SIDES = np.array([int(k) for k in "013032467475045051237276026064157173"]).reshape(12, 3)


def _cylinder(count: int) -> tuple[np.ndarray, np.ndarray]:
    turn = 2 * np.pi * np.arange(count) / count
    ring = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    points = np.concatenate([np.insert(ring, 2, z, axis=1) for z in (0.0, 1.0)] + [[[0.0, 0.0, 0.0], [0.0, 0.0, 1.0]]])
    k, n = np.arange(count), (np.arange(count) + 1) % count
    sides = [(k, n, k + count), (n, n + count, k + count), (n, k, np.full(count, 2 * count))]
    sides.append((k + count, n + count, np.full(count, 2 * count + 1)))
    return points, np.concatenate([np.stack(side, axis=1) for side in sides])


@pytest.mark.parametrize("kind", [np.float32, np.float64])
def test_welding_gives_every_place_once(kind: type) -> None:
    vertices, triangles = weld_vertices(BOX[SIDES].astype(kind))
    assert vertices.shape == (8, 3)
    assert np.array_equal(vertices[triangles], BOX[SIDES])
    assert len(np.unique(vertices, axis=0)) == 8


def test_welding_takes_minus_nothing_for_nothing() -> None:
    flipped = BOX[SIDES].copy()
    flipped[::2][flipped[::2] == 0] = -0.0
    assert len(weld_vertices(flipped)[0]) == 8


def test_welding_keeps_apart_what_is_a_bit_apart() -> None:
    near = BOX[SIDES].astype(np.float32)
    near[0, 0, 0] = np.nextafter(np.float32(0), np.float32(1))
    assert len(weld_vertices(near)[0]) == 9


def test_edges_of_a_box() -> None:
    edges = Edges(SIDES)
    assert edges.sides.tolist() == [2] * 18
    assert len(edges.open) == len(edges.nonmanifold) == 0
    assert not edges.flipped.any()
    one, other = edges.pairs
    ends = [SIDES[side // 3, side % 3] for side in (one, other)]
    assert np.array_equal(ends[0], SIDES[other // 3, (other + 1) % 3])
    assert np.array_equal(ends[1], SIDES[one // 3, (one + 1) % 3])


def test_edges_that_are_open_crowded_or_run_against() -> None:
    holed = Edges(SIDES[1:])
    assert sorted(SIDES[1:][holed.open // 3, holed.open % 3]) == [0, 1, 3]
    doubled = Edges(np.concatenate([SIDES, SIDES[:1]]))
    assert len(doubled.nonmanifold) == 3
    turned = SIDES.copy()
    turned[5] = turned[5][::-1]
    assert Edges(turned).flipped.sum() == 3


def test_triangles_that_fell_to_a_line_have_no_edges() -> None:
    fallen = np.concatenate([SIDES, [[1, 1, 2], [5, 5, 5]]])
    assert degenerate_triangles(fallen).tolist() == [False] * 12 + [True, True]
    assert Edges(fallen).sides.tolist() == [2] * 18
    assert Edges(fallen[12:]).sides.tolist() == []


def _patches(points: np.ndarray, triangles: np.ndarray) -> int:
    return int(smooth_patches(points, triangles, Edges(triangles)).max()) + 1


def test_a_box_has_six_patches_and_a_cylinder_three_when_it_is_round_enough() -> None:
    assert _patches(BOX, SIDES) == 6
    for count, expected in ((24, 3), (17, 3), (8, 3), (7, 9), (6, 8)):  # a nut's pocket has six sides
        points, triangles = _cylinder(count)
        assert _patches(points, triangles) == expected
        cone = np.where(points[:, 2:] > 0, points * [0.5, 0.5, 1.0], points)
        assert _patches(cone, triangles) == expected
        leaning = points + np.stack([0 * points[:, 0], 0 * points[:, 0], 0.4 * points[:, 0]], axis=1)
        assert _patches(np.where(points[:, 2:] > 0, leaning, points), triangles) == expected  # cut aslant


def test_a_fold_between_two_even_sides_is_an_edge() -> None:
    """A roof of 150 degrees on a box: two sides alike are no round face."""
    roof = BOX.copy()
    roof = np.concatenate([roof, [[0.5, 0.0, 1.13], [0.5, 1.0, 1.13]]])
    walls = [side for side in SIDES.tolist() if not all(roof[k, 2] == 1 for k in side)]
    gables = [[1, 5, 8], [7, 3, 9]]
    slopes = [[1, 8, 9], [1, 9, 3], [8, 5, 7], [8, 7, 9]]
    assert _patches(roof, np.array(walls + gables + slopes)) == 7


def test_a_chamfer_is_no_part_of_what_it_breaks() -> None:
    """Eight corners: a square with its corners cut off by an eighth; every turn is 45 degrees."""
    points, triangles = _cylinder(8)
    corners = np.array([(1, 0.75), (0.75, 1), (-0.75, 1), (-1, 0.75), (-1, -0.75), (-0.75, -1), (0.75, -1), (1, -0.75)])
    points[:8, :2] = points[8:16, :2] = corners
    assert _patches(points, triangles) == 10


def test_lumps_hang_together_by_edges_not_by_corners() -> None:
    apart = np.concatenate([SIDES, SIDES + 8])
    assert mesh_components(apart, Edges(apart)).tolist() == [0] * 12 + [1] * 12
    corner = np.concatenate([SIDES, np.where(SIDES == 0, 7, SIDES + 8)])  # the second box stands on the first's corner
    assert mesh_components(corner, Edges(corner)).max() == 1


@pytest.mark.parametrize("seed", range(5))
def test_joined_against_scipy(seed: int) -> None:
    """Source: scipy.sparse.csgraph.connected_components."""
    chance = np.random.default_rng(seed)
    one, other = chance.integers(0, 500, (2, 380))
    ours = connected_groups(500, one, other)
    count, theirs = connected_components(coo_matrix((np.ones(380), (one, other)), shape=(500, 500)), directed=False)
    assert ours.max() + 1 == count
    assert len(np.unique(np.stack([ours, theirs]), axis=1).T) == count


def test_joined_follows_a_long_chain() -> None:
    links = np.random.default_rng(1).permutation(20_000)
    assert connected_groups(20_001, links, links + 1).max() == 0


def test_cross_and_unit() -> None:
    a, b = np.random.default_rng(2).normal(size=(2, 50, 3))
    assert cross(a, b) == pytest.approx(np.cross(a, b))
    assert np.linalg.norm(normalize(a), axis=1) == pytest.approx(np.ones(50))
    assert normalize(np.zeros((1, 3))).tolist() == [[0.0, 0.0, 0.0]]
