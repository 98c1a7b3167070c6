"""Shrink: unknown, known, and corrected. The demo: M5 in its holes, B and D lie 159 apart, ASA."""

from __future__ import annotations

from functools import cache
from math import hypot

import numpy as np
import pytest

from mounts.checks.ring.findings import shrink_finding
from mounts.findings.report import Verdict
from mounts.kinds.ring.base import choose_hole
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.load.models.workshop import Shrink
from tests.idents import labels
from tests.kinds.ring.conftest import changed, jobs_of
from tests.scale.perturbed import read_again

SPAN = hypot(58.5 + 58.0, -54.0 - 54.0)
PLAY = choose_hole(jobs_of("linnet-woofer")[0]) - 5


@cache
def demo() -> RingJob:
    return jobs_of("linnet-woofer")[0]


@cache
def demo_plan():
    return plan_ring(demo())


def test_what_nobody_measured_warns_with_the_worst_that_is_usual():
    found = shrink_finding(demo(), demo_plan())
    assert (found.code, found.verdict, labels(found.between)) == ("shrink", Verdict.WARN, ("hole B", "hole D"))
    assert found.closed_form == pytest.approx(SPAN * 0.008)
    assert found.limit == pytest.approx(PLAY / 2)
    assert found.what == "shrink of asa from fixing B to D, not measured, usually 0.5 to 0.8 %"
    assert "shrink_pct: {asa: …} into bed-250" in found.advice


@pytest.mark.parametrize(
    ("off", "verdict"),
    [(0.49, Verdict.PASS), (0.51, Verdict.WARN), (0.99, Verdict.WARN), (1.01, Verdict.FAIL), (-0.51, Verdict.WARN)],
)
def test_a_known_shrink_turns_at_half_the_play_and_at_all_of_it(off, verdict):
    off = off * PLAY
    job = changed(demo(), printer__shrink_pct={"asa": 100 * off / SPAN})
    found = shrink_finding(job, demo_plan())
    assert (found.verdict, found.closed_form) == (verdict, pytest.approx(abs(off)))


def test_a_known_shrink_tells_the_scale():
    found = shrink_finding(changed(demo(), printer__shrink_pct={"asa": 0.6}), demo_plan())
    assert found.advice.startswith("scale by 100.60 % in the slicer")


@pytest.mark.parametrize("seed", range(4))
def test_of_equal_spans_the_first_is_named(seed):
    """The tailgate's fixings lie on a circle: A and D are as far apart as B and E, and C and F."""
    job = jobs_of("linnet-tailgate-wide")[0]
    found = shrink_finding(read_again(job, np.random.default_rng(seed)), plan_ring(job))
    assert labels(found.between) == ("hole A", "hole D")


@pytest.mark.parametrize("known", [{}, {"asa": 0.9}])
def test_what_the_slicer_corrects_is_nothing(known):
    job = changed(demo(), printer__slicer_corrects=True, printer__shrink_pct=known)
    found = shrink_finding(job, demo_plan())
    assert (found.verdict, found.closed_form) == (Verdict.PASS, 0.0)


@pytest.mark.parametrize(
    ("usual", "words", "most"),
    [
        (Shrink(least=0.7, most=1.5, source="a chart"), "usually 0.7 to 1.5 %", 1.5),
        (None, "usually 0.1 to 0.8 %", 0.8),
    ],
)
def test_usual_shrink_is_the_materials_own_with_its_source(usual, words, most):
    found = shrink_finding(changed(demo(), material__shrink_pct=usual), demo_plan())
    assert found.what.endswith(words)
    assert found.closed_form == pytest.approx(SPAN * most / 100)
    assert found.source.endswith(usual.source if usual else "common practice for filaments")
