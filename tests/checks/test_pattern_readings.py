"""A survey's readings against each other: those that just agree pass, those that just do not are warned of."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from statistics import NormalDist

import pytest

from mounts.checks.ring.findings import panel_findings
from mounts.findings.report import Finding, Verdict
from mounts.geometry.survey.solve import solve_survey
from mounts.kinds.ring.job import RingJob
from mounts.load.resolve.job import load_job
from tests.geometry.doors import SIX, changed, read

PROFILES = Path(__file__).parents[2] / "profiles"


def finding(off: float, **limits: float) -> Finding:
    """What is said of a pattern of six holes of which one distance was read too long by `off`."""
    (job, *_) = load_job(PROFILES / "jobs" / "linnet-hatch-distances.yaml")
    assert isinstance(job, RingJob)
    survey = solve_survey(changed(read(SIX), "B-E", off), 0.25)
    panel = job.panel.model_copy(update={"survey": survey})
    job = replace(job, panel=panel, limits=job.limits.model_copy(update=limits))
    (found,) = [one for one in panel_findings(job) if one.code == "pattern.readings"]
    return found


def test_just_agrees_and_just_does_not():
    faultless = solve_survey(read(SIX), 0.25)
    (check,) = [one for one in faultless.checks if one.label == "B-E"]
    limit = NormalDist().inv_cdf(1 - 0.01 / 2 / len(faultless.checked))
    edge = limit * check.expected_sd
    below, above = finding(edge - 0.02), finding(edge + 0.02)
    assert (below.verdict, above.verdict) == (Verdict.PASS, Verdict.WARN)
    assert below.limit == pytest.approx(limit)
    assert above.closed_form == pytest.approx(limit + 0.02 / check.expected_sd, rel=1e-3)
    assert above.advice.startswith("B-E reads ")


def test_a_coarser_instrument_agrees_sooner():
    assert finding(1.4).verdict is Verdict.WARN
    assert finding(1.4, caliper=0.5).verdict is Verdict.PASS


def test_what_nothing_checks_is_not_called_checked():
    (job, *_) = load_job(PROFILES / "jobs" / "linnet-woofer.yaml")
    assert [one for one in panel_findings(job) if one.code == "pattern.readings"] == []
