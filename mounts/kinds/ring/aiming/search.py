"""Search for the best place from several starts at once, by sequential quadratic programming.

Each round takes finite differences for the slopes of residuals and constraints, and solves a small least-squares
problem under the linearised constraints within a trust region (Nocedal and Wright, Numerical Optimization, chapter 18).
Clearances that no place can keep are missed by the least common amount (their elastic mode); hard constraints hold.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array
from mounts.geometry.quadratic import inequality_least_squares
from mounts.progress import report_stage

WIDE, NARROW = 4.0, 8e-3  # widths of trust at first and at last
FINE = 1e-4  # at last, so that values rounded to hundredths do not depend on where the search stopped
ROUNDS = 24
DAMP = 1e-3  # holds back numbers on which nothing depends
STIFF = 300.0  # weight of a miss in the small problem
SAME = 0.3  # degrees and mm: starts so near to each other end alike
DEAR = 1000.0  # worth of a millimetre missed against squared degrees, when a step is judged
SLIGHT, SMALL = 1e-8, 0.3  # gains in squared degrees: none, and one that is not worth a step

Told = tuple[Array, Array, Array]  # residuals (n, r), soft margins (n, s), hard margins (n, h); slopes (n, r, count) …
Teller = Callable[[Array, NDArray[np.intp]], tuple[Told, Told]]


@dataclass(frozen=True, slots=True, eq=False)
class SearchResult:
    """Ends of a search, a row for each start.

    Attributes:
        numbers: (s, count) float.
        cost: sum of squares of what is wanted to be 0, (s,).
        miss: by how much the worst limit is missed, (s,); 0 where all are kept.
        told: of the places.
    """

    numbers: Array
    cost: Array
    miss: Array
    told: Told

    def order(self) -> list[int]:
        """Return the starts, the one that ended best first."""
        return sorted(range(len(self.numbers)), key=lambda k: _merit(_row(self.told, k)))


def search(
    starts: Array,
    tell: Teller,
    wide: float = WIDE,
    worth: float = SMALL,
    *,
    narrow: float = NARROW,
    rounds: int = ROUNDS,
    alone: bool = True,
) -> SearchResult:
    """Return the nearest local optimum from each start.

    Args:
        starts: (s, count) float.
        tell: numbers (n, count), and which start each belongs to → residuals and margins, and their slopes.
        wide: initial width of the trust region, degrees and mm.
        worth: gain in squared degrees below which a step is not taken.
        narrow: width of the trust region at which a search ends.
        rounds: at most.
        alone: whether starts that meet solve the same problem, so that only one of them need go on.
    """
    numbers, width = starts.copy(), np.full(len(starts), wide)
    told, slopes = tell(numbers, np.arange(len(starts)))
    bent = [np.zeros_like(part) for part in told]  # how far the limits bend away from their linear picture
    for turn in range(rounds):
        report_stage("search for the pose: round %d, at most %d, of %d poses", turn + 1, rounds, (width > narrow).sum())
        live, steps = [], []
        for k in (int(k) for k in np.flatnonzero(width > narrow)):
            here, steep = _row(told, k), _row(slopes, k)
            step = _step(here, steep, _row(bent, k), width[k])
            is_first = not any(part[k].any() for part in bent)
            if is_first and _merit(here) - _merit(_after(here, steep, step)) < worth:
                width[k] = 0.0
                continue
            live.append(k)
            steps.append(step)
        if not live:
            break
        tries = numbers[live] + np.array(steps)
        new, new_slopes = tell(tries, np.array(live))
        for at, k in enumerate(live):
            gain = _merit(_row(told, k)) - _merit(_row(new, at))
            if gain > SLIGHT:
                numbers[k] = tries[at]
                for old, fresh in zip((*told, *slopes), (*new, *new_slopes), strict=True):
                    old[k] = fresh[at]
                far = np.abs(steps[at]).max(initial=0.0) > 0.9 * width[k]
                width[k] = min(WIDE, 2 * width[k]) if far else width[k]
                tired = True
            else:
                tired = any(part[k].any() for part in bent)
                width[k] *= 0.25 if tired else 1.0
            for part, old, fresh, slope in zip(bent, told, new, slopes, strict=True):
                part[k] = 0.0 if tired else fresh[at] - old[k] - slope[k] @ steps[at]
        if alone:
            _drop_followers(numbers, told, width)
    return SearchResult(numbers, (told[0] ** 2).sum(axis=1), np.maximum(0.0, -_least(told[1], told[2])), told)


def _drop_followers(numbers: Array, told: Told, width: Array) -> None:
    """End the search of every start that has come to where a better one is."""
    order = sorted(range(len(numbers)), key=lambda k: _merit(_row(told, k)))
    for place, k in enumerate(order):
        if any(np.abs(numbers[k] - numbers[j]).max(initial=0.0) < SAME for j in order[:place]):
            width[k] = 0.0


def _step(told: tuple[Array, ...], slopes: tuple[Array, ...], bent: tuple[Array, ...], width: float) -> Array:
    """Return the best step of the linear model within a width; its last unknown is the miss."""
    wanted, soft, hard = told[0], told[1] + bent[1], told[2] + bent[2]
    to_wanted, to_soft, to_hard = slopes
    count = to_wanted.shape[1]
    matrix = np.zeros((len(wanted) + count + 1, count + 1))
    matrix[: len(wanted), :count] = to_wanted
    matrix[len(wanted) : -1, :count] = DAMP * np.eye(count)
    matrix[-1, -1] = STIFF
    target = np.concatenate([-wanted, np.zeros(count + 1)])
    box = np.concatenate([np.eye(count), -np.eye(count)])
    rows = [np.column_stack([to_soft, np.ones(len(soft))]), np.column_stack([to_hard, np.zeros(len(hard))])]
    rows += [np.column_stack([box, np.zeros(len(box))]), np.eye(count + 1)[-1:]]
    bounds = np.concatenate([-soft, -hard, np.full(len(box), -width), [0.0]])
    all_rows = np.concatenate(rows)
    near = bounds > -np.abs(all_rows[:, :count]).sum(axis=1) * width - 1e-9
    near[-1] = True
    found = inequality_least_squares(matrix, target, all_rows[near], bounds[near])
    if found is None:  # what must hold cannot within this width: as near to it as the width allows
        all_rows[len(soft) : len(soft) + len(hard), -1] = 1.0
        found = inequality_least_squares(matrix, target, all_rows[near], bounds[near])
    return np.zeros(count) if found is None else np.clip(found[:count], -width, width)


def _after(told: tuple[Array, ...], slopes: tuple[Array, ...], step: Array) -> tuple[Array, ...]:
    """Return the prediction of the linear model after a step."""
    return tuple(part + slope @ step for part, slope in zip(told, slopes, strict=True))


def _row(parts: Sequence[Array], k: int) -> tuple[Array, ...]:
    return tuple(part[k] for part in parts)


def _least(soft: Array, hard: Array) -> Array:
    found: Array = np.concatenate([soft, hard, np.full((len(soft), 1), np.inf)], axis=1).min(axis=1)
    return found


def _merit(told: tuple[Array, ...]) -> float:
    wanted, soft, hard = told
    missed = max(0.0, -soft.min(initial=0.0))
    return float((wanted**2).sum() + DEAR * (missed + 2 * max(0.0, -hard.min(initial=0.0))))
