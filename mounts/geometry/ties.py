"""Choices between equals: what rounding may tell apart counts as equal, and the first of equals is taken.

The last bits of a float differ from one processor to the next, so that the least of two equal values is now the one and
now the other. Here values that differ by no more than a margin are equal; the order of what is asked decides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import copysign, floor, isfinite
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MARGIN = 1e-6  # rounding errors stay far below it, and what anyone reads is coarser
TIE = 1e-3  # of the last digit shown: values nearer than that to the middle between two figures are in the middle
ODD = 0.382  # of a step: where steps begin, which is nowhere near a round number

T = TypeVar("T")


def first_least(values: Iterable[float], margin: float = MARGIN) -> int:
    """Index of the first of some values that exceeds the least by no more than a margin."""
    found = [float(value) for value in values]
    most = min(found) + margin
    return next(k for k, value in enumerate(found) if value <= most)


def first_most(values: Iterable[float], margin: float = MARGIN) -> int:
    """Index of the first of some values that falls short of the greatest by no more than a margin."""
    return first_least((-value for value in values), margin)


def first_least_rows(values: NDArray[np.float64]) -> NDArray[np.intp]:
    """`first_least` along the last axis of many values (…, n) at once, (…)."""
    found: NDArray[np.intp] = (values <= values.min(axis=-1, keepdims=True) + MARGIN).argmax(axis=-1)
    return found


def least_of(items: Iterable[T], key: Callable[[T], float], margin: float = MARGIN) -> T:
    """The first of some things whose value exceeds the least by no more than a margin."""
    found = list(items)
    return found[first_least(map(key, found), margin)]


def most_of(items: Iterable[T], key: Callable[[T], float], margin: float = MARGIN) -> T:
    """The first of some things whose value falls short of the greatest by no more than a margin."""
    found = list(items)
    return found[first_most(map(key, found), margin)]


def step_of(value: float, width: float = MARGIN) -> float:
    """Number of the step in which a value lies, to sort by: equal values lie in the same one."""
    return float(floor(value / width + ODD)) if isfinite(value) else value


def reaches(value: float, limit: float) -> bool:
    """Whether a value reaches a limit, or falls short of it by rounding alone."""
    return value >= limit - MARGIN * max(1.0, abs(limit))


def keeps(value: float, limit: float) -> bool:
    """Whether a value keeps under a limit, or exceeds it by rounding alone."""
    return value <= limit + MARGIN * max(1.0, abs(limit))


def decimals(value: float, places: int) -> str:
    """A value with so many decimals, rounded half away from 0: 2.65 and what rounding makes of it are both 2.7."""
    return f"{value + copysign(TIE * 10**-places, value):.{places}f}"
