"""The chance that is promised is the share that goes on and clears, on simulated doors from readings to the part."""

from __future__ import annotations

import os
from functools import cache

import pytest

from tests.scale.true_doors import Trial, binned, shares, trials

COUNT = 1000 if os.environ.get("MOUNTS_SCALE") else 60


@cache
def doors() -> tuple[Trial, ...]:
    return tuple(trials(COUNT))


def test_what_is_promised_of_all_is_kept():
    """Within three binomial deviations, and of a thousand within 1.5 points."""
    found = shares(doors())
    within = 0.015 if COUNT >= 1000 else 3 * found.sd
    assert found.kept == pytest.approx(found.promised, abs=within)
    assert 0.2 < found.promised < 0.9  # doors of both kinds are among them


@pytest.mark.parametrize("number", range(5))
def test_what_is_promised_of_each_bin_is_kept(number):
    some = binned(doors())[number]
    assert some
    found = shares(some)
    assert found.kept == pytest.approx(found.promised, abs=3 * found.sd)
