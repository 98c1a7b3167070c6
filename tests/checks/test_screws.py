"""Screw lengths, ends and what is behind, on the demo ring by sums of heights, and each limit just kept and missed.

The demo: base 6, washer's face 0.4 into it, washer 1, sheet 0.9, M5 rivet nut 7.1 wide, 11.8 long, grip to 3.0, so its
wall folds to 7.1 − 5 = 2.1 and its thread is 11.8 − 3.0 − 2.1 = 6.7; flange 4 on a gasket of 2 squeezed to 1.2; M4
insert 4.7 long in a pocket 5.5 deep; ISO 7380 screws.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import cos, inf, radians

import pytest

from mounts.checks.fastening.joints import choose_length
from mounts.checks.ring.fastening.joints import panel_joints, speaker_joints
from mounts.checks.ring.fastening.screws import screw_findings
from mounts.findings.report import Verdict
from mounts.kinds.ring.flat import plan_flat
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.load.models.hardware import ClipNut, ExpansionNut, ThreadItem, Through
from mounts.load.models.job import AimAngles
from mounts.load.models.surroundings import AtClock, Thing
from tests.idents import labels
from tests.kinds.ring.conftest import changed, jobs_of


@cache
def demo() -> RingJob:
    return jobs_of("linnet-woofer")[0]


@cache
def demo_plan():
    return plan_ring(demo())


def found(job, plan, code):
    return [finding for finding in screw_findings(job, plan) if finding.code == code]


def sold(job: RingJob, *lengths: float, where: str = "fix_to_panel") -> RingJob:
    return changed(job, **{f"{where}__screw__lengths": lengths})


# --- panel screws ----------------------------------------------------------------------------------------------------


def test_the_demo_takes_m5_by_16_in_its_rivet_nuts():
    (one,) = found(demo(), demo_plan(), "screw.panel")
    assert one.verdict is Verdict.PASS
    assert one.what == "thread engaged by iso-7380-m5 × 16, panel screws A, B, C, D"
    assert one.closed_form == pytest.approx(16 - 1 - 5.6 - 0.9 - 2.1)
    assert one.limit == 5.0
    assert one.source.endswith("open at its end")


@pytest.mark.parametrize(("length", "verdict"), [(14.61, Verdict.PASS), (14.59, Verdict.FAIL)])
def test_one_diameter_of_thread_is_enough_and_less_is_not(length, verdict):
    (one,) = found(sold(demo(), length), demo_plan(), "screw.panel")
    assert one.verdict is verdict
    assert one.closed_form == pytest.approx(length - 9.6)
    assert one.advice == ("" if verdict is Verdict.PASS else "it needs 14.6; take another screw")


def test_a_raised_fixing_takes_a_shorter_screw_by_its_step():
    job = jobs_of("linnet-cargo-glass")[0]
    plan = plan_ring(job)
    low, high = found(job, plan, "screw.panel")
    assert ("A, B, D" in low.what, "screws C" in high.what) == (True, True)
    step, seat = 1.6, plan.fixings[0].seat
    assert low.closed_form == pytest.approx(16 - 1 - seat - 0.9 - 2.1)
    assert high.closed_form == pytest.approx(min(6.7, low.closed_form + step))


def test_an_unknown_sheet_is_taken_as_thick_as_the_nut_grips():
    job = changed(demo(), panel__face__thickness=None)
    (one,) = found(job, demo_plan(), "screw.panel")
    assert one.what.startswith("thread engaged by iso-7380-m5 × 20,")  # 1 + 5.6 + 3.0 + 2.1 + 5 = 16.7
    assert one.closed_form == pytest.approx(6.7)
    assert found(sold(job, 16.71), demo_plan(), "screw.panel")[0].verdict is Verdict.PASS
    assert found(sold(job, 16.69), demo_plan(), "screw.panel")[0].verdict is Verdict.FAIL


@pytest.mark.parametrize(
    ("item", "begins", "engages"),
    [
        (ExpansionNut.model_validate(
            {"is": "expansion-nut", "thread": "M5", "hole": 9.5, "flange": 14, "flange_height": 1.5, "length": 14,
             "grip": [0.4, 4.5], "torque": 0.8}), 14 - 5, 5.0),
        (ClipNut.model_validate(
            {"is": "clip-nut", "thread": "M5", "hole": 7, "stands_proud": 0.9, "reach": 11.5, "grip": [0.7, 2]}),
         0.9, 5.0),
        (ThreadItem.model_validate({"is": "thread", "thread": "M5"}), 0.0, 5.0),
        (Through.model_validate({"is": "through", "thread": "M5", "nut_across": 8, "nut_height": 4.7}), 0.9, 4.7 + 0.8),
    ],
    ids=["rubber expansion nut", "clip nut", "thread", "through bolt"],
)  # fmt: skip
def test_where_the_thread_of_other_hardware_begins(item, begins, engages):
    job = changed(demo(), fix_to_panel=replace(demo().fix_to_panel, hardware=item))
    joints = panel_joints(job, demo_plan())
    assert [one.name for one in joints] == ["A", "B", "C", "D"]
    for one in joints:
        assert (one.joint.clamped, one.joint.engages) == (pytest.approx(1 + 5.6 + begins), pytest.approx(engages))


def test_a_through_bolt_in_a_sheet_of_unknown_thickness_is_not_judged():
    item = Through.model_validate({"is": "through", "thread": "M5", "nut_across": 8, "nut_height": 4.7})
    job = changed(demo(), fix_to_panel=replace(demo().fix_to_panel, hardware=item), panel__face__thickness=None)
    assert panel_joints(job, demo_plan()) == ()
    assert found(job, demo_plan(), "screw.panel") == []


def test_a_countersunk_screw_counts_from_its_top():
    sunk = demo().fix_to_panel.screw.model_copy(update={"head": "countersunk"})
    job = changed(demo(), fix_to_panel=replace(demo().fix_to_panel, washer=None, screw=sunk))
    for one in panel_joints(job, demo_plan()):
        assert one.joint.clamped == pytest.approx(5.6 + 0.9 + 2.1)
        assert one.head[2] == pytest.approx(5.6)


# --- what is behind --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("room", "verdict"),
    [(10.01, Verdict.PASS), (9.99, Verdict.WARN), (6.01, Verdict.WARN), (5.99, Verdict.FAIL)],
)
def test_the_nuts_end_keeps_from_level_glass(room, verdict):
    """A 16 ends 9.4 behind the face, the nut 11.8 before it is set: the nut counts."""
    job = changed(demo(), panel__behind__glass=AtClock.model_validate(11.8 + room))
    glass = found(job, demo_plan(), "screw.behind")[0]
    assert (glass.verdict, glass.closed_form) == (verdict, pytest.approx(room))
    assert glass.between[1].label == "glass"
    assert glass.margin_sd == 1.0


@pytest.mark.parametrize(("moving", "room"), [(True, 8.0), (False, 3.0)])
@pytest.mark.parametrize(("off", "verdict"), [(0.01, Verdict.PASS), (-0.01, Verdict.FAIL)])
def test_a_screw_keeps_from_a_thing_below_it(moving, room, off, verdict):
    behind = demo().panel.behind
    x, y = demo_plan().fixings[1].at
    thing = Thing(what="rail", at=(x, y), size=(20, 20), depth=30.0, moving=moving)
    job = sold(demo(), 30.0 - room - off + 1 + 5.6)
    job = changed(job, panel__behind=behind.model_copy(update={"things": (thing,), "glass": None}))
    (one,) = found(job, demo_plan(), "screw.behind")
    assert (labels(one.between), one.verdict) == (("panel screw B", "rail"), verdict)
    assert one.closed_form == pytest.approx(room + off)
    assert one.limit == room


def test_a_screw_keeps_from_a_thing_beside_it():
    """3 behind the thing's face and 12.5 from its edge: the rim of the M5 is 10 away, level with it."""
    x, y = demo_plan().fixings[0].at
    thing = Thing(what="bracket", at=(x + 22.5, y), size=(20, 20), depth=6.0)
    behind = demo().panel.behind.model_copy(update={"things": (thing,), "glass": None})
    (one,) = found(changed(demo(), panel__behind=behind), demo_plan(), "screw.behind")
    assert one.closed_form == pytest.approx(10.0)


