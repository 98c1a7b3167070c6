"""The chance of going on and of clearing against formulas that others have published, and closed forms.

Fixed and floating fasteners: ASME Y14.5 appendix B and ISO 5458 as textbooks give them, H = F + T for a floating
fastener in each part, H = F + T1 + T2 for a fixed one, H the hole's and F the fastener's diameter, T position
tolerances (diameters of the zones). One hole in a fixed part: Rayleigh's law. Two holes in a free one: their distance
is off by a normal error. Distances between normal points, circles and tangents: any textbook on probability.
"""

from __future__ import annotations

from dataclasses import replace
from math import erf, exp, pi, sqrt
from statistics import NormalDist

import numpy as np
import pytest

from mounts.design.chance import (
    JUDGED,
    SAMPLES,
    Errors,
    PinHoles,
    chance,
    fit_assembly,
    needed_gap,
    raise_share,
    same_errors,
)
from mounts.design.clearances import DRAWS, ReadingGap, chance_clear
from mounts.kinds.ring.base import fit_chance, gaps
from mounts.load.resolve.fasteners import clearance_hole
from tests.kinds.ring.conftest import changed, jobs_of

TWO = ((0.0, 0.0), (60.0, 0.0))
DOOR = ((58.0, 53.5), (58.5, -54.0), (-57.5, -53.0), (-58.0, 54.0))


def about(share, count=SAMPLES):
    """Three standard deviations of a share of so many cases."""
    return 3 * sqrt(share * (1 - share) / count)


def read(*sds):
    """Errors of pins each with its own standard deviation in x and in y."""
    square = np.diag(np.repeat(sds, 2).astype(float) ** 2)
    return Errors(tuple(tuple(row) for row in square.tolist()))


def worst(gap, zones):
    """Least excess over all corners of two pins' position zones, along their line: what the formulas stand for."""
    ends = [(s1 * zones[0] / 2, s2 * zones[1] / 2) for s1 in (-1, 1) for s2 in (-1, 1)]
    errors = np.array([[(a, 0.0), (b, 0.0)] for a, b in ends])
    holes = PinHoles(np.array([[-30.0, 0.0], [30.0, 0.0]]), np.array(gap), np.tile([1.0, 0.0], (2, 1)), np.zeros(2))
    return float(fit_assembly(holes, errors).most.max())


@pytest.mark.parametrize(("c", "sd", "right"), [(0.5, 0.25, 0.843), (1.0, 0.25, 0.9953), (0.5, 0.5, 0.5205)])
def test_a_free_part_with_two_holes(c, sd, right):
    """P = erf(C / (2σ)), C = hole − screw: the distance is off by √2 σ and may be off by C either way."""
    assert erf(c / (2 * sd)) == pytest.approx(right, abs=5e-4)
    assert chance(TWO, (c / 2, c / 2), same_errors(2, sd)) == pytest.approx(right, abs=about(right))


@pytest.mark.parametrize("gap", [0.1, 0.3, 0.6])
def test_a_fixed_part_with_one_hole_is_rayleighs_law(gap):
    """P = 1 − exp(−g² / 2σ²): two pins without error, and next to no play, hold the part; the third is off."""
    sd, fixed = 0.25, ((-50.0, 0.0), (50.0, 0.0), (0.0, 40.0))
    right = 1 - exp(-(gap**2) / (2 * sd**2))
    found = chance(fixed, (5e-4, 5e-4, gap), read(0.0, 0.0, sd))
    assert found == pytest.approx(right, abs=about(right) + 0.002)


def test_rayleigh_of_many_pins_each_by_itself_is_the_least_that_can_be():
    """A part that may move goes on more often than one that may not: 1 − Π(1 − exp(…)) bounds it from below."""
    gap, sd = 0.4, 0.2
    still = (1 - exp(-(gap**2) / (2 * sd**2))) ** 4
    assert chance(DOOR, (gap,) * 4, same_errors(4, sd)) > still + about(still)


