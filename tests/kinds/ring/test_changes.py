"""A change that mends a ring: it was tried, keeps everything, and is the plainest; where nothing does there is none."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mounts.checks.ring.changes import find_change, has_room, search, with_change
from mounts.checks.ring.changes.trial import Trial
from mounts.errors import InputError
from mounts.findings.compare import at_least
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.load.models.job import AimAngles
from mounts.load.models.outline import Opening
from mounts.load.models.speaker import BodyStep
from tests.checks.level import all_round, demo
from tests.checks.rings import ring
from tests.kinds.ring.conftest import changed


def high() -> RingJob:
    return changed(ring("linnet-rear-three-holes").job, height=45.0)


def near_glass() -> RingJob:
    return changed(demo(), panel__behind__glass=all_round(46.0))


def under_wide_washers(across: float = 36.0) -> RingJob:
    """The demo, level, with washers so wide that tool paths run into the bore."""
    job = replace(demo(), aim=AimAngles(), height=24.0)
    held = job.fix_to_panel
    return replace(job, fix_to_panel=replace(held, washer=held.washer.model_copy(update={"outside": across})))


def fat_behind_its_seat() -> RingJob:
    """The demo, level, with a basket as wide as 113.1 down to 30 behind the seat, in an opening of 126."""
    steps = ((0.0, 113.1), (30.0, 113.1), (31.0, 80.0), (56.0, 80.0))
    body = tuple(BodyStep(depth=depth, across=across) for depth, across in steps)
    level = replace(demo(), aim=AimAngles(), height=24.0, label=None)
    return changed(level, speaker__body=body, panel__opening=Opening(round=126.0), gaskets__base=None)


CASES: list[Any] = [(high, {"height"}), (near_glass, {"tilt"}), (under_wide_washers, {"fix_to_panel"})]
CASES += [(fat_behind_its_seat, {"limits"})]


@pytest.mark.parametrize(("job", "keys"), CASES)
def test_the_change_was_tried_and_keeps_everything(job: Any, keys: set[str]) -> None:
    before = job()
    assert Trial.of(before).lacks
    change = find_change(before)
    assert change is not None
    assert set(change.lines) == keys
    assert not Trial.of(change.job).lacks
    assert {code for code, grave in Trial.of(change.job).graver(Trial.of(before)).items() if grave > 1} == set()
    assert all(wall.is_enough for wall in plan_ring(change.job).walls)


def test_where_nothing_keeps_all_there_is_no_change() -> None:
    assert find_change(changed(demo(), panel__behind__glass=all_round(20.0))) is None


@pytest.mark.parametrize(("deep", "room"), [(18.0, False), (28.0, True)])
def test_whether_any_pose_leaves_room_is_known_before_one_is_tried(deep: float, room: bool) -> None:
    """The level demo's rear is 54.8 under its seat, its flange's top 5.2 over it, the trim at 43 and more.

    With 6 to the glass and 3 to the trim there is room from 26 deep; by the grid, 3.3 coarse at either end, from 19.5.
    """
    job = changed(replace(demo(), aim=AimAngles()), panel__behind__glass=all_round(deep))
    assert has_room(job) is room


@pytest.mark.parametrize("job", [high, near_glass, under_wide_washers])
def test_no_more_plans_are_tried_than_are_allowed(job: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    count, tried = [0], Trial.of

    def counted(one: RingJob) -> Trial:
        count[0] += 1
        return tried(one)

    monkeypatch.setattr(search.Trial, "of", staticmethod(counted))
    find_change(job(), most=2)
    assert count[0] <= 3  # the job itself, and two


def test_a_refused_plan_names_a_change_by_which_it_is_made() -> None:
    job = under_wide_washers(46.0)
    with pytest.raises(InputError) as refused:
        plan_ring(job)
    change = find_change(job)
    assert change is not None
    (problem, *_) = change.refused(refused.value).problems
    assert problem.where == "fix_to_panel"
    assert problem.what.endswith(
        "fix_to_panel: {hardware: rivet-nut-m5, washer: iso-7089-m5} was tried, and keeps every clearance and wall; "
        "look then to pressure under washer or head (asa, 1 N·m)"
    )


def test_only_what_is_missed_of_clearances_and_walls_has_it() -> None:
    job = near_glass()
    glass, kept = (
        at_least("clear.glass", 8.3, 10.0, "body to glass"),
        at_least("clear.trim", 4.0, 3.0, "flange to trim"),
    )
    heat = at_least("heat", 60.0, 75.0, "pla in a door")
    found = with_change(job, (glass, kept, heat))
    assert [bool(one.change) for one in found] == [True, False, False]
