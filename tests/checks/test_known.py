"""Least walls between known surfaces, held against every triangle measured with every other."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from mounts.checks.mesh.known import Patches, least_between
from mounts.checks.mesh.nearest import pairs_of
from mounts.checks.mesh.skin import Skin
from mounts.geometry.apart import between
from mounts.geometry.outline import circle, rectangle
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Feature, Recipe
from tests.idents import ident
from tests.scale.perturbed import shuffled

OPPOSED = 0.75


@cache
def _block() -> Part:
    """A block with a bore, a slot aside of it, and a room under both that does not reach the top."""
    tower = Feature(ident("tower"), (Prism(rectangle(60.0, 40.0, 4.0), 0.0, 20.0),))
    cuts = {
        "bore": Prism(circle(18.0).moved(-12.0, 1.0), -1.0, 21.0),
        "nut 1": Prism(rectangle(7.0, 22.0, 1.0).moved(9.3, -0.7), -1.0, 21.0),
        "nut 2": Prism(circle(5.0).moved(20.0, 12.1), -1.0, 13.0),
    }
    return mesh.build(
        Recipe("part", (tower, *(Feature(ident(name), (cut,), cut=True) for name, cut in cuts.items())), 0)
    )


def _walls(part: Part, expected: float) -> dict[int, float]:
    """Return the least wall of every two features, by the number of the two."""
    skin, size = Skin.of(part), len(part.features)
    one, other = np.divmod(np.arange(size * size), size)
    ends = np.eye(size, dtype=bool)[one], np.eye(size, dtype=bool)[other]
    many = np.full(size * size, 1.0)
    found = least_between(Patches.of(skin, part.feature), ends, OPPOSED * many, expected * many)
    for near in found.values():
        assert np.linalg.norm(near.end - near.start) == pytest.approx(near.distance, abs=1e-9)
    return {k: near.distance for k, near in found.items()}


@cache
def _all_pairs() -> dict[int, float]:
    """Return the least wall of every two features of the block, of each triangle of one to each of the other."""
    part = _block()
    skin, size = Skin.of(part), len(part.features)
    walls = {}
    for k in range(size * size):
        one, other = (np.flatnonzero(part.feature == end) for end in divmod(k, size))
        pairs = pairs_of(skin, np.repeat(one, len(other)), np.tile(other, len(one)))
        ways = between(pairs.one, pairs.other)
        held = pairs.through(ways, OPPOSED)
        if held.any():
            walls[k] = ways[0][held].min()
    assert len(walls) >= size * size - size
    return walls


@pytest.mark.parametrize("expected", [-1.0, 0.0, 2.5, 7.0, 500.0])
def test_the_least_wall_is_that_of_all_pairs(expected: float) -> None:
    assert _walls(_block(), expected) == pytest.approx(_all_pairs(), abs=2e-6)


def test_the_order_of_triangles_changes_no_wall_and_no_place() -> None:
    usual = Skin.of(_block())
    size = len(usual.part.features)
    ends = np.eye(size, dtype=bool)[[0, 0, 1]], np.eye(size, dtype=bool)[[1, 2, 3]]
    bounds = np.full(3, OPPOSED), np.full(3, 3.0)
    kept = least_between(Patches.of(usual, usual.part.feature), ends, *bounds)
    for seed in range(5):
        other = Skin.of(shuffled(_block(), np.random.default_rng(seed)))
        found = least_between(Patches.of(other, other.part.feature), ends, *bounds)
        assert found.keys() == kept.keys()
        for k, near in found.items():
            assert near.distance == pytest.approx(kept[k].distance, abs=1e-6)
            assert (near.start + near.end) / 2 == pytest.approx((kept[k].start + kept[k].end) / 2, abs=0.01)


def test_no_surface_at_one_end_is_no_wall() -> None:
    part = _block()
    none = np.zeros((1, len(part.features)), dtype=bool)
    patches = Patches.of(Skin.of(part), part.feature)
    assert least_between(patches, (none, ~none), np.ones(1), np.ones(1)) == {}
    assert least_between(patches, (none[:0], none[:0]), np.ones(0), np.ones(0)) == {}