@pytest.mark.parametrize("thread", ["M4", "M5", "M6"])
def test_the_worst_case_of_two_holes_is_the_fixed_fasteners_formula(thread):
    """H = F + T1 + T2, fixed: T1 the nuts' zone, T2 the mount's. At the formula's hole the worst case just goes on.

    Worked example (reference discussions of the formula, checked by hand): M5, ISO 273 medium 5.5, T1 = T2 = 0.25.
    """
    f, h = float(thread[1:]), clearance_hole(thread)
    t = (h - f) / 2  # an equal share of T1 + T2 = H − F
    if thread == "M5":
        assert (h, t) == (5.5, pytest.approx(0.25))
    play = (h - f) / 2
    # each of two pins off by half of both zones, T1 / 2 + T2 / 2, in the worst way: outward or inward both
    assert worst((play, play), (2 * t, 2 * t)) == pytest.approx(0.0, abs=1e-9)
    assert worst((play, play), (2 * t + 0.01, 2 * t + 0.01)) > 0
    assert worst((play, play), (2 * t - 0.01, 2 * t - 0.01)) < 0


def test_the_worst_case_of_a_floating_fastener_is_its_formula():
    """H = F + T in each part: a bolt right through M5, both holes 5.5, may have zones of 0.5 in each part."""
    bolt = (5.5 - 5.0) / 2 + (5.5 - 5.0) / 2
    assert worst((bolt, bolt), (0.5 + 0.5, 0.5 + 0.5)) == pytest.approx(0.0, abs=1e-9)
    job = changed(
        jobs_of("linnet-woofer")[0],
        panel__fixings=jobs_of("linnet-woofer")[0].panel.fixings.model_copy(update={"hole": 5.5}),
    )
    through = _through_m5()
    job = replace(job, fix_to_panel=replace(job.fix_to_panel, hardware=through))
    assert gaps(job, 5.5) == pytest.approx((bolt,) * 4)


def _through_m5():
    from mounts.load.resolve.library import find_library
    from tests.kinds.ring.conftest import PROFILES

    return find_library(PROFILES / "jobs" / "linnet-woofer.yaml", None).item("through-m5")[0]


def test_the_gap_for_a_wanted_chance_of_two_holes_is_a_normal_quantile():
    """2 g = √2 σ z, z the two-sided quantile: 1.960 for 95 %, 2.576 for 99 %; a little more of them are asked for."""
    for sure, table in ((0.95, 1.960), (0.99, 2.576)):
        assert NormalDist().inv_cdf((1 + sure) / 2) == pytest.approx(table, abs=5e-4)
        z = NormalDist().inv_cdf((1 + raise_share(sure)) / 2)
        spread = sqrt(sure * (1 - sure) / SAMPLES) / (2 * NormalDist().pdf(z))  # of a quantile from so many cases
        found = needed_gap(TWO, (0.0, 0.0), same_errors(2, 0.25), sure) * 2 / (sqrt(2) * 0.25)
        assert found == pytest.approx(z, abs=3 * spread + 0.01)


def test_the_table_of_an_m5_with_four_fixings():
    """Four fixings of the demo door read to 0.25, printed to 0.1: design table 23, 93 and 100 % at 5.5, 6.0 and 6.5.

    Read alone 31, 96 and 100. Both tables were computed before this code, by projections.
    """
    door = jobs_of("linnet-woofer")[0]
    for error, table in ((0.1, (0.24, 0.93, 1.0)), (0.0, (0.31, 0.96, 1.0))):
        errors = same_errors(4, 0.25, error)
        for hole, right in zip((5.5, 6.0, 6.5), table, strict=True):
            assert fit_chance(door, hole, errors) == pytest.approx(right, abs=0.02)


def test_a_nut_in_a_wide_hole_is_off_by_a_chord_of_a_disc():
    """One nut anywhere in a disc: the share of a disc within ±g of a diameter, 2/π (asin u + u √(1 − u²)), u = g/R."""
    play, gap = 0.6, 0.05
    u = 2 * gap / (play / 2)
    right = 2 / pi * (np.arcsin(u) + u * sqrt(1 - u * u))
    found = chance(TWO, (gap, gap), Errors(same_errors(2, 0.0).read, plays=(play, 0.0)))
    assert found == pytest.approx(right, abs=about(right))


