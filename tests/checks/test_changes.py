"""A change that would keep everything: it was tried and holds; where nothing holds there is none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mounts.findings.compare import at_least
from mounts.findings.report import Verdict
from mounts.kinds.ring.changes import tried_change, with_change
from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps
from mounts.kinds.ring.insertion import path_gaps
from mounts.kinds.ring.plan import plan_ring
from mounts.load.models.job_kinds import RingJob
from tests.checks.level import all_round, demo
from tests.checks.rings import ring
from tests.kinds.ring.conftest import changed


def missed(job: RingJob) -> int:
    plan = plan_ring(job)
    gaps = (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan), *path_gaps(job, plan))
    return sum(gap.verdict is not Verdict.PASS for gap in gaps) + sum(not wall.is_enough for wall in plan.walls)


def high() -> RingJob:
    return changed(ring("linnet-rear-three-holes").job, height=45.0)


def near_glass() -> RingJob:
    return changed(demo(), panel__behind__glass=all_round(46.0))


@pytest.mark.parametrize(("job", "key"), [(high, "height"), (near_glass, "tilt")])
def test_the_change_was_tried_and_keeps_everything(job, key) -> None:
    before = job()
    assert missed(before) > 0
    name, _, value = tried_change(before, plan_ring(before)).partition(": ")
    assert name == key
    given = {"height": float(value)} if key == "height" else {"aim": replace(before.aim, tilt=float(value))}
    assert missed(replace(before, label=None, **given)) == 0


def test_where_nothing_keeps_all_there_is_no_change() -> None:
    job = changed(demo(), panel__behind__glass=all_round(30.0))
    assert tried_change(job, plan_ring(job)) == ""


def test_only_clearances_and_walls_that_are_missed_have_it() -> None:
    job = near_glass()
    glass, kept = (
        at_least("clear.glass", 8.3, 10.0, "body to glass"),
        at_least("clear.trim", 4.0, 3.0, "flange to trim"),
    )
    heat = at_least("heat", 60.0, 75.0, "pla in a door")
    found = with_change(job, plan_ring(job), (glass, kept, heat))
    assert [bool(one.change) for one in found] == [True, False, False]
