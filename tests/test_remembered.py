"""The last results of a function, kept by equality: of values that cannot be hashed, refusals among them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mounts.design import lettering
from mounts.errors import InputError, Problem
from mounts.kinds.remembered import remembered
from mounts.kinds.ring import label, plan
from mounts.kinds.ring.walls import rods
from mounts.shape import sheet
from tests.bench.plan import PROFILES, Library, edited_jobs


def test_the_last_results_are_kept_and_older_ones_found_again() -> None:
    asked: list[list[int]] = []

    @remembered(2)
    def total(numbers: list[int]) -> int:
        asked.append(numbers)
        return sum(numbers)

    assert [total([1, 2]), total([1, 2]), total([3]), total([1, 2])] == [3, 3, 3, 3]
    assert asked == [[1, 2], [3]]
    assert total([4]) == 4  # the third drives out the first
    assert total([1, 2]) == 3
    assert asked == [[1, 2], [3], [4], [1, 2]]


def test_a_refusal_is_raised_each_time_and_worked_out_once() -> None:
    asked = []

    @remembered(2)
    def refuse(numbers: list[int]) -> int:
        asked.append(numbers)
        raise InputError(Problem("no", "aim.tilt"))

    for _ in range(2):
        with pytest.raises(InputError) as caught:
            refuse([1])
        assert [problem.where for problem in caught.value.problems] == ["aim.tilt"]
    assert asked == [[1]]


def test_other_errors_are_not_kept() -> None:
    asked = []

    @remembered(2)
    def fail(numbers: list[int]) -> int:
        asked.append(numbers)
        raise ZeroDivisionError

    for _ in range(2):
        with pytest.raises(ZeroDivisionError):
            fail([1])
    assert asked == [[1], [1]]


def test_a_plan_after_an_edit_is_what_it_is_with_nothing_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    job, edited = edited_jobs(Library(PROFILES))
    plan.draft_ring(job)
    after = {what: plan.draft_ring(one) for what, one in edited.items()}
    stages = ((plan, "draft_ring"), (plan, "_walls_of"), (label, "_labels"))
    for module, name in stages:
        monkeypatch.setattr(module, name, getattr(module, name).__wrapped__)
    for what, one in edited.items():
        for kept in (lettering.strip_on, lettering._shapes, rods._sheet_distances, rods.level_edge, sheet.least_gap):
            kept.cache_clear()
        assert plan.draft_ring(one) == after[what], what
    assert after["tilt"] != after["reading of the glass"]


def test_an_edit_of_a_reading_that_moves_no_wall_measures_none(monkeypatch: pytest.MonkeyPatch) -> None:
    job, edited = edited_jobs(Library(PROFILES))
    plan.draft_ring(job)

    def measure(*_: object) -> None:
        raise AssertionError("measured again")

    monkeypatch.setattr(plan, "walls_of", measure)
    for what in ("reading of the sheet", "reading of the glass", "reading of the trim"):
        plan.draft_ring.__wrapped__(edited[what])
    with pytest.raises(AssertionError, match="measured again"):
        plan.draft_ring.__wrapped__(replace(job, aim=replace(job.aim, tilt=job.aim.tilt - 0.2)))