def share_within(reach, sd, middle):
    """Share of a normal error about each of some middles that is within ± each reach, their mean."""
    return np.mean([NormalDist(m, sd).cdf(r) - NormalDist(m, sd).cdf(-r) for r, m in np.broadcast(reach, middle)])


def test_a_part_that_shrinks_and_one_whose_holes_print_small():
    """Two holes of a free part: their distance is short by s L as well, s even in a range; the play is less by 2 w.

    By the midpoint rule in a thousand steps over the range; about a known shrink with a standard deviation t the
    distance is off by a normal error of √(2 σ² + t² L²).
    """
    gap, sd, even = 0.5, 0.25, (np.arange(1000) + 0.5) / 1000
    errors = same_errors(2, sd)

    def found(**more):
        return chance(TWO, (gap, gap), replace(errors, **more))

    right = share_within(2 * gap, 2**0.5 * sd, 60 * (0.5 + 0.9 * even) / 100)
    assert 0.8 < right < share_within(2 * gap, 2**0.5 * sd, 0.0) - 0.05
    assert found(shrink=(0.5, 1.4, 0.0)) == pytest.approx(right, abs=about(right, JUDGED))
    right = share_within(2 * gap - (0.1 + 0.4 * even), 2**0.5 * sd, 0.0)
    assert found(narrower=(0.1, 0.5, 0.0)) == pytest.approx(right, abs=about(right, JUDGED))
    right = share_within(2 * gap, (2 * sd**2 + 0.6**2) ** 0.5, 0.3)
    assert found(shrink=(0.5, 0.5, 1.0)) == pytest.approx(right, abs=about(right, JUDGED))


# --- clearances ------------------------------------------------------------------------------------------------------


def test_one_gap_stays_open_as_the_normal_law_has_it():
    """Φ(1.645) = 0.95, Φ(2.326) = 0.99 (any table)."""
    assert chance_clear([ReadingGap(1.645, {"the glass": 1.0})]) == pytest.approx(0.95, abs=1e-4)
    assert chance_clear([ReadingGap(2.326, {"a": 0.6, "b": 0.8})]) == pytest.approx(
        0.99, abs=1e-4
    )  # √(0.36 + 0.64) = 1


def test_two_gaps_on_one_reading_are_no_less_sure_than_the_tighter():
    both = [ReadingGap(1.645, {"the glass": 1.0}), ReadingGap(1.9, {"the glass": 1.0})]
    assert chance_clear(both) == pytest.approx(0.95, abs=about(0.95, DRAWS))
    assert chance_clear(both) <= 0.95 + 1e-4


def test_two_gaps_on_readings_of_their_own_multiply():
    both = [ReadingGap(1.0, {"the glass": 1.0}), ReadingGap(1.0, {"the trim": 1.0})]
    right = NormalDist().cdf(1.0) ** 2
    assert chance_clear(both) == pytest.approx(right, abs=about(right, DRAWS))


@pytest.mark.parametrize("rho", [-0.8, 0.0, 0.5, 0.9])
def test_two_gaps_that_share_a_reading_in_part_are_sheppards_quadrant(rho):
    """P(both ≥ 0) of normal gaps about 0 with correlation ρ: 1/4 + asin(ρ) / 2π (Sheppard 1899)."""
    both = [ReadingGap(0.0, {"a": 1.0}), ReadingGap(0.0, {"a": rho, "b": sqrt(1 - rho**2)})]
    right = 0.25 + np.arcsin(rho) / (2 * pi)
    assert chance_clear(both) == pytest.approx(right, abs=about(right, DRAWS))


def test_a_gap_on_three_readings_as_scipys_normal_law_has_it():
    """Three gaps with a full covariance against scipy.stats.multivariate_normal."""
    from scipy.stats import multivariate_normal

    names, shares = "abc", np.array([[1.0, 0.3, 0.0], [0.5, 0.9, 0.2], [0.1, -0.4, 0.8]])
    open_ = np.array([0.8, 1.1, 0.9])
    resting = [ReadingGap(g, dict(zip(names, row, strict=True))) for g, row in zip(open_, shares, strict=True)]
    right = multivariate_normal(np.zeros(3), shares @ shares.T).cdf(open_)
    assert chance_clear(resting) == pytest.approx(right, abs=about(right, DRAWS))
