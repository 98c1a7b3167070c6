"""Refusals of random doors: what they offer was tried; none where a random pose of what is free can be drawn."""

from __future__ import annotations

import os
from dataclasses import replace

import numpy as np
import pytest

from mounts.checks.ring.changes import find_change
from mounts.errors import InputError
from mounts.kinds.ring.aiming.choose import _best_pose, _listeners
from mounts.kinds.ring.aiming.drawn import is_drawable
from mounts.kinds.ring.aiming.sampled import _samples
from mounts.kinds.ring.base import base_for, fastening_of
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import _drawing, plan_ring
from mounts.load.resolve.job import load_from
from mounts.load.resolve.library import Library
from tests.scale.doors import PROFILES, can_seek, is_sought, text_of
from tests.scale.workshop import drawn

LONG = os.environ.get("MOUNTS_SCALE") == "1"
SEED = 1
GIVEN = [n for n in range(80) if not is_sought(drawn("ring", SEED, n))] if LONG else [11]
SOUGHT = [n for n in range(36) if can_seek(drawn("ring", SEED, n))] if LONG else [14]
RANDOM = 2000 if LONG else 5


def job_of(number: int, *, best: bool = False) -> RingJob:
    """A random door's job, of one side; a test is skipped where its file holds a contradiction."""
    library = Library(PROFILES)
    try:
        text = text_of("ring", SEED, number, best=best)
        job = load_from(library, library.root / "jobs" / f"ring-{number}.yaml", text)[0]
    except InputError as error:
        pytest.skip(str(error))
    assert isinstance(job, RingJob)
    return job


@pytest.mark.parametrize("number", GIVEN)
def test_what_a_refusal_offers_makes_a_ring_that_keeps_everything(number: int) -> None:
    job = job_of(number)
    try:
        plan_ring(job)
    except InputError:
        change = find_change(job)
        assert LONG or change
        if change:
            assert all(wall.is_enough for wall in plan_ring(change.job).walls)


@pytest.mark.parametrize("number", SOUGHT)
def test_a_search_is_refused_only_where_no_random_pose_can_be_drawn(number: int) -> None:
    job = job_of(number, best=True)
    try:
        plan_ring(job)
    except InputError:
        screw, plain = fastening_of(job), replace(job, label=None)
        found, draw = _best_pose(plain, screw, base_for(plain, screw), _listeners(plain)), _drawing()
        poses = _samples(found)[:RANDOM]
        held = found.problem.limits.hard(found.problem.freedom.poses(poses)).min(axis=1, initial=np.inf) >= 0
        assert not any(is_drawable(plain, replace(found, numbers=one), draw) for one in poses[held])
