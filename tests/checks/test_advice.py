"""What would keep a clearance that is missed: the same as one gets by trying one step after another."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from math import ceil

import pytest

from mounts.checks.ring.advice import FINE, FURTHEST, KEYS, REPLANNED, UNREAD, advise
from mounts.errors import MountsError
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict
from mounts.geometry.frames import tilt_frame
from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps
from mounts.kinds.ring.insertion import path_gaps
from mounts.kinds.ring.pieces import RingSeat
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job_kinds import RingJob
from tests.checks.level import all_round, demo
from tests.checks.rings import ring
from tests.kinds.ring.conftest import changed


def lower_trim(by: float, **more: object) -> RingJob:
    """The demo with its trim so much nearer to the face."""
    trim = demo().panel.in_front.trim
    readings = {clock: height - by for clock, height in trim.at_clock.items()}
    return changed(demo(), panel__in_front__trim=trim.model_copy(update={"at_clock": readings, **more}))


@cache
def jobs() -> dict[str, RingJob]:
    """Jobs that miss something, each in its own way."""
    near = changed(demo(), panel__behind__glass=all_round(40.0))
    things = tuple(one.model_copy(update={"depth": 20.0, "at": (30.0, -30.0)}) for one in demo().panel.behind.things)
    return {
        "trim low": lower_trim(15.0),
        "trim hooked": lower_trim(18.0, goes_on="hooked at the bottom"),
        "trim slid": lower_trim(24.0, goes_on="slid from the top"),
        "trim closed": lower_trim(30.0, opening=None),
        "glass near": near,
        "glass and rail near": changed(near, panel__behind__things=things),
        "high": changed(ring("linnet-rear-three-holes").job, height=45.0),
        "body unread": changed(near, speaker__body=()),
    }


@pytest.mark.parametrize("name", jobs())
def test_advice_is_what_one_gets_step_by_step(name: str) -> None:
    job = jobs()[name]
    plan = plan_ring(job)
    gaps = (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan), *path_gaps(job, plan))
    outside = [gap for gap in gaps if gap.code not in REPLANNED]
    told = advise(job, plan, outside)
    assert told == tuple("" if gap.verdict is Verdict.PASS else step_by_step(job, plan, gap) for gap in outside)
    assert any(told)


def test_more_height_is_found_by_planning_anew() -> None:
    """A magnet that passes the bore only where the seat stands higher."""
    job = changed(demo(), speaker__body=tuple(s.model_copy(update={"across": 112.6}) for s in demo().speaker.body))
    plan = plan_ring(job)
    missed = [gap for gap in ring_gaps(job, plan) if gap.code == "clear.body-bore" and gap.verdict is not Verdict.PASS]
    assert missed
    for gap, told in zip(missed, advise(job, plan, missed), strict=True):
        assert told == planned_anew(job, plan, gap)


def test_a_collar_that_more_height_would_not_leave_is_no_crash() -> None:
    """Higher seats have no room for the collar's rim: they are no answer, and no error either."""
    collared = ring("linnet-front-collar").job
    job = changed(collared, speaker__body=tuple(s.model_copy(update={"across": 114.0}) for s in collared.speaker.body))
    plan = plan_ring(job)
    missed = [gap for gap in ring_gaps(job, plan) if gap.code == "clear.body-bore" and gap.verdict is not Verdict.PASS]
    assert missed
    assert all(told.endswith(KEYS["clear.body-bore"]) for told in advise(job, plan, missed))


# the plain way, one seat after another and every clearance on each


def tenths_up(missing: float) -> float:
    """What is missing, rounded up: who gives so much gives enough."""
    return ceil(round(10 * missing, 6)) / 10


def step_by_step(job: RingJob, plan: RingPlan, gap: Gap) -> str:
    unread = "" if job.speaker.body or gap.between[0].label != "body" else UNREAD
    seat, (x, y, height) = plan.seat, plan.seat.frame.origin
    one, other = gap.between
    lead = f"{tenths_up(gap.wanted - gap.gap):.1f} more is needed between {one} and {other}"

    def at_height(value: float) -> RingSeat:
        return replace(seat, frame=tilt_frame((x, y, value), seat.tilt, seat.toward))

    def at_tilt(value: float) -> RingSeat:
        return replace(seat, tilt=value, frame=tilt_frame((x, y, height), value, seat.toward))

    found = []
    up = nearest(lambda step: kept(job, at_height(height + step), gap))
    down = nearest(lambda step: height - step >= plan.least_height and kept(job, at_height(height - step), gap))
    for way, step in ((1, up), (-1, down)):
        if step is not None:
            found.append(f"take a height of {height + way * step:g}{but(job, at_height(height + way * step), gap)}")
    flatter = nearest(lambda step: step <= seat.tilt and kept(job, at_tilt(seat.tilt - step), gap))
    if flatter is not None:
        found.append(f"take a tilt of {seat.tilt - flatter:.1f}{but(job, at_tilt(seat.tilt - flatter), gap)}")
    found.sort(key=len)
    what = ", or ".join(found) if found else KEYS.get(gap.code, "take another speaker")
    return f"{unread}{lead}: {what}"


def nearest(is_kept: Callable[[float], bool]) -> float | None:
    coarse = next((step for step in range(1, int(FURTHEST) + 1) if is_kept(float(step))), None)
    if coarse is None:
        return None
    return next(step for k in range(1, 11) if is_kept(round(step := coarse - 1 + FINE * k, 1)))


def kept(job: RingJob, seat: RingSeat, gap: Gap) -> bool:
    same = [g for g in speaker_gaps(job, seat) if (g.code, g.between) == (gap.code, gap.between)]
    return bool(same) and all(g.verdict is Verdict.PASS for g in same)


def but(job: RingJob, seat: RingSeat, gap: Gap) -> str:
    missed = {g.between for g in speaker_gaps(job, seat) if g.code != gap.code and g.verdict is not Verdict.PASS}
    pairs = " and ".join(f"{a} to {b}" for a, b in sorted(missed, key=lambda pair: [str(one) for one in pair]))
    return f" (but then {pairs} {'is' if len(missed) == 1 else 'are'} too near)" if missed else ""


def planned_anew(job: RingJob, plan: RingPlan, gap: Gap) -> str:
    height, lead = plan.seat.frame.origin[2], f"{tenths_up(gap.wanted - gap.gap):.1f} more is needed"

    def clear(step: float) -> bool:
        try:
            taller = plan_ring(replace(job, height=round(height + step, 1), label=None))
        except MountsError:
            return False
        return all(g.verdict is Verdict.PASS for g in ring_gaps(job, taller) if g.code == gap.code)

    high = next((float(2**k) for k in range(6) if clear(float(2**k))), None)
    if high is None:
        return f"{lead}: {KEYS[gap.code]}"
    low = high / 2 if high > 1 else 0.0
    while high - low > 0.5:
        middle = (low + high) / 2
        low, high = (low, middle) if clear(middle) else (middle, high)
    return f"{lead}: take a height of {height + high:.1f}, or {KEYS[gap.code].removeprefix('take ')}"
