"""What is said of the halves of a ring: just right and just wrong."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians, sin
from pathlib import Path

import pytest

from mounts.checks.ring.fastening.bending import lap_bending
from mounts.checks.ring.halves import half_findings, lap_findings
from mounts.findings.report import Verdict
from mounts.geometry.outline import circle
from mounts.kernels import mesh
from mounts.kinds.ring.halves.plan import parts_of, plan_part
from mounts.kinds.ring.shape import draw_ring, draw_whole
from mounts.load.resolve.job import load_job
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Feature, Recipe
from tests.idents import ident

JOBS = Path(__file__).parents[2] / "profiles" / "jobs"


@pytest.fixture(scope="module")
def half():
    """Half b of the demo ring: job, plan, the half and the whole by the quick kernel."""
    job = parts_of(load_job(JOBS / "linnet-tailgate-halves.yaml")[0])[1]
    plan = plan_part(job)
    return job, plan, mesh.build(draw_ring(plan).recipe, 256), mesh.build(draw_whole(plan).recipe, 256)


@pytest.fixture(scope="module")
def findings(half):
    return half_findings(*half)


def of(found, code):
    return [one for one in found if one.code == code]


def test_the_demo_is_told_whole_and_keeps_its_limits(findings):
    assert not [one for one in findings if one.verdict is Verdict.FAIL]
    for code in ("fit.halves", "screw.lap", "access.lap-screws", "load.lap", "bed", "hole.position", "wall.least"):
        assert of(findings, code), code


def test_holes_of_the_half_are_read_back_where_they_are_wanted(half, findings):
    (place,) = of(findings, "hole.position")
    (size,) = of(findings, "hole.diameter")
    assert place.measured == pytest.approx(0.0, abs=0.01)
    assert size.measured == pytest.approx(size.closed_form, abs=0.02)


def test_a_hole_that_is_moved_is_found(half):
    job, plan, part, whole = half
    first = plan.split.laps[0].screws[0]
    moved = replace(first, at=(first.at[0] + 0.2, first.at[1]))
    lap = replace(plan.split.laps[0], screws=(moved, *plan.split.laps[0].screws[1:]))
    told = half_findings(job, replace(plan, split=replace(plan.split, laps=(lap, plan.split.laps[1]))), part, whole)
    (wrong,) = [one for one in of(told, "hole.position") if one.verdict is Verdict.FAIL]
    assert wrong.measured == pytest.approx(0.2, abs=0.01)


def test_the_gap_is_measured_between_the_two_meshes(half, findings):
    job, plan, part, whole = half
    (gap,) = of(findings, "fit.halves")
    assert gap.measured == pytest.approx(plan.split.gap, abs=0.005)
    wider = replace(plan, split=replace(plan.split, gap=plan.split.gap + 0.06))  # the other half is drawn 0.03 further
    (off,) = of(half_findings(job, wider, part, whole), "fit.halves")
    assert (off.verdict, round(off.measured, 3)) == (Verdict.FAIL, 0.13)


@pytest.mark.parametrize(("error", "verdict"), [(0.1, Verdict.PASS), (0.101, Verdict.PASS)])
def test_clearance_and_error_grow_together_so_the_fit_word_holds(half, error, verdict):
    job, plan, part, whole = half
    job = replace(job, printer=job.printer.model_copy(update={"error": error}))
    (gap,) = of(half_findings(job, plan, part, whole), "fit.halves")
    assert gap.verdict is verdict


def test_a_slam_that_the_laps_just_bear_and_one_that_they_do_not(half):
    job, plan, _, whole = half
    for number in (0, 1):  # screws, tongue
        load = of(lap_findings(job, plan, whole), "load.lap")[number]
        just = job.limits.slam * load.limit / load.measured
        for share, verdict in ((0.999, Verdict.PASS), (1.001, Verdict.FAIL)):
            slam = replace(job, limits=job.limits.model_copy(update={"slam": just * share}))
            assert of(lap_findings(slam, plan, whole), "load.lap")[number].verdict is verdict


def test_moment_and_shear_at_a_lap_are_those_of_the_bow_girder(half):
    """Six screws: midway 0.0472 w r², over one 0.0931 w r² (Hassoun, Structural Concrete, table 21.1), w = 1/2πr."""
    job, plan, *_ = half
    middle, _ = lap_bending(job, plan, 0.0, 1e-6)
    over, shear = lap_bending(job, plan, 30.0, 1e-6)
    assert over / middle == pytest.approx(0.0931 / 0.0472, rel=0.01)
    assert middle / 0.0472 * 2 * pi == pytest.approx(99.0, abs=3.0)  # the ring's own radius
    assert shear == pytest.approx(radians(30) / (2 * pi), rel=1e-3)  # half of what one of six screws carries
    between, _ = lap_bending(job, plan, 15.0, 1e-6)
    half_gap = radians(30)
    expected = (half_gap * (1 - 2 * sin(radians(7.5)) ** 2) / sin(half_gap) - 1) / (half_gap / sin(half_gap) - 1)
    assert between / middle == pytest.approx(abs(expected), rel=0.01)


def test_a_pull_by_hand_on_two_screws(half):
    """F = M d2 / (d1² + d2²) + V / 2, the tongue's end pressing."""
    job, plan, _, whole = half
    pull = of(lap_findings(job, plan, whole), "load.lap")[0]
    split = plan.split
    worst = 0.0
    for lap in split.laps:
        moment, shear = lap_bending(job, plan, lap.angle, split.long)
        one, other = lap.screws
        apart = ((one.at[0] - other.at[0]) ** 2 + (one.at[1] - other.at[1]) ** 2) ** 0.5
        near = (split.long - split.gap - apart) / 2
        far = near + apart
        worst = max(worst, moment * far / (near**2 + far**2) + shear / 2)
    force = 1.77 * job.limits.slam * (job.speaker.mass + whole.volume * job.material.density * 1e-9)
    assert pull.measured == pytest.approx(force * worst, rel=1e-6)


def test_a_screw_that_is_too_short_and_a_tool_that_something_stops(half):
    job, plan, _, whole = half
    (thread,) = of(lap_findings(job, plan, whole), "screw.lap")
    assert (thread.verdict, thread.closed_form) == (Verdict.PASS, pytest.approx(thread.limit))  # just long enough
    short = replace(plan.split.laps[0].screws[0], engaged=thread.limit - 0.01)
    lap = replace(plan.split.laps[0], screws=(short, plan.split.laps[0].screws[1]))
    told = lap_findings(job, replace(plan, split=replace(plan.split, laps=(lap, plan.split.laps[1]))), whole)
    assert of(told, "screw.lap")[0].verdict is Verdict.FAIL
    recipe = draw_whole(plan).recipe
    bar = Feature(ident("bar"), (Prism(circle(6.0, (short.at[0], short.at[1])), 60.0, 64.0),))
    post = Feature(ident("post"), (Prism(circle(3.0, (short.at[0] * 1.1, short.at[1] * 1.1)), 1.0, 64.0),))
    blocked = mesh.build(Recipe(recipe.name, (*recipe.features, bar, post), recipe.genus), 64)
    (reach,) = of(lap_findings(job, plan, blocked), "access.lap-screws")
    assert reach.verdict is Verdict.FAIL
    assert reach.measured == pytest.approx(pi / 4 * 5.7**2 * 4, rel=0.02)  # the head of ISO 7380-1 M3 is 5.7
