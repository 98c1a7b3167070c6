"""The chance that is promised is the share that goes on and clears, on simulated doors and cups from readings on."""

from __future__ import annotations

import os
from functools import cache

import pytest

from tests.scale import true_cups, true_doors
from tests.scale.true_doors import Trial, binned, shares

COUNT = 1000 if os.environ.get("MOUNTS_SCALE") else 60


@cache
def tried(kind: str) -> tuple[Trial, ...]:
    return tuple({"doors": true_doors, "cups": true_cups}[kind].trials(COUNT))


@pytest.mark.parametrize("kind", ["doors", "cups"])
def test_what_is_promised_of_all_is_kept(kind):
    """Within three binomial deviations, and of a thousand within 1.5 points."""
    found = shares(tried(kind))
    within = 0.015 if COUNT >= 1000 else 3 * found.sd
    assert found.kept == pytest.approx(found.promised, abs=within)
    assert 0.2 < found.promised < 0.9  # such that go on and such that do not are among them


@pytest.mark.parametrize("number", range(5))
@pytest.mark.parametrize("kind", ["doors", "cups"])
def test_what_is_promised_of_each_bin_is_kept(kind, number):
    some = binned(tried(kind))[number]
    assert some
    found = shares(some)
    assert found.kept == pytest.approx(found.promised, abs=3 * found.sd)