def test_what_was_not_measured_behind_is_not_judged():
    assert found(changed(demo(), panel__behind=None), demo_plan(), "screw.behind") == []


# --- speaker screws --------------------------------------------------------------------------------------------------


def test_the_demo_takes_m4_by_10_in_its_inserts():
    (one,) = found(demo(), demo_plan(), "screw.speaker")
    assert one.what == "thread engaged by iso-7380-m4 × 10, speaker screws 1, 2, 3, 4"
    assert (one.verdict, one.limit) == (Verdict.PASS, 4.0)
    assert one.closed_form == pytest.approx(4.7)  # 10 − 4 − 1.2 = 4.8, and the insert ends at 4.7
    (room,) = found(demo(), demo_plan(), "screw.bottom")
    assert (room.closed_form, room.limit) == (pytest.approx(4 + 1.2 + 5.5 - 10), 0.29)


@pytest.mark.parametrize(("length", "verdict"), [(9.21, Verdict.PASS), (9.19, Verdict.FAIL)])
def test_an_insert_is_engaged_by_one_diameter(length, verdict):
    (one,) = found(sold(demo(), length, where="fix_speaker"), demo_plan(), "screw.speaker")
    assert (one.verdict, one.closed_form) == (verdict, pytest.approx(length - 5.2))


