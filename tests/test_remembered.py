"""The last results of a function, kept by equality: of values that cannot be hashed, refusals among them."""

from __future__ import annotations

import pytest

from mounts.errors import InputError, Problem
from mounts.kinds.ring.plan import remembered


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
