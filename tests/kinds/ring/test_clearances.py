"""Clearances of the plan against closed forms, limits just kept and just missed, and advice that holds."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians, sin, tan

import pytest

from mounts.checks.assembly import assemble, disagreements, measure_gaps
from mounts.checks.ring.findings import (
    access_findings,
    foam_findings,
    proud_findings,
    ring_findings,
    squeeze_findings,
)
from mounts.design.measured_planes import glass_plane, trim_plane
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict
from mounts.geometry.outline import circle
from mounts.kernels import mesh
from mounts.kinds.ring.clearances import gap_in_bore, ring_gaps, speaker_gaps
from mounts.kinds.ring.insertion import path_gaps
from mounts.kinds.ring.kind import ring_unread
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.kinds.ring.surroundings import surroundings
from mounts.load.models.job import AimAngles
from mounts.load.models.surroundings import AtClock, Trim
from mounts.shape.primitives import Prism, Section
from mounts.shape.recipe import Feature
from tests.checks.level import demo
from tests.idents import ident, labels, pair


def findings(job):
    """Every finding of a job's ring, built by the quick kernel."""
    plan = plan_ring(job)
    return ring_findings(job, plan, mesh.build(draw_ring(plan).recipe, 128))


def gaps(job, code):
    plan = plan_ring(job)
    return [g for g in (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan)) if g.code == code]


def level(front, change, **more):
    """The demo on a level seat under level trim, grille and over level glass."""
    flat = {"aim": AimAngles(), "label": None, "turn": 0.0}
    trim = Trim.model_validate({"at_clock": 45, "opening": {"round": 128}})
    surroundings = {
        "panel__in_front__trim": trim,
        "panel__in_front__grille": AtClock.model_validate(53),
        "panel__behind__glass": AtClock.model_validate(55),
    }
    return change(front, **flat, **surroundings, **more)


def test_level_gaps_are_sums_of_heights(front, change):
    job = level(front, change)  # height 22, lift 1.2, flange 4, front 6 + 5, depth 56; screw head ISO 7380 M4 2.2
    to_grille = {one.between[0].label: one for one in gaps(job, "clear.grille")}
    grille, surround = to_grille["cone at full travel"], to_grille["surround"]
    assert grille.gap == pytest.approx(53 - (22 + 1.2 + 6 + 5))
    assert surround.gap == pytest.approx(53 - (22 + 1.2 + 6))
    flange, screws = gaps(job, "clear.trim")[:2]
    assert flange.gap == pytest.approx(45 - (22 + 1.2 + 4))
    assert screws.gap == pytest.approx(45 - (22 + 1.2 + 4 + 2.2))
    body, terminals = gaps(job, "clear.glass")
    assert body.gap == pytest.approx(55 - (56 - 22 - 1.2))
    assert terminals.gap == pytest.approx(55 - (34 - 22 - 1.2))


def test_a_tilted_disc_reaches_half_its_diameter_times_the_sine_towards_a_plane(front, change):
    job = level(front, change)
    job = change(job, aim=AimAngles(6, 0.0))
    (grille,) = [one for one in gaps(job, "clear.grille") if one.between[0].label == "cone at full travel"]
    top = 22 + (1.2 + 6 + 5) * cos(radians(6)) + 105 / 2 * sin(radians(6))
    assert grille.gap == pytest.approx(53 - top)
    (body, _) = gaps(job, "clear.glass")
    deep = (56 - 1.2) * cos(radians(6)) + 78 / 2 * sin(radians(6)) - 22
    assert body.gap == pytest.approx(55 - deep)


def test_a_tilted_body_needs_more_than_its_diameter_in_the_sheet(front, change):
    """A point p of the edge lies |p − a| · cos θ from an axis that crosses the face at a, less half the diameter."""
    job = change(level(front, change), aim=AimAngles(10, 90.0), height=25.0, panel__face__thickness=1e-4)
    job = change(job, speaker__body=(), speaker__cutout=front.speaker.cutout.model_copy(update={"round": 90.0}))
    (gap,) = gaps(job, "clear.body-opening")
    shift = 25 * tan(radians(10))
    assert gap.gap == pytest.approx((60 - shift) * cos(radians(10)) - 45, abs=2e-4)


