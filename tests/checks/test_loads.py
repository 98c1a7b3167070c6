"""Slam loads on the demo ring by hand, and every limit just kept and just missed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import hypot, pi, sqrt

import numpy as np
import pytest

from mounts.checks.fastening.loads import lever_of
from mounts.checks.ring.fastening.loads import CENTRE, load_findings, panel_tensions, ring_body, speaker_body
from mounts.design.loads import worst_tensions
from mounts.findings.report import Verdict
from mounts.kernels import mesh
from mounts.kinds.ring.flat import plan_flat
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.load.models.hardware import RivetNut
from mounts.load.models.job import AimAngles
from tests.geometry.discs import hull_of_discs
from tests.kinds.ring.conftest import JOBS, changed, jobs_of

EDGES = (1 - 1e-4, 1 + 1e-4)  # of a limit, just kept and just missed


@cache
def demo() -> RingJob:
    return jobs_of("linnet-woofer")[0]


@cache
def plan_of(name: str):
    job = jobs_of(name)[0]
    return plan_flat(job) if job.make == "cut" else plan_ring(job)


def found(job, plan, code, part=None):
    return [one for one in load_findings(job, plan, part) if one.code == code]


def at_limit(job: RingJob, finding, share: float) -> RingJob:
    """The job with a shock that brings a finding to a share of its limit: loads grow with it."""
    return changed(job, limits__slam=job.limits.slam * share * finding.limit / finding.closed_form)


def turned_over(job: RingJob, plan, code, index):
    """Verdicts of one finding just inside and just outside its limit."""
    one = found(job, plan, code)[index]
    return [found(at_limit(job, one, share), plan, code)[index].verdict for share in EDGES]


# --- panel screws ----------------------------------------------------------------------------------------------------


def test_a_level_speaker_on_four_even_screws_by_hand():
    """Straight off m a / n; along the face 4 m a h / (n D) at worst, where h is the arm of the centre of mass."""
    points = {"A": (60.0, 60.0), "B": (60.0, -60.0), "C": (-60.0, -60.0), "D": (-60.0, 60.0)}
    fixings = demo().panel.fixings.model_copy(update={"at": points})
    job = changed(demo(), panel__fixings=fixings, aim=AimAngles(), label=None, turn=0.0)
    plan = plan_ring(job)
    speaker, ring = speaker_body(job, plan), ring_body(job, plan)
    assert speaker.centre == pytest.approx((0, 0, 22 + 1.2 - 2 / 3 * 56))
    mass = 0.95 + ring.mass
    arm = abs(0.95 * speaker.centre[2] + ring.mass * ring.centre[2]) / mass
    force, across = mass * 500 * 1.77, 120 * sqrt(2)
    for pull in panel_tensions(job, plan):
        assert pull == pytest.approx(hypot(force / 4, 4 * force * arm / (4 * across)))


def test_each_panel_screw_is_told_with_what_gives_first():
    pulled = found(demo(), plan_of("linnet-woofer"), "load.panel-screws")[:-1]
    assert [one.what for one in pulled] == [
        f"door slam: pull on panel screw {name}, washer through the base" for name in ("A", "B", "C", "D")
    ]
    roof = 5.6 - 1.0  # under the washer's face, over the recess
    for one in pulled:
        assert one.limit == pytest.approx(pi * 15 * roof * 40 / sqrt(3) * 0.5 * 0.6)
        assert (one.unit, one.verdict) == ("N", Verdict.PASS)


def test_panel_screws_turn_at_the_limit_of_the_base():
    assert turned_over(demo(), plan_of("linnet-woofer"), "load.panel-screws", 1) == [Verdict.PASS, Verdict.FAIL]


def test_the_wall_of_a_hole_only_warns():
    one = found(demo(), plan_of("linnet-woofer"), "load.panel-screws")[-1]
    assert one.limit == pytest.approx(5 * 4.6 * 40 * 0.6)
    assert turned_over(demo(), plan_of("linnet-woofer"), "load.panel-screws", -1) == [Verdict.PASS, Verdict.WARN]


def rivet_nut(**values):
    given = {"is": "rivet-nut", "thread": "M5", "hole": 7.2, "flange": 7.9, "flange_height": 0.6, "length": 11.8}
    return RivetNut.model_validate({**given, "grip": [0.5, 3], "torque": 1.5, **values})


@pytest.mark.parametrize(
    ("proof", "of", "what"),
    [(500.0, "steel", "rivet nut"), (None, "steel", "nut through the sheet"), (None, "aluminium", "washer through")],
)
def test_the_nut_or_the_sheet_may_give_first(proof, of, what):
    job = changed(demo(), fix_to_panel__hardware=rivet_nut(proof=proof), panel__face__of=of)
    job = changed(job, panel__face__thickness=0.3)  # so thin that it tears before the base gives
    one = found(job, plan_of("linnet-woofer"), "load.panel-screws")[0]
    assert what in one.what
    expected = {"rivet nut": 500.0, "nut through the sheet": pi * 7.2 * 0.3 * 270 / sqrt(3)}
    if what in expected:
        assert one.limit == pytest.approx(expected[what])
        assert turned_over(job, plan_of("linnet-woofer"), "load.panel-screws", 0) == [Verdict.PASS, Verdict.FAIL]


def test_a_panel_hole_that_is_larger_than_the_nuts_is_the_one_that_tears():
    job = changed(demo(), fix_to_panel__hardware=rivet_nut(), panel__face__thickness=0.3, panel__fixings__hole=7.4)
    assert found(job, plan_of("linnet-woofer"), "load.panel-screws")[0].limit == pytest.approx(
        pi * 7.4 * 0.3 * 270 / sqrt(3)
    )


def test_a_countersunk_head_pulls_through_on_its_hole():
    job = changed(demo(), fix_to_panel__screw__head="countersunk", fix_to_panel__screw__head_diameter=11.2)
    job = changed(job, fix_to_panel=replace(job.fix_to_panel, washer=None))
    plan = plan_ring(job)
    fixing = plan.fixings[0]
    one = found(job, plan, "load.panel-screws")[0]
    assert one.limit == pytest.approx(pi * fixing.hole * fixing.roof * 40 / sqrt(3) * 0.5 * 0.6)


def test_a_sheet_has_no_layers():
    job = jobs_of("linnet-front-sheet")[0]
    one = found(changed(job, panel__face__of="aluminium"), plan_of("linnet-front-sheet"), "load.panel-screws")[0]
    assert one.limit == pytest.approx(pi * 15 * 18 * 30 / sqrt(3) * 0.6)


def test_two_screws_tip_on_the_edge_of_the_base():
    outline = hull_of_discs([((-70.0, 5.0), 24.0), ((70.0, 5.0), 24.0), ((0.0, 0.0), 140.0)])
    points = np.array([(-70.0, 5.0), (70.0, 5.0)])
    assert lever_of(points, outline) == pytest.approx(65.0)  # the upper edge, 70 from the middle, is the nearer
    pulls = worst_tensions(points, (0.0, 5.0, 30.0), 100.0, 65.0)
    assert pulls == pytest.approx([100 * sqrt(0.5**2 + (30 / 140) ** 2 + (30 / 130) ** 2)] * 2)


def test_the_finished_part_decides_where_it_is_known():
    plan = plan_of("linnet-woofer")
    part = mesh.build(draw_ring(plan).recipe, 64)
    planned, measured = ring_body(demo(), plan), ring_body(demo(), plan, part)
    assert measured.mass == pytest.approx(part.volume * 1070e-9)
    one = found(demo(), plan, "load.panel-screws", part)[1]
    assert one.measured != pytest.approx(one.closed_form, rel=1e-3)
    limit = one.limit
    job = changed(demo(), limits__slam=500 * limit / one.measured * EDGES[0])
    assert found(job, plan, "load.panel-screws", part)[1].verdict is Verdict.PASS
    job = changed(demo(), limits__slam=500 * limit / one.measured * EDGES[1])
    assert found(job, plan, "load.panel-screws", part)[1].verdict is Verdict.FAIL
    assert planned.mass == pytest.approx(measured.mass, rel=0.15)


@pytest.mark.parametrize("name", JOBS)
def test_the_plan_tells_the_rings_mass_to_a_sixth(name):
    job, plan = jobs_of(name)[0], plan_of(name)
    if job.make == "print":
        part = mesh.build(draw_ring(plan).recipe, 48)
        assert ring_body(job, plan).mass == pytest.approx(ring_body(job, plan, part).mass, rel=1 / 6)


# --- speaker screws --------------------------------------------------------------------------------------------------


def test_each_speaker_screw_of_the_demo_by_hand():
    arm = CENTRE * 56 - 1.2
    force = 0.95 * 500 * 1.77
    screws = found(demo(), plan_of("linnet-woofer"), "load.speaker-screws")
    assert [one.what for one in screws] == [
        f"door slam: pull on speaker screw {k}, insert out of its hole" for k in ("1", "2", "3", "4")
    ]
    for one in screws:
        assert one.closed_form == pytest.approx(hypot(force / 4, 4 * force * arm / (4 * 127)))
        assert one.limit == pytest.approx(pi * 5.6 * 4.7 * 40 / sqrt(3) * 0.5 * 0.6)


@pytest.mark.parametrize("name", ["linnet-woofer", "linnet-slider-oblong", "linnet-rear-square", "linnet-front-sheet"])
def test_speaker_screws_turn_at_their_limit(name):
    assert turned_over(jobs_of(name)[0], plan_of(name), "load.speaker-screws", 0) == [Verdict.PASS, Verdict.FAIL]


def test_what_holds_a_thread_forming_screw_and_a_nut():
    job = jobs_of("linnet-slider-oblong")[0]
    one = found(job, plan_of("linnet-slider-oblong"), "load.speaker-screws")[0]
    assert one.limit == pytest.approx(pi * 4.0 * 8.0 * 40 / sqrt(3) / 2 * 0.5 * 0.6)
    job = jobs_of("linnet-rear-square")[0]
    one = found(job, plan_of("linnet-rear-square"), "load.speaker-screws")[0]
    assert "plastic under the nut" in one.what
    assert one.limit == pytest.approx(pi / 4 * (7**2 - 4.5**2) * 40 * 0.6)


def test_a_nut_under_little_plastic_pulls_through_it():
    plan = plan_of("linnet-rear-square")
    screws = tuple(replace(screw, depth=1.0) for screw in plan.seat.screws)
    plan = replace(plan, seat=replace(plan.seat, screws=screws))
    one = found(jobs_of("linnet-rear-square")[0], plan, "load.speaker-screws")[0]
    assert "nut through the plastic" in one.what
    assert one.limit == pytest.approx(pi * 7 * 1.0 * 40 / sqrt(3) * 0.5 * 0.6)


def test_a_speaker_of_unknown_mass_is_not_judged():
    assert load_findings(changed(demo(), speaker__mass=None), plan_of("linnet-woofer")) == ()
