"""How likely a mount goes on and clears: each verdict just kept and just missed, and what is advised for it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from statistics import NormalDist

import numpy as np
import pytest

from mounts.checks.chances import FitChance, Remedy, clear_findings, percent, verdict_of
from mounts.checks.cup.findings import cup_findings
from mounts.checks.ring.chances import chance_findings
from mounts.checks.ring.fastening.screws import behind_gaps
from mounts.checks.ring.findings import flat_findings
from mounts.checks.ring.holes import ReadHole
from mounts.design.chance import known_errors, refine
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE, Verdict
from mounts.findings.wording import value_with_limit
from mounts.geometry.frames import PANEL
from mounts.geometry.survey.survey import Survey
from mounts.kernels import mesh
from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.cup.shape import draw_cup
from mounts.kinds.cup.stakes import pin_errors, stake_chance
from mounts.kinds.ring.base import choose_hole, fit_chance, fixing_errors, largest_hole, wanted_hole
from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps
from mounts.kinds.ring.flat import draw_flat, plan_flat
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.load.models.panel import SurveyedPanel
from mounts.load.models.surroundings import AtClock
from tests.cups import cup
from tests.idents import labels, pair
from tests.kinds.ring.conftest import changed, jobs_of

SURE, AT = 0.95, (0.0, 0.0, -50.0)
GAP = Gap("clear.glass", pair("body", "glass"), 5.0, 10.0, 6.0, PRACTICE, AT, "behind.glass", 1.0)
CROSS = AtClock.model_validate({"at_clock": {"12:00": 60, "3:00": 60, "6:00": 60, "9:00": 60}})
RESTS = {"the glass at 12:00": 0.6, "the glass at 6:00": 0.8}


@cache
def demo() -> RingJob:
    """The demo on a printer whose slicer corrects what a coupon shows."""
    return changed(jobs_of("linnet-woofer")[0], printer__slicer_corrects=True, sure=SURE)


@cache
def demo_plan():
    return plan_ring(demo())


def found(job, plan=None, read=(), around=()):
    """Findings by code; of clearances by what is cleared too."""
    told = chance_findings(job, plan or demo_plan(), around, read)
    return {one.code if one.between is None else f"{one.code} {one.between[1]}": one for one in told}


def with_holes(hole):
    plan = demo_plan()
    return replace(plan, fixings=tuple(replace(one, hole=hole) for one in plan.fixings))


def around(job, plan):
    return (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan), *behind_gaps(job, plan))


@pytest.mark.parametrize(
    ("chance", "verdict"),
    [(0.95, Verdict.PASS), (0.949, Verdict.WARN), (0.5, Verdict.WARN), (0.499, Verdict.FAIL)],
)
def test_under_what_is_wanted_it_warns_and_where_it_is_likelier_not_to_it_fails(chance, verdict):
    assert verdict_of(chance, SURE) is verdict


def test_no_chance_is_told_as_a_certainty():
    assert (percent(0.95), percent(0.8771), percent(1.0)) == ("95 %", "87.7 %", "99.9 %")


def test_the_demo_is_as_sure_as_was_asked_for():
    one = found(demo())["chance.fixings"]
    assert (one.verdict, one.limit, one.unit, one.advice) == (Verdict.PASS, 95.0, "%", "")
    assert one.closed_form == pytest.approx(100 * fit_chance(demo(), choose_hole(demo())))
    assert one.what == f"chance that 4 screws go in at once, holes {choose_hole(demo()):.1f}"


@pytest.mark.parametrize(("less", "verdict"), [(0.0, Verdict.PASS), (0.1, Verdict.WARN), (0.6, Verdict.FAIL)])
def test_a_narrower_hole_is_less_sure(less, verdict):
    one = found(demo(), with_holes(choose_hole(demo()) - less))["chance.fixings"]
    assert one.verdict is verdict
    assert one.at is None  # all four were read alike, so none stands out
    if verdict is Verdict.FAIL:
        better = fit_chance(demo(), choose_hole(demo()) - less, refine(fixing_errors(demo()), 2))
        assert f"read all fixings twice as finely: {percent(better)}" in one.advice


def test_the_hole_that_was_read_worst_is_named_and_what_it_would_bring():
    worse = np.diag(np.repeat([0.25, 0.25, 0.9, 0.25], 2) ** 2)
    matrix = tuple(tuple(row) for row in worse.tolist())
    nothing = tuple(tuple(row) for row in np.zeros((8, 8)).tolist())
    points = tuple(demo().panel.fixings.points.values())
    survey = Survey(tuple("ABCD"), points, tuple(tuple(v / 0.0625 for v in row) for row in matrix), nothing, next="A-C")
    panel = SurveyedPanel.model_construct(**dict(demo().panel), survey=survey)
    job = replace(demo(), panel=panel)
    assert np.allclose(job.fixings_covariance(), worse)
    one = found(job)["chance.fixings"]
    then = fit_chance(job, choose_hole(demo()), known_errors(fixing_errors(job), 2))
    assert one.verdict is not Verdict.PASS
    assert "; C jams most" in one.what
    assert one.at[:2] == points[2]
    assert f"repeat the readings of C: if they were exact, {percent(then)}" in one.advice
    still = changed(job, sure=0.99)
    assert found(still)["chance.fixings"].advice.endswith("; read A-C as well")


def test_a_washer_that_is_too_small_is_told_with_the_one_that_would_do():
    bare = changed(demo(), fix_to_panel__washer__outside=9.0, panel__read_with__holes="rubbing")
    one = found(bare, plan_ring(bare))["chance.fixings"]
    assert one.verdict is not Verdict.PASS
    wanted, most = wanted_hole(bare), largest_hole(bare)
    across = np.ceil((2 * (wanted + 0.15 + 0.5) - 5) * 2) / 2
    assert (
        f"95 % need holes of {wanted:.1f}, and the washer covers {most:.1f} at most: take a washer {across:g}"
        in one.advice
    )
    enough = changed(bare, fix_to_panel__washer__outside=float(across))
    assert found(enough, plan_ring(enough))["chance.fixings"].verdict is Verdict.PASS


def test_a_hole_that_the_job_keeps_narrow_is_told_with_the_one_that_is_needed():
    job = changed(demo(), limits__hole=0.6)
    one = found(job, plan_ring(job))["chance.fixings"]
    need = wanted_hole(job) - 5
    assert f"limits: {{hole: 0.6}} keeps them at 5.6: give {need:.1f} there" in one.advice
    assert (
        found(changed(job, limits__hole=need), plan_ring(changed(job, limits__hole=need)))["chance.fixings"].verdict
        is Verdict.PASS
    )


def test_what_the_mesh_shows_decides_too():
    hole, points = choose_hole(demo()), demo().panel.fixings.points
    right = [ReadHole(PANEL, at, hole) for at in points.values()]
    one = found(demo(), read=right)["chance.fixings"]
    assert (one.verdict, one.measured) == (Verdict.PASS, one.closed_form)
    narrow = [ReadHole(PANEL, at, hole - 0.5) for at in points.values()]
    one = found(demo(), read=narrow)["chance.fixings"]
    assert one.verdict is not Verdict.PASS
    assert one.measured == pytest.approx(100 * fit_chance(demo(), hole - 0.5), abs=0.1)
    assert one.advice == f"open its holes to {hole:.1f}, or make it again: they are not as planned"
    aside = [*right[:3], ReadHole(PANEL, (right[3].at[0] + 0.8, right[3].at[1]), hole)]
    assert found(demo(), read=aside)["chance.fixings"].verdict is Verdict.WARN
    assert found(demo(), read=right[:3])["chance.fixings"].measured is None


def test_growth_of_the_holes_is_no_play():
    known = {"printer__slicer_corrects": False, "printer__shrink_pct": {"asa": 0.0}}
    grown = changed(demo(), printer__hole_growth={"asa": 0.3}, **known)
    plan = plan_ring(grown)
    read = [ReadHole(PANEL, one.at, one.hole) for one in plan.fixings]
    one = found(grown, plan, read)["chance.fixings"]
    assert one.measured == one.closed_form == found(demo())["chance.fixings"].closed_form


def unmeasured(**more):
    return changed(demo(), printer__slicer_corrects=False, **more)


def test_what_is_unknown_of_the_printer_lowers_the_chance_and_the_coupon_brings_it_back():
    told, known = found(unmeasured()), found(demo())["chance.mount"].closed_form
    assert {told[code].verdict for code in ("chance.fixings", "chance.mount")} == {Verdict.WARN}  # unknown, so no fail
    assert told["chance.fixings"].closed_form == told["chance.mount"].closed_form < 50
    words = f"{percent(known / 100)} once shrink and hole growth are measured: print the coupon"
    assert told["chance.mount"].advice == f"{words} (mounts coupon bed-250 --material asa)"
    job = unmeasured(printer__hole_growth={"asa": 0.2})
    grown = found(job, plan_ring(job))["chance.mount"]
    assert grown.advice.startswith(f"{percent(known / 100)} once shrink is measured: print the coupon")
    assert told["chance.mount"].closed_form < grown.closed_form < 50


def test_the_promise_of_the_coupon_is_that_of_all_together():
    tight = changed(unmeasured(), panel__behind__glass=jobs_of("linnet-woofer")[0].panel.behind.glass)
    gap = replace(GAP, gap=2.0)
    fit = FitChance(0.3, 0.97, "shrink", 0.5)
    *_, whole = clear_findings([gap], lambda _: RESTS, SURE, fit, lambda clear: fit.calibrate(tight, clear))
    clear = NormalDist().cdf(2.0)
    assert whole.closed_form == pytest.approx(30 * clear)
    assert whole.advice.startswith(f"{percent(0.97 * clear)} once shrink is measured")


@pytest.mark.parametrize(("shrink", "verdict"), [(0.0, Verdict.PASS), (0.25, Verdict.WARN), (0.7, Verdict.FAIL)])
def test_a_shrink_that_is_known_and_not_corrected_is_told_with_its_scale(shrink, verdict):
    job = unmeasured(printer__hole_growth={"asa": 0.2}, printer__shrink_pct={"asa": shrink})
    one = found(job, plan_ring(job))["chance.mount"]
    assert one.verdict is verdict
    if verdict is not Verdict.PASS:
        known = found(demo())["chance.mount"].closed_form
        scale = f"scale by {100 / (1 - shrink / 100):.2f} % in the slicer"
        assert one.advice.startswith(f"{percent(known / 100)} once the slicer corrects shrink: {scale}")


def test_what_the_coupon_leaves_uncertain_lowers_the_chance():
    known = {"printer__hole_growth": {"asa": 0.2}, "printer__shrink_pct": {"asa": 0.2}}
    sds = ({}, {"printer__shrink_sd_pct": {"asa": 0.2}}, {"printer__hole_growth_sd": {"asa": 0.3}})
    jobs = [unmeasured(**known, **sd) for sd in sds]
    exact, *rest = (found(job, plan_ring(job))["chance.mount"].closed_form for job in jobs)
    assert all(one < exact - 0.5 for one in rest)


def test_a_sheet_neither_shrinks_nor_grows():
    job = jobs_of("linnet-front-sheet")[0]
    assert fixing_errors(job) == fixing_errors(job).calibrated


# --- clearances ------------------------------------------------------------------------------------------------------


def of_glass(gap, goes=1.0):
    fit = FitChance(goes, goes, "", 0.0)
    return tuple(
        clear_findings([replace(GAP, gap=gap)], lambda _: RESTS, SURE, fit, lambda _: Remedy("do better", 1.0))
    )


@pytest.mark.parametrize(
    ("gap", "verdict"),
    [(1.65, Verdict.PASS), (1.64, Verdict.WARN), (0.01, Verdict.WARN), (-0.01, Verdict.FAIL)],
)
def test_a_gap_is_as_sure_as_the_normal_law_has_it(gap, verdict):
    one, whole = of_glass(gap)  # √(0.6² + 0.8²) = 1; Φ(1.645) = 0.95
    assert (one.code, one.verdict, one.margin_sd) == ("chance.clear", verdict, pytest.approx(1.0))
    kept = NormalDist().cdf(gap - GAP.wanted)
    said = f"chance to clear the glass (body is nearest; the limit itself is kept in {percent(kept)} of cases)"
    assert one.what == said
    assert one.closed_form == pytest.approx(100 * NormalDist().cdf(gap))
    assert (whole.code, whole.verdict, whole.closed_form) == ("chance.mount", verdict, one.closed_form)


def test_where_the_limit_is_as_sure_the_chance_stands_alone():
    one, _ = of_glass(GAP.wanted + 4)
    assert one.what == "chance to clear the glass (body is nearest)"
    assert value_with_limit(one) == "99.9 % (min 95)"


def test_the_reading_that_would_help_most_is_to_be_repeated():
    one, whole = of_glass(1.2)
    then = NormalDist().cdf(1.2 / 0.6)
    assert one.advice == whole.advice == f"repeat the reading of the glass at 6:00: if it were exact, {percent(then)}"
    (hopeless, _) = of_glass(-2.0)
    assert "make more room" in hopeless.advice


def test_all_together_is_the_fit_times_the_clearances():
    _, whole = of_glass(2.2, goes=0.96)
    assert whole.closed_form == pytest.approx(96 * NormalDist().cdf(2.2))
    assert (whole.verdict, whole.advice) == (Verdict.WARN, "do better")
    _, whole = of_glass(1.2, goes=0.96)
    assert whole.advice.startswith("repeat the reading of the glass at 6:00")


def test_gaps_without_a_reading_do_not_count():
    fit = FitChance(0.97, 0.97, "", 0.0)
    (whole,) = clear_findings([GAP], lambda _: {}, SURE, fit, lambda _: Remedy("", 1.0))
    assert whole.closed_form == pytest.approx(97.0)


def test_everything_that_was_read_is_told_of():
    told = found(demo(), around=around(demo(), demo_plan()))
    assert {name.removeprefix("chance.clear ") for name in told} == {
        *("chance.fixings", "chance.mount", "trim", "grille", "glass", "lift rail", "opening")
    }
    assert {one.verdict for one in told.values()} == {Verdict.PASS}


def test_glass_all_round_is_one_reading_and_at_four_clocks_it_is_a_mean():
    """The plane through four readings is known to half of one reading's error in the middle, and to more outside."""
    job = changed(demo(), panel__behind__glass=AtClock.model_validate(60))
    one = found(job, around=around(job, demo_plan()))["chance.clear glass"]
    assert one.margin_sd == pytest.approx(1.0)
    four = changed(demo(), panel__behind__glass=CROSS)
    one = found(four, around=around(four, demo_plan()))["chance.clear glass"]
    x, y = one.at[0] / 60, one.at[1] / 60
    assert one.margin_sd == pytest.approx((0.25 + (x * x + y * y) / 2) ** 0.5)  # variance of a plane through a cross