def test_planes_from_clock_readings_err_to_the_safe_side(front):
    glass, trim = glass_plane(front.panel), trim_plane(front.panel)
    for clock, depth in front.panel.behind.glass.at_clock.items():
        x, y = 60 * sin(radians(clock)), 60 * cos(radians(clock))
        assert glass.height(x, y) >= -depth - 1e-9
    for clock, height in front.panel.in_front.trim.at_clock.items():
        x, y = 3 + 64 * sin(radians(clock)), 2 + 64 * cos(radians(clock))
        assert trim.height(x, y) <= height + 1e-9


def test_a_thing_behind_is_a_box_from_its_depth_on(front, change):
    job = level(front, change)
    near = [g for g in gaps(job, "clear.thing") if labels(g.between) == ("body", "lift rail")]
    # the magnet, 78 across, ends at 56 - 1.2 - 22 = 32.8; the rail starts at 46 deep and 37 from the centre in x
    assert near[0].gap == pytest.approx(46 - 32.8, abs=0.02)
    aside = tuple(t.model_copy(update={"depth": 20.0}) for t in front.panel.behind.things)
    near = [g for g in gaps(change(job, panel__behind__things=aside), "clear.thing") if g.between[0].label == "body"]
    assert near[0].gap < 0  # it now stands inside the body: an interference


@pytest.mark.parametrize(
    ("code", "reading", "limit"),
    [("clear.grille", "panel__in_front__grille", 3.0), ("clear.trim", "panel__in_front__trim", 3.0)],
)
def test_clearances_in_front_turn_at_their_limit(front, change, code, reading, limit):
    job = level(front, change)
    gap = gaps(job, code)[0]
    surplus = gap.gap - limit
    for off, verdict in ((0.01, Verdict.PASS), (-0.01, Verdict.FAIL)):
        height = {"clear.grille": 53, "clear.trim": 45}[code] - surplus + off
        given = {"at_clock": height} if code == "clear.grille" else {"at_clock": height, "opening": {"round": 128}}
        model = AtClock if code == "clear.grille" else Trim
        found = gaps(change(job, **{reading: model.model_validate(given)}), code)[0]
        assert found.verdict is verdict


def test_glass_warns_under_ten_and_fails_under_six(front, change):
    job = level(front, change)
    room = gaps(job, "clear.glass")[0].gap
    for keep, verdict in ((10.01, "pass"), (9.99, "warn"), (6.01, "warn"), (5.99, "fail")):
        glass = AtClock.model_validate(55 - room + keep)
        assert gaps(change(job, panel__behind__glass=glass), "clear.glass")[0].verdict == verdict


def test_every_wall_turns_at_its_own_limit(front):
    plan = plan_ring(front)
    for wall in plan.walls:
        assert replace(wall, limit=wall.thickness - 0.01).is_enough
        assert not replace(wall, limit=wall.thickness + 0.01).is_enough


def test_what_was_not_measured_is_said(front, change):
    assert ring_unread(front) == ()
    bare = change(front, panel__behind=None, panel__in_front=None, panel__place=None, speaker__body=())
    assert set(ring_unread(bare)) == {
        "panel.in_front.trim",
        "panel.in_front.trim.opening",
        "panel.in_front.grille",
        "panel.behind.glass",
        "panel.behind.things",
        "panel.place",
        "speaker.body",
    }
    codes = {f.code for f in findings(bare)}
    assert not codes & {"clear.glass", "clear.trim", "clear.grille", "clear.thing", "heat"}  # nothing passes unmeasured


def test_a_hole_too_small_is_an_instruction_and_a_fitting_one_passes(front, change):
    (hole,) = [f for f in findings(front) if f.code == "panel.hole"]
    assert (hole.verdict, hole.closed_form, hole.limit) == (Verdict.DO, 7.0, 7.2)
    assert hole.advice.startswith("open the panel's holes to 7.2 +0.1/0")
    fits = change(front, panel__fixings__hole=7.2)
    (hole,) = [f for f in findings(fits) if f.code == "panel.hole"]
    assert hole.verdict is Verdict.PASS