@pytest.mark.parametrize(("depth", "verdict"), [(5.10, Verdict.PASS), (5.08, Verdict.WARN)])
def test_a_speaker_screw_does_not_bottom(depth, verdict):
    """A 10 that is 10.29 long ends 10.29 − 5.2 = 5.09 below the seat."""
    plan = demo_plan()
    screws = tuple(replace(screw, depth=depth) for screw in plan.seat.screws)
    plan = replace(plan, seat=replace(plan.seat, screws=screws))
    (one,) = found(demo(), plan, "screw.speaker")
    assert one.verdict is verdict
    if verdict is Verdict.WARN:
        assert (
            one.advice == "buy 10 long and put washers 0.1 to 0.8 thick in all under each head, which lifts the heads"
        )


def test_a_short_insert_is_engaged_whole():
    job = changed(demo(), fix_speaker__hardware__length=3.5)
    (joint,) = {one.joint for one in speaker_joints(job, demo_plan())}
    assert (joint.engages, joint.thread) == (3.5, 3.5)


def test_where_no_length_fits_washers_or_another_insert_are_named():
    """Slider: flange 3.5, gasket 1.2, thread-forming 4.0 by 12 engages 7.3 of 8, by 16 reaches 11.3 into 10."""
    job = jobs_of("linnet-slider-oblong")[0]
    (one,) = found(job, plan_ring(job), "screw.speaker")
    assert (one.verdict, one.closed_form, one.limit) == (Verdict.WARN, pytest.approx(7.3), 8.0)
    what = "buy 16 long and put washers 0.067 in to 0.13 in thick in all under each head, which lifts the heads"
    assert one.advice == what
    (one,) = found(sold(demo(), 6.0, 8.0, 16.0, where="fix_speaker"), demo_plan(), "screw.speaker")
    assert (one.verdict, one.closed_form) == (Verdict.FAIL, pytest.approx(2.8))
    assert one.advice == "it needs 9.2 to 10.3; take an insert longer than 4.7, or another flange gasket"


def test_a_pilot_without_a_screw_in_the_library_says_what_to_buy():
    job = jobs_of("linnet-slider-oblong")[0]
    job = changed(job, fix_speaker__screw=None)
    (one,) = found(job, plan_ring(job), "screw.speaker")
    assert (one.verdict, one.advice) == (Verdict.WARN, "take screws 0.5 in to 0.565 in long")


def test_an_insert_in_the_ledge_beside_a_gaskets_bed_lies_as_high_as_the_flange():
    job = jobs_of("linnet-front-flush")[0]
    plan = plan_ring(job)
    bare = replace(plan, seat=replace(plan.seat, gasket=None))
    (joint,) = {one.joint for one in speaker_joints(job, bare)}
    assert (joint.clamped, joint.room) == (pytest.approx(4.0), pytest.approx(4 + 1.2 + 5.5))
    bedded = replace(plan, seat=replace(plan.seat, gasket=plan.seat.let_in))
    (joint,) = {one.joint for one in speaker_joints(job, bedded)}
    assert joint.clamped == pytest.approx(5.2)


