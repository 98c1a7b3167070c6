"""Bending of rings of plain section by hand, and the limits just kept and just missed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import hypot, pi, tan

import pytest

from mounts.checks.ring.fastening.bending import bending_findings, tower_stress, worst_bending
from mounts.checks.ring.fastening.loads import whole_body
from mounts.findings.report import Verdict
from mounts.geometry.frames import Frame
from mounts.geometry.outline import circle
from mounts.kernels import mesh
from mounts.kinds.ring.flat import plan_flat
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Relief, WirePassage
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from tests.kinds.ring.conftest import JOBS, changed, jobs_of


@cache
def demo() -> RingJob:
    return jobs_of("linnet-woofer")[0]


@cache
def plan_of(name: str):
    job = jobs_of(name)[0]
    return plan_flat(job) if job.make == "cut" else plan_ring(job)


def flat_ring(count: int = 4, hole: float = 0.0):
    """A flat ring 155 in the middle, 20 wide and 6 thick, on screws on its middle circle; and its job."""
    points = jobs_of("linnet-front-sheet")[0].panel.fixings
    job = jobs_of("linnet-front-sheet")[0]
    spec = {"diameter": 155.0, "count": count, "first": "12:00"}
    fixings = points.model_validate({"hole": 7.2, "bolt_circle": spec})
    job = changed(job, panel__fixings=fixings)
    at = fixings.points.values()
    holes = tuple(replace(plan_of("linnet-front-sheet").holes[0], at=one, diameter=hole) for one in at)
    plan = plan_of("linnet-front-sheet")
    return job, replace(plan, bore=circle(135.0), outline=circle(175.0), sheet=6.0, holes=holes)


@pytest.mark.parametrize("count", [3, 4, 5, 6, 8])
def test_a_plain_ring_bends_by_the_table_over_its_screws(count):
    """1 − θ cot θ over a support, θ = π / n (Hassoun, Structural Concrete, table 21.1)."""
    job, plan = flat_ring(count)
    per_newton, (x, y, z) = worst_bending(job, plan)
    moment = (1 - pi / count / tan(pi / count)) * 77.5 / (2 * pi)
    assert per_newton == pytest.approx(moment / (20 * 6**2 / 6), rel=1e-4)
    assert (hypot(x, y), z) == (pytest.approx(77.5, rel=1e-4), 3.0)
    assert any(hypot(x - a, y - b) < 0.1 for a, b in job.panel.fixings.points.values())


def test_a_hole_takes_its_width_from_the_section():
    job, plan = flat_ring(4, hole=6.0)
    moment = (1 - pi / 4) * 77.5 / (2 * pi)
    assert worst_bending(job, plan)[0] == pytest.approx(moment / (14 * 6**2 / 6), rel=1e-4)


@pytest.mark.parametrize(
    ("stress", "verdict"),
    [(17.999, Verdict.PASS), (18.001, Verdict.WARN), (35.99, Verdict.WARN), (36.01, Verdict.FAIL)],
)
def test_bending_turns_at_six_tenths_of_the_strength_and_at_twice_that(stress, verdict):
    """ABS bears 30; again and again 18; what a speaker's frame may take of the rest warns, more fails."""
    job, plan = flat_ring()
    force = stress / worst_bending(job, plan)[0]
    mass = whole_body(job, plan).mass
    job = changed(job, limits__slam=force / mass / 1.77)
    (one,) = bending_findings(job, plan)
    assert (one.verdict, one.closed_form) == (verdict, pytest.approx(stress))
    assert (one.limit, one.unit) == (pytest.approx(18.0), "MPa")
    if stress == 18.001:
        assert one.advice == "take a base 6.5 thick, as sheet: 6.5, or more fixings, or a stronger material"


def test_the_base_that_is_named_keeps_the_limit():
    job = jobs_of("linnet-rear-three-holes")[0]
    one = bending_findings(job, plan_of("linnet-rear-three-holes"))[0]
    assert one.verdict is Verdict.WARN
    thick = float(one.advice.split("limits: {base: ")[1].split("}")[0])
    thicker = changed(job, limits__base=thick)
    assert bending_findings(thicker, plan_ring(thicker))[0].verdict is Verdict.PASS
    thinner = changed(job, limits__base=thick - 1.0)
    assert bending_findings(thinner, plan_ring(thinner))[0].verdict is Verdict.WARN