def test_the_other_side_is_held_against_its_own_readings(front, change):
    a, c = front.panel.fixings.points["A"], front.panel.fixings.points["C"]
    apart = ((a[0] - c[0]) ** 2 + (a[1] - c[1]) ** 2) ** 0.5
    for off, verdict in ((1.05, Verdict.PASS), (1.07, Verdict.FAIL)):  # limit 3·√2·0.25 = 1.0607
        other = front.panel.other_side.model_copy(update={"check": {"A-C": apart + off}})
        job = change(front, panel__other_side=other)
        (found,) = [f for f in findings(job) if f.code == "pattern.other-side"]
        assert found.verdict is verdict


def test_the_share_of_the_cone_seen_is_all_of_it_or_half(front, change):
    job = level(front, change)
    (seen,) = [f for f in findings(job) if f.code == "sound.seen"]
    assert seen.closed_form == pytest.approx(100)
    half = Trim.model_validate({"at_clock": 45, "opening": {"rectangle": [300, 300, 1]}, "at": [150, 0]})
    job = change(job, panel__in_front__trim=half)
    (seen,) = [f for f in findings(job) if f.code == "sound.seen"]
    assert seen.closed_form == pytest.approx(50, abs=0.5)
    assert seen.verdict is Verdict.WARN


def test_a_ring_too_wide_for_the_bed_is_a_clear_finding(jobs):
    (job,) = jobs("linnet-tailgate-wide")
    (bed,) = [f for f in findings(job) if f.code == "bed"]
    assert bed.verdict is Verdict.FAIL
    assert "the bed of bed-180 has 180 × 180 × 200" in bed.advice


def test_plan_and_mesh_tell_the_same_clearances(job_name, jobs):
    """Every gap of every job of the library, closed form against the assembly, within the mesh's sag."""
    for job in jobs(job_name):
        if job.make == "print":
            plan = plan_ring(job)
            assembly = assemble(mesh.build(draw_ring(plan).recipe, 512), surroundings(job, plan))
            told = measure_gaps(assembly, (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan)))
            assert disagreements(told) == ()
            apart = [abs(gap.gap - gap.measured) for gap in told if gap.measured is not None]
            assert len(apart) >= 8
            assert max(apart) < 0.025


def test_a_mesh_that_is_not_what_was_planned_disagrees(front, change):
    """The part of a seat 1 mm lower, measured against the plan: the plan's clearances no longer hold."""
    plan, lower = plan_ring(front), plan_ring(change(front, height=21.0))
    assembly = assemble(mesh.build(draw_ring(lower).recipe, 128), surroundings(front, plan))
    told = measure_gaps(assembly, tuple(ring_gaps(front, plan)))
    assert {labels(finding.between) for finding in disagreements(told)} >= {("mount", "trim")}


def test_a_tool_in_the_way_is_told_by_what_it_takes(front, change):
    """A ring as planned leaves every tool its way; one with a block over a fixing does not."""
    plan = plan_ring(front)
    recipe = draw_ring(plan).recipe
    assembly = assemble(mesh.build(recipe, 128), surroundings(front, plan))
    assert {finding.verdict for finding in access_findings(assembly, plan)} == {Verdict.PASS}
    block = Feature(ident("block"), (Prism(circle(20.0, (58.0, 53.5)), 5.0, 12.0),))
    features = (*(f for f in recipe.features if f.ident.label != "tool path A"), block)
    part = mesh.build(replace(recipe, features=features), 128)
    failed = [f for f in access_findings(assemble(part, surroundings(front, plan)), plan) if f.verdict is Verdict.FAIL]
    assert [labels(f.between) for f in failed] == [("tool A", "mount")]
    assert failed[0].measured == pytest.approx(pi / 4 * 15.94**2 * (12 - 5.66), rel=0.01)


def test_the_speaker_goes_in_past_the_bore_unless_its_magnet_is_wider(front, change):
    free = next(path_gaps(front, plan_ring(front)))
    assert free.verdict is Verdict.PASS
    fat = tuple(s.model_copy(update={"across": 118.0}) if s.depth > 50 else s for s in front.speaker.body)
    job = change(front, speaker__body=fat)
    stuck = next(path_gaps(job, plan_ring(job)))
    assert stuck.verdict is Verdict.FAIL


