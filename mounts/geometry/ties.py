"""Choices that do not depend on rounding: values within a margin are ties, and the first of them is taken.

The last bits of a float differ from one processor to the next, so that of two equal values now the one and now the
other is the least. Here values that differ by no more than a margin are equal, and the order of the candidates decides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
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
    """Return the index of the first value that exceeds the least by no more than a margin.

    >>> first_least([2.0, 1.0 + 1e-9, 1.0])
    1
    """
    found = [float(value) for value in values]
    most = min(found) + margin
    return next(k for k, value in enumerate(found) if value <= most)


def first_most(values: Iterable[float], margin: float = MARGIN) -> int:
    """Return the index of the first value that falls short of the greatest by no more than a margin.

    >>> first_most([2.0, 3.0 - 1e-9, 3.0])
    1
    """
    return first_least((-value for value in values), margin)


def first_least_rows(values: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return `first_least` along the last axis of values (…, n), (…) int.

    >>> first_least_rows(__import__("numpy").array([[2.0, 1.0], [1.0, 1.0]]))
    array([1, 0])
    """
    found: NDArray[np.intp] = (values <= values.min(axis=-1, keepdims=True) + MARGIN).argmax(axis=-1)
    return found


def least_of(items: Iterable[T], key: Callable[[T], float], margin: float = MARGIN) -> T:
    """Return the first item whose key exceeds the least by no more than a margin.

    >>> least_of(["four", "two", "one"], key=len)
    'two'
    """
    found = list(items)
    return found[first_least(map(key, found), margin)]


def most_of(items: Iterable[T], key: Callable[[T], float], margin: float = MARGIN) -> T:
    """Return the first item whose key falls short of the greatest by no more than a margin.

    >>> most_of(["two", "four", "five"], key=len)
    'four'
    """
    found = list(items)
    return found[first_most(map(key, found), margin)]


def tie_ranks(values: Sequence[float] | NDArray[np.float64], margin: float = MARGIN) -> NDArray[np.intp]:
    """Return the rank of each value, 0 for the least; values that follow each other within a margin share theirs.

    >>> tie_ranks([2.0, 1.0 + 1e-9, 1.0]).tolist()
    [1, 0, 0]
    """
    import numpy as np

    found = np.asarray(values, dtype=float)
    order = np.argsort(found, kind="stable")
    ranks = np.zeros(len(found), dtype=np.intp)
    ranks[order[1:]] = np.cumsum(found[order[1:]] > found[order[:-1]] + margin)
    return ranks


def sort_with_ties(items: Iterable[T], *keys: tuple[Callable[[T], float], float]) -> list[T]:
    """Return items sorted by keys, each with its margin: among ties the next key decides, at last the order given.

    >>> sort_with_ties(["be", "a", "at", "an"], (len, 0.5), (lambda word: ord(word[0]), 0.5))
    ['a', 'at', 'an', 'be']
    """
    found = list(items)
    ranks = [_ranks_of([key(one) for one in found], margin) for key, margin in keys]
    return [found[k] for k in sorted(range(len(found)), key=lambda k: [rank[k] for rank in ranks])]


def _ranks_of(values: Sequence[float], margin: float) -> list[int]:
    """Return what `tie_ranks` does, without numpy, which takes longer to load than a look through an index."""
    order, rank = sorted(range(len(values)), key=lambda k: values[k]), 0
    ranks = [0] * len(values)
    for before, k in pairwise(order):
        rank += values[k] > values[before] + margin
        ranks[k] = rank
    return ranks


def step_of(value: float, width: float = MARGIN) -> float:
    """Return the number of the step of `width` in which a value lies, as a sort key: ties lie in the same step.

    >>> step_of(2.0) == step_of(2.0 + 1e-9)
    True
    """
    return float(floor(value / width + ODD)) if isfinite(value) else value


def reaches(value: float, limit: float) -> bool:
    """Return whether a value reaches a limit, or falls short of it by rounding alone.

    >>> reaches(1.0 - 1e-9, 1.0)
    True
    """
    return value >= limit - MARGIN * max(1.0, abs(limit))


def keeps(value: float, limit: float) -> bool:
    """Return whether a value does not exceed a limit, or does so by rounding alone.

    >>> keeps(1.0 + 1e-9, 1.0)
    True
    """
    return value <= limit + MARGIN * max(1.0, abs(limit))


def decimals(value: float, places: int) -> str:
    """Return a value as text with `places` decimals, rounded half away from 0, so that rounding errors do not show.

    >>> decimals(2.65, 1), decimals(2.6499999999, 1), decimals(-1e-12, 1)
    ('2.7', '2.7', '0.0')
    """
    return f"{value + copysign(TIE * 10**-places, value):z.{places}f}"
