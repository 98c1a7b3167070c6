"""aim.ear: just passes, just warns, and advice that is true."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from mounts.checks.listening import listening_findings
from mounts.design.listening import clock_of, covered_up_to, find_listeners, speed_of_sound
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import Frame, tilt_frame
from mounts.kinds.ring.job import RingJob
from mounts.load.resolve.job import load_job
from tests.idents import labels

ROOT = Path(__file__).parents[2]
SEAT = tilt_frame((0.0, 0.0, 22.0), 8.0, 315.0)


@pytest.fixture(scope="module")
def door() -> RingJob:
    job = load_job(ROOT / "profiles/jobs/linnet-woofer.yaml")[0]
    assert isinstance(job, RingJob)
    return job


def played(job: RingJob, top: float) -> RingJob:
    return replace(job, speaker=job.speaker.model_copy(update={"plays": (80.0, top)}))


def told(job: RingJob, seat: Frame = SEAT) -> Finding:
    (found,) = listening_findings(job, seat)
    return found


def edge(job: RingJob) -> float:
    """Hz at which 6 dB are lost at the demo door's ear, from a piston of 105 (2 J1(x)/x, x = 2.2118)."""
    angle = told(job).closed_form
    assert angle is not None
    return covered_up_to(angle, 6.0, 105.0, speed_of_sound(20.0))


def test_just_covered_passes_and_just_uncovered_warns(door: RingJob) -> None:
    top = edge(door)
    near, far = told(played(door, top - 1)), told(played(door, top + 1))
    assert (near.verdict, near.advice) == (Verdict.PASS, "")
    assert far.verdict is Verdict.WARN
    assert far.closed_form == near.closed_form == pytest.approx(50.2, abs=0.1)
    assert (far.code, far.unit, labels(far.between)) == ("aim.ear", "deg", ("speaker axis", "ears of the left seat"))


def test_what_it_advises_would_pass(door: RingJob) -> None:
    job = played(door, 3100.0)
    found = told(job)
    assert found.verdict is Verdict.WARN
    turn = float(found.advice.split("turn it ")[1].split("°")[0])
    upper = float(found.advice.split("below ")[1].split(" Hz")[0])
    assert told(played(door, upper)).verdict is Verdict.PASS
    assert told(played(door, upper + 60)).verdict is Verdict.WARN
    (ear, *_) = find_listeners(job.panel, 3.0)
    towards = clock_of(SEAT, ear)
    assert found.limit is not None
    flat = told(job, tilt_frame(SEAT.origin, 0.0, 0.0)).closed_form
    assert flat is not None
    enough = tilt_frame(SEAT.origin, flat - found.limit + 0.05, towards)
    assert told(job, enough).verdict is Verdict.PASS
    assert found.closed_form - found.limit == pytest.approx(turn, abs=0.051)


def test_nothing_is_said_where_nothing_is_known(door: RingJob) -> None:
    assert list(listening_findings(replace(door, panel=door.panel.model_copy(update={"ears": None})), SEAT)) == []
    deaf = replace(door, speaker=door.speaker.model_copy(update={"piston": None}))
    assert list(listening_findings(deaf, SEAT)) == []


def test_estimated_ears_are_judged_by_whoever_sits_furthest_off() -> None:
    cup = load_job(ROOT / "profiles/jobs/linnet-dash-tweeter-press.yaml")[0]
    assert not isinstance(cup, RingJob)
    (found,) = listening_findings(cup, tilt_frame((0.0, 0.0, -6.6), 8.0, 120.0))  # type: ignore[arg-type]
    assert "estimated ears" in found.what
    assert found.closed_form == pytest.approx(49.8, abs=0.1)  # a short person's; the average one's is 46.3
    assert found.margin_sd is not None
    assert found.margin_sd > 2.0


def test_ears_behind_the_flange_are_told_so(door: RingJob) -> None:
    away = told(played(door, 3100.0), tilt_frame((0.0, 0.0, 22.0), 50.0, 135.0))
    assert away.verdict is Verdict.WARN
    assert "behind its flange" in away.advice