def test_gasket_squeeze_is_what_the_limits_say(front, change):
    for squeeze, verdict in ((40, Verdict.PASS), (50, Verdict.PASS), (50.5, Verdict.FAIL), (14.5, Verdict.FAIL)):
        job = change(front, limits__squeeze_pct=float(squeeze))
        found = list(squeeze_findings(job, plan_ring(job)))
        assert [f.closed_form for f in found] == pytest.approx([squeeze, squeeze])
        assert {f.verdict for f in found} == {verdict}


def test_foam_against_an_uneven_trim_is_squeezed_unevenly(jobs, change):
    job = jobs("linnet-front-collar")[0]
    most, least = foam_findings(job, plan_ring(job))
    assert most.verdict is least.verdict is Verdict.PASS
    assert most.closed_form == pytest.approx(least.closed_form, abs=1e-6)  # four readings in one plane
    bent = job.panel.in_front.trim.model_copy(update={"at_clock": {0.0: 45.0, 90.0: 44.0, 180.0: 43.0, 270.0: 46.0}})
    job = change(job, panel__in_front__trim=bent)
    most, least = foam_findings(job, plan_ring(job))
    assert least.verdict is Verdict.WARN
    assert "uneven" in least.advice


@pytest.mark.parametrize(("off", "verdict"), [(-0.02, Verdict.PASS), (0.02, Verdict.FAIL)])
def test_terminals_just_under_the_seat_keep_their_room_to_the_bore(front, change, off, verdict):
    """A plug 30 wide in a round bore of 117: its corners reach hypot(reach, 15), and the seat above no room is cut."""
    reach = (54.5**2 - 15.0**2) ** 0.5
    plug = tuple(t.model_copy(update={"reach": reach + off, "depth": (1.0, 5.0)}) for t in front.speaker.terminals)
    job = level(front, change, speaker__terminals=plug)
    plan = plan_ring(job)
    (gap,) = [g for g in ring_gaps(job, plan) if labels(g.between) == ("terminals", "mount")]
    corner = (reach + off) ** 2 + 15.0**2
    assert gap.gap == pytest.approx(58.5 - corner**0.5, abs=2e-3)
    assert gap.verdict is verdict
    (found,) = measure_gaps(assemble(mesh.build(draw_ring(plan).recipe, 512), surroundings(job, plan)), [gap])
    assert found.measured == pytest.approx(gap.gap, abs=0.02)


def test_a_closed_form_that_is_a_bound_yields_to_what_is_measured(front, change):
    """Only less than the bound is a disagreement; more decides."""
    gap = Gap(
        "clear.terminals", pair("terminals", "mount"), 3.9, 4.0, 4.0, "the test's own", (0.0, 0.0, 0.0), bound=True
    )
    assert gap.verdict is Verdict.FAIL
    assert replace(gap, measured=4.1).verdict is Verdict.PASS
    assert disagreements([replace(gap, measured=4.1)]) == ()
    assert len(disagreements([replace(gap, measured=3.8)])) == 1


@pytest.mark.parametrize(("off", "says"), [(0.01, []), (-0.01, [Verdict.WARN])])
def test_a_front_out_of_a_trim_without_a_grille_is_said(front, change, off, says):
    """The trim's opening is taken as closed where no grille was read: 3 is wanted to it; `proud` moves it out.

    The cone at full travel reaches 22 + 1.2 + 6 + 5 = 34.2 before the face.
    """
    trim = Trim.model_validate({"at_clock": 37.2 + off, "opening": {"round": 128}})
    job = change(level(front, change), panel__in_front__trim=trim, panel__in_front__grille=None)
    seat = plan_ring(job).seat
    assert [one.verdict for one in proud_findings(job, seat)] == says
    assert [one.verdict for one in proud_findings(replace(job, proud=1.0), seat)] == [Verdict.PASS]


def test_a_body_that_crosses_its_bore_is_missed_by_how_deep_it_does():
    """A straight body in a straight bore of 118: half of what it is wider, with its sign; also where all of it is."""
    seat = plan_ring(demo()).seat
    bore = tuple(Section(seat.frame.lifted(level), circle(118.0)) for level in (-20.0, 0.0))
    for across in (114.0, 117.0, 118.4, 122.0):
        rings = ((0.0, across), (-30.0, across))
        assert gap_in_bore(seat, rings, bore, ()) == pytest.approx((118.0 - across) / 2, abs=5e-3)
