"""Ranks among ties, with numpy and without it."""

from __future__ import annotations

from math import inf
from random import Random

from mounts.geometry.ties import _ranks_of, tie_ranks


def test_ranks_without_numpy_are_those_with_it() -> None:
    chance = Random(3)
    for count in range(12):
        values = [chance.choice((0.0, 1e-9, 0.4, 0.8, 1.0, inf, -inf)) for _ in range(count)]
        assert _ranks_of(values, 0.5) == tie_ranks(values, 0.5).tolist()