def test_glass_just_too_near_for_its_depth_rod_warns_and_says_where_to_read_again():
    """A magnet 0.5 from the glass that was read with a rod of 1 mm: it touches in a fourth of all doors or so."""
    (body, *_) = [g for g in speaker_gaps(demo(), demo_plan().seat) if labels(g.between) == ("body", "glass")]
    near = {clock: depth - body.gap + 0.5 for clock, depth in demo().panel.behind.glass.at_clock.items()}
    glass = demo().panel.behind.glass.model_copy(update={"at_clock": near})
    job = changed(demo(), panel__behind__glass=glass)
    told = found(job, around=around(job, demo_plan()))
    one = told["chance.clear glass"]
    assert one.closed_form == pytest.approx(100 * NormalDist().cdf(0.5 / one.margin_sd), abs=2.0)
    assert one.verdict is Verdict.WARN
    assert "the glass at" in one.advice
    assert told["chance.mount"].verdict is Verdict.WARN


def test_a_ring_cut_from_sheet_has_its_chances_too():
    job = jobs_of("linnet-front-sheet")[0]
    plan = plan_flat(job)
    told = {one.code: one for one in flat_findings(job, plan, mesh.build(draw_flat(plan).recipe, 96))}
    assert told["chance.fixings"].measured == pytest.approx(told["chance.fixings"].closed_form, abs=0.2)
    assert {told[code].verdict for code in ("chance.fixings", "chance.clear", "chance.mount")} == {Verdict.PASS}


def test_a_cup_clears_as_surely_as_its_room_was_read(tmp_path):
    job = changed(cup(tmp_path), printer__slicer_corrects=True)
    plan = plan_cup(job)
    part = mesh.build(draw_cup(plan).recipe, 64)
    told = [one for one in cup_findings(job, plan, part) if one.code.startswith("chance.")]
    assert {one.verdict for one in told} == {Verdict.PASS}
    assert {one.between[1].label for one in told if one.between} == {"grille", "room's end"}
    (whole,) = [one for one in told if one.code == "chance.mount"]
    assert whole.closed_form == pytest.approx(100 * stake_chance(plan.stakes, pin_errors(job)), abs=0.5)
    deep = max(-one.at[2] for one in told if one.between and one.between[1].label == "room's end")
    tight = changed(job, panel__room=float(deep + 0.5))
    near = {one.between[1].label: one for one in cup_findings(tight, plan, part) if one.code == "chance.clear"}
    assert near["room's end"].verdict is Verdict.WARN
    assert near["room's end"].advice.startswith("no reading") or "the room behind" in near["room's end"].advice
