"""Bearing stress and torque, each limit just kept and just missed. The demo: M5, 15 mm washer on its hole in ASA."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import floor, pi

import pytest

from mounts.checks.ring.fastening.clamp import clamp_findings, torque_limit, torque_to_use
from mounts.checks.ring.fastening.joints import places
from mounts.checks.ring.fastening.loads import panel_tensions
from mounts.findings.report import Verdict
from mounts.kinds.ring.base import choose_hole
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.load.models.hardware import ThreadItem
from tests.kinds.ring.conftest import changed, jobs_of

HOLE = choose_hole(jobs_of("linnet-woofer")[0])
AREA = pi / 4 * (15**2 - HOLE**2)
LASTING = 10.0  # ASA: a quarter of 40


@cache
def demo() -> RingJob:
    return jobs_of("linnet-woofer")[0]


@cache
def demo_plan():
    return plan_ring(demo())


def bearing(job, plan=None):
    return clamp_findings(job, plan or demo_plan())[0]


def torque(job, plan=None):
    return clamp_findings(job, plan or demo_plan())[1]


def with_any_nut(job: RingJob) -> RingJob:
    """A job whose hardware names no torque of its own."""
    item = ThreadItem.model_validate({"is": "thread", "thread": job.fix_to_panel.screw.thread})
    return changed(job, fix_to_panel=replace(job.fix_to_panel, hardware=item))


def test_the_demo_by_hand():
    one = bearing(demo())
    assert one.closed_form == pytest.approx(1000 / AREA)  # 1 N·m on an M5 is 1000 N
    assert (one.limit, one.unit, one.verdict) == (LASTING, "MPa", Verdict.PASS)
    assert one.what == "pressure under washer or head (asa, 1 N·m)"


@pytest.mark.parametrize(
    ("stress", "verdict"),
    [(9.999, Verdict.PASS), (10.001, Verdict.WARN), (39.999, Verdict.WARN), (40.001, Verdict.FAIL)],
)
def test_too_much_creeps_away_and_far_too_much_crushes(stress, verdict):
    job = changed(with_any_nut(demo()), limits__torque=stress * AREA / 1000)
    assert (bearing(job).closed_form, bearing(job).verdict) == (pytest.approx(stress), verdict)


def test_the_torque_and_the_washer_that_are_named_keep_the_limit():
    job = changed(demo(), fix_to_panel__washer__outside=10.0)
    job = changed(job, fix_to_panel__washer__outside=10.0)
    plan = plan_ring(job)
    one = bearing(job, plan)
    torque = floor(0.2 * 0.005 * LASTING * pi / 4 * (10**2 - HOLE**2) * 20) / 20  # F = T / (K d), a twentieth down
    assert one.advice == f"tighten to no more than {torque:g} N·m, or take a washer 13 across"
    assert bearing(changed(job, limits__torque=torque), plan).verdict is Verdict.PASS
    assert bearing(changed(job, limits__torque=0.55), plan).verdict is Verdict.WARN
    for across, verdict in ((13.0, Verdict.PASS), (12.5, Verdict.WARN)):
        wide = changed(job, fix_to_panel__washer__outside=across)
        assert bearing(wide, plan_ring(wide)).verdict is verdict


def test_the_lowest_of_plastic_nut_and_bearing_bounds_the_torque():
    (place, *_), any_nut = places(demo(), demo_plan()), with_any_nut(demo())
    assert torque_to_use(demo(), place) == (1.0, "the plastic")
    assert torque_limit(changed(demo(), fix_to_panel__hardware__torque=0.9)) == (0.9, "rivet-nut-m5")
    use, why = torque_to_use(changed(any_nut, limits__torque=3.0), place)
    assert (use, why) == (pytest.approx(0.2 * 0.005 * LASTING * AREA), "the plastic under the washer")


def test_the_limit_on_plastic_goes_with_the_thread():
    job = changed(demo(), fix_to_panel__screw__thread="M4", fix_to_panel__hardware__torque=9.0)
    assert torque_limit(job)[0] == pytest.approx(0.8)


@pytest.mark.parametrize(("share", "verdict"), [(1.0001, Verdict.PASS), (0.9999, Verdict.WARN)])
def test_half_of_the_preload_holds_the_joint_closed_in_a_slam(share, verdict):
    need = 0.2 * 0.005 * 2 * float(panel_tensions(demo(), demo_plan()).max())
    one = torque(changed(demo(), limits__torque=need * share))
    assert (one.verdict, one.limit) == (verdict, pytest.approx(need))
    assert one.unit == "N·m"


def test_without_the_speakers_mass_the_torque_is_told_and_not_judged():
    one = torque(changed(demo(), speaker__mass=None))
    assert (one.verdict, one.closed_form, one.limit) == (Verdict.PASS, 1.0, None)


def test_a_washer_that_falls_through_its_hole_fails():
    plan = replace(demo_plan(), fixings=tuple(replace(one, washer=6.0) for one in demo_plan().fixings))
    assert bearing(demo(), plan).verdict is Verdict.FAIL