def test_a_ring_that_no_base_helps_is_told_what_would():
    job, plan = flat_ring()
    (one,) = bending_findings(changed(job, limits__slam=50000.0), plan)
    assert (one.verdict, one.advice) == (Verdict.FAIL, "take more fixings, or a stronger material")


@pytest.mark.parametrize(
    "weaker",
    [
        lambda plan: replace(plan, tower=replace(plan.tower, wall=3.0)),
        lambda plan: replace(plan, base=replace(plan.base, seal=replace(plan.base.seal, depth=4.0))),
        lambda plan: replace(plan, base=replace(plan.base, thickness=5.0)),
        lambda plan: replace(plan, terminals=(Relief(circle(70.0, (-40.0, 40.0)), -3.0),)),
        lambda plan: replace(plan, fixings=tuple(replace(one, hole=12.0) for one in plan.fixings)),
        lambda plan: replace(
            plan, fixings=tuple(replace(f, recess=replace(f.recess, depth=4.0)) for f in plan.fixings)
        ),
    ],
    ids=["thin wall", "deep groove", "thin base", "terminal's room", "wide holes", "deep recesses"],
)
def test_whatever_is_cut_out_of_the_demo_makes_it_weaker(weaker):
    plan = plan_of("linnet-woofer")
    assert worst_bending(demo(), weaker(plan))[0] > 1.01 * worst_bending(demo(), plan)[0]


def test_a_terminals_room_narrows_the_base_and_takes_the_wall():
    """Where it reaches beyond the bore's mouth: worse than no wall anywhere."""
    plan = plan_of("linnet-woofer")
    room = replace(plan, terminals=(Relief(circle(60.0, (-45.0, 40.0)), -3.0),))
    bare = replace(plan, tower=replace(plan.tower, wall=1e-6))
    assert worst_bending(demo(), room)[0] > 1.5 * worst_bending(demo(), bare)[0]


def test_a_wires_passage_takes_the_wall_where_it_runs():
    plan = plan_of("linnet-woofer")
    was, (x, y, _) = worst_bending(demo(), plan)
    reach = hypot(x, y)
    way = Frame((0.0, 0.0, 9.0), (-y / reach, x / reach, 0.0), (x / reach, y / reach, 0.0))
    assert worst_bending(demo(), replace(plan, wire=WirePassage(way, 6.0, 100.0)))[0] > 1.2 * was
    away = Frame((0.0, 0.0, 9.0), (y / reach, -x / reach, 0.0), (-x / reach, -y / reach, 0.0))
    assert worst_bending(demo(), replace(plan, wire=WirePassage(away, 6.0, 100.0)))[0] == pytest.approx(was, rel=1e-6)


def test_a_tower_bears_on_its_layers_as_a_thin_tube():
    plan = plan_of("linnet-woofer")
    across, wall = 2 * (plan.tower.mouth.area / pi) ** 0.5 + plan.tower.wall, plan.tower.wall
    force = 0.95 * 500 * 1.77
    centre = plan.seat.frame.out((0, 0, 1.2 - 2 / 3 * 56))[2]
    bent = force * abs(centre - 6) / (pi / 4 * across**2 * wall)
    assert tower_stress(demo(), plan) == pytest.approx(hypot(force / (pi * across * wall), bent))


@pytest.mark.parametrize(("share", "verdict"), [(0.9999, Verdict.PASS), (1.0001, Verdict.FAIL)])
def test_the_tower_turns_at_half_the_strength_across_its_layers(share, verdict):
    plan = plan_of("linnet-woofer")
    limit = 40 * 0.6 * 0.5
    job = changed(demo(), limits__slam=500 * share * limit / tower_stress(demo(), plan))
    one = bending_findings(job, plan)[1]
    assert (one.verdict, one.limit) == (verdict, pytest.approx(limit))


def test_the_finished_parts_mass_is_told_beside_the_plans():
    plan = plan_of("linnet-woofer")
    part = mesh.build(draw_ring(plan).recipe, 48)
    one = bending_findings(demo(), plan, part)[0]
    masses = [whole_body(demo(), plan, given).mass for given in (None, part)]
    assert one.measured / one.closed_form == pytest.approx(masses[1] / masses[0])


def test_a_speaker_of_unknown_mass_is_not_judged():
    assert bending_findings(changed(demo(), speaker__mass=None), plan_of("linnet-woofer")) == ()


@pytest.mark.parametrize("name", JOBS)
def test_no_demo_job_fails(name):
    for one in bending_findings(jobs_of(name)[0], plan_of(name)):
        assert one.verdict is not Verdict.FAIL