def test_through_bolts_pass_their_nut_by_a_pitch_and_end_in_the_opening():
    job = jobs_of("linnet-rear-square")[0]
    plan = plan_ring(job)
    for held, screw in zip(speaker_joints(job, plan), plan.seat.screws, strict=True):
        assert held.joint.clamped == pytest.approx(3.0 + 1.2 - screw.nut.bears)
        assert held.joint.engages == pytest.approx(3.2 + 0.7)
        assert held.joint.room == inf
        length = choose_length(held, job.fix_speaker.screw)
        beyond = length - held.joint.clamped - 3.2
        assert beyond >= 0.7
        assert max(one for one in job.fix_speaker.screw.lengths if one < length) - held.joint.clamped - 3.2 < 0.7


@pytest.mark.parametrize("tilt", [0.0, 10.0])
def test_a_through_bolt_over_the_sheet_may_not_reach_the_face(tilt):
    job = changed(jobs_of("linnet-rear-square")[0], aim=AimAngles(tilt, 0.0), height=30.0, turn=0.0)
    plan = plan_ring(job)
    small = job.panel.opening.model_copy(update={"round": 60.0})
    job = changed(job, panel__opening=small)
    for held, screw in zip(speaker_joints(job, plan), plan.seat.screws, strict=True):
        z = float(plan.seat.frame.out((*screw.at, 0.0))[2])
        slant = cos(radians(tilt))
        expected = 4.2 + z / slant - 2.0 * (1 - slant**2) ** 0.5 / slant
        assert held.joint.room == pytest.approx(expected)


def test_a_flat_rings_screws_hold_in_its_sheet():
    job = jobs_of("linnet-front-sheet")[0]
    plan = plan_flat(job)
    (panel,) = found(job, plan, "screw.panel")
    assert panel.what.startswith("thread engaged by iso-7380-m5 × 30,")
    assert panel.closed_form == pytest.approx(6.7)  # 30 − 1 − 18 − 3 = 8
    (speaker,) = found(job, plan, "screw.speaker")
    assert speaker.closed_form == pytest.approx(16 - 4 - 1.2)
    (room,) = found(job, plan, "screw.bottom")
    assert room.closed_form == pytest.approx(4 + 1.2 + 18 - 16)


@pytest.mark.parametrize(("across", "fits"), [(135.1, True), (135.0, False)])
def test_a_nut_behind_a_flat_ring_needs_the_opening(across, fits):
    """Its corners reach 63.5 + 4.04 from the middle; under the sheet there is no room at all."""
    item = Through.model_validate({"is": "through", "thread": "M4", "nut_across": 7, "nut_height": 3.2})
    job = jobs_of("linnet-front-sheet")[0]
    fixing = replace(jobs_of("linnet-woofer")[0].fix_speaker, hardware=item)
    plan = plan_flat(changed(job, fix_speaker=fixing))
    job = changed(job, fix_speaker=fixing, panel__opening__round=across)
    for one in speaker_joints(job, plan):
        assert one.joint.least == pytest.approx(4 + 1.2 + 18 + 3.2 + 0.7)
        assert one.joint.room == (inf if fits else pytest.approx(4 + 1.2 + 18))
    (speaker,) = found(job, plan, "screw.speaker")
    assert speaker.verdict is (Verdict.PASS if fits else Verdict.FAIL)


def test_the_tip_lies_on_the_screws_axis():
    for one, screw in zip(speaker_joints(demo(), demo_plan()), demo_plan().seat.screws, strict=True):
        u, v, w = demo_plan().seat.frame.into(one.tip(10.0))
        assert (u, v, w) == (pytest.approx(screw.at[0]), pytest.approx(screw.at[1]), pytest.approx(5.2 - 10))


def test_every_demo_job_has_screws_that_can_be_bought(job_name):
    for job in jobs_of(job_name):
        plan = plan_flat(job) if job.make == "cut" else plan_ring(job)
        bad = [one for one in screw_findings(job, plan) if one.verdict is Verdict.FAIL]
        assert bad == []


def pytest_generate_tests(metafunc):
    from tests.kinds.ring.conftest import JOBS

    if "job_name" in metafunc.fixturenames:
        metafunc.parametrize("job_name", JOBS)
