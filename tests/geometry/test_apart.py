"""Distances between triangles: by formula, and against a general minimiser that shares nothing with them."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize

from mounts.geometry.apart import Pairs, between, corner_shares
from mounts.geometry.facets import normalize, triangle_cross

FLAT = np.array([[0.0, 0.0, 0.0], [4.0, 0.0, 0.0], [0.0, 4.0, 0.0]])


def _pairs(one: np.ndarray, other: np.ndarray) -> Pairs:
    return Pairs(one, other, normalize(triangle_cross(one)), normalize(triangle_cross(other)))


@pytest.mark.parametrize(
    ("other", "distance"),
    [
        (FLAT + np.array([1.0, 1.0, 3.0]), 3.0),  # over it
        (FLAT + np.array([-9.0, 0.0, 0.0]), 5.0),  # corner to corner, in its plane
        (FLAT + np.array([5.0, 0.0, 2.0]), 5.0**0.5),  # corner to side
        (np.array([[1.0, 1.0, 0.5], [1.0, 1.0, 9.0], [2.0, 1.0, 9.0]]), 0.5),  # a corner over the inside
        (np.array([[-1.0, -1.0, 2.0], [9.0, -1.0, 2.0], [9.0, -1.0, 9.0]]), 5.0**0.5),  # side across side
        (FLAT[[0, 1, 1]] + [0.0, 0.0, 2.0], 2.0),  # one that fell to a line
    ],
)
def test_distances_by_pythagoras(other: np.ndarray, distance: float) -> None:
    found, start, end = between(FLAT[None], np.asarray(other)[None])
    assert found[0] == pytest.approx(distance, abs=1e-12)
    assert np.linalg.norm(end - start) == pytest.approx(distance, abs=1e-12)
    back, _, _ = between(np.asarray(other)[None], FLAT[None])
    assert back[0] == pytest.approx(distance, abs=1e-12)


def test_against_a_general_minimiser() -> None:
    """Source: scipy.optimize.minimize over the four numbers that tell two places; a convex problem has one least."""
    chance = np.random.default_rng(3)
    one, other = chance.normal(size=(40, 3, 3)), chance.normal(size=(40, 3, 3)) + np.array([3.5, 0.0, 0.0])
    found, start, end = between(one, other)
    for k in range(40):

        def apart(x: np.ndarray, k: int = k) -> float:
            p = one[k][0] + x[0] * (one[k][1] - one[k][0]) + x[1] * (one[k][2] - one[k][0])
            q = other[k][0] + x[2] * (other[k][1] - other[k][0]) + x[3] * (other[k][2] - other[k][0])
            return float(((p - q) ** 2).sum())

        within = [{"type": "ineq", "fun": lambda x, j=j: 1 - x[j] - x[j + 1]} for j in (0, 2)]
        least = minimize(apart, [0.3] * 4, bounds=[(0, 1)] * 4, constraints=within, method="SLSQP", tol=1e-14)
        assert found[k] ** 2 == pytest.approx(least.fun, abs=1e-6)
    for corners, places in ((one, start), (other, end)):
        shares = corner_shares(corners, places)
        assert np.einsum("kc,kci->ki", shares, corners) == pytest.approx(places, abs=1e-9)


def test_bounds_never_exceed_a_wall() -> None:
    chance = np.random.default_rng(4)
    one = chance.normal(size=(4000, 3, 3))
    other = chance.normal(size=(4000, 3, 3)) + np.array([0.0, 0.0, 4.0])
    pairs = _pairs(one, other)
    ways = between(one, other)
    walls = pairs.through(ways, 0.5)
    assert walls.sum() > 20
    assert (pairs.at_least()[walls] <= ways[0][walls] + 1e-9).all()


def _plates(gap: float, lean: float) -> Pairs:
    """A triangle that faces up, and one over it at some height that faces down, leaning."""
    c, s = np.cos(np.radians(lean)), np.sin(np.radians(lean))
    over = FLAT @ np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]]) + [0.0, 0.0, gap]
    return _pairs(FLAT[None, ::-1], over[None])


def test_a_wall_runs_in_against_the_one_normal_and_out_along_the_other() -> None:
    plate = _plates(2.0, 0.0)  # the lower faces down, the upper faces up: material between
    assert plate.through(between(plate.one, plate.other), 0.87).tolist() == [True]
    gap = Pairs(plate.one[:, ::-1], plate.other[:, ::-1], -plate.normals, -plate.other_normals)  # air between
    assert gap.through(between(gap.one, gap.other), 0.87).tolist() == [False]


@pytest.mark.parametrize(("lean", "held"), [(29.0, True), (31.0, False)])
def test_surfaces_oppose_each_other_within_thirty_degrees(lean: float, held: bool) -> None:
    plate = _plates(2.0, lean)
    assert plate.through(between(plate.one, plate.other), np.cos(np.radians(30.0))).tolist() == [held]


@pytest.mark.parametrize(("lean", "held"), [(29.0, True), (31.0, False)])
def test_touching_triangles_are_a_wall_where_they_fold_to_a_knife(lean: float, held: bool) -> None:
    fold = _plates(0.0, lean)
    assert fold.through(between(fold.one, fold.other), np.cos(np.radians(30.0))).tolist() == [held]
    slot = Pairs(fold.one[:, ::-1], fold.other[:, ::-1], -fold.normals, -fold.other_normals)  # air in the fold
    assert slot.through(between(slot.one, slot.other), np.cos(np.radians(30.0))).tolist() == [False]
