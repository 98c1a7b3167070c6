"""Choice of the next reading: the one that fixes a pattern with free motions, or adds most to its accuracy."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from mounts.geometry.frames import Array
from mounts.geometry.survey.model import SurveyModel, edge_gradients
from mounts.geometry.survey.readings import Readings
from mounts.geometry.survey.survey import SurveyError

LOOSE = 20.0  # standard deviations of a reading by which its holes may give: a pattern that gives more is not settled
GIVES = 0.05  # change of a distance, mm for each mm that the pattern gives, below which it would not help


def refuse_loose(readings: Readings, model: SurveyModel, state: Array, weight: Array) -> None:
    """Check that the readings fix the pattern.

    Raises:
        SurveyError: when it can still move; the text names the reading that would fix it.
    """
    slopes = model.jacobian(state[None])[0] * weight[:, None]
    _, strong, ways = np.linalg.svd(slopes)
    hold = np.zeros(model.unknowns)
    hold[: len(strong)] = strong
    unit = float(np.median(1 / weight[~model.is_level]))
    free = ways[hold * unit < 1 / (LOOSE * model.holes**0.5)][:, : 2 * model.holes]
    if not len(free):
        return
    points = state[: 2 * model.holes].reshape(-1, 2)
    pairs = _unread_pairs(readings)
    gives = [_distance_slack(points, pair, free) for pair in pairs]
    if gives and max(gives) > GIVES:
        one, two = (readings.names[k] for k in pairs[int(np.argmax(gives))])
        loose = len(pairs)
        what = f"the distances leave the pattern loose ({loose} of {_pair_count(readings)} between holes are not read)"
        raise SurveyError(f"{what}: measure {one}-{two} next", "distances", "readings")
    if not readings.level and _can_turn(points, free):
        right, left = _level_pair(points, readings)
        what = f"nothing says how the pattern is turned; give level: [{left}, {right}], as read with a level"
        raise SurveyError(
            f"{what}: from the left hole to the right one, and how many degrees it rises if it does",
            "distances",
            "level",
        )
    read = {to.hole for to in readings.to_opening if to.to == "edge"}
    toward = edge_gradients(readings.opening, points)
    slack = [float(np.linalg.norm(free[:, 2 * k : 2 * k + 2] @ toward[k])) for k in range(model.holes)]
    best = max((k for k in range(model.holes) if k not in read), key=lambda k: slack[k], default=0)
    what = "nothing places the pattern about the opening" if not read else "the pattern can still shift on the opening"
    name = readings.names[best]
    raise SurveyError(
        f"{what}: read from the edge of hole {name} to the opening's edge next, as to_opening: {{{name}: 15.4}}",
        "distances",
        "to_opening",
    )


def best_next_reading(readings: Readings, model: SurveyModel, state: Array, normal: Array, weight: Array) -> str:
    """Return the unread distance between two holes that reduces their variances most, as "A-C"; empty for none."""
    points = state[: 2 * model.holes].reshape(-1, 2)
    variance = float(np.median(1 / weight[~model.is_level])) ** 2
    best, found = 0.0, ""
    for one, two in _unread_pairs(readings):
        slope = np.zeros(model.unknowns)
        way = (points[one] - points[two]) / max(float(np.hypot(*(points[one] - points[two]))), 1e-9)
        slope[2 * one : 2 * one + 2], slope[2 * two : 2 * two + 2] = way, -way
        slope[model.size_at[one]] += model.over / 2
        slope[model.size_at[two]] += model.over / 2
        gain = normal @ slope
        less = float((gain[: 2 * model.holes] ** 2).sum() / (variance + slope @ gain))
        if less > best:
            best, found = less, f"{readings.names[one]}-{readings.names[two]}"
    return found


def _unread_pairs(readings: Readings) -> list[tuple[int, int]]:
    """Return the pairs of holes whose distance was not read."""
    read = {frozenset((b.first, b.second)) for b in readings.between}
    return [pair for pair in combinations(range(len(readings.names)), 2) if frozenset(pair) not in read]


def _pair_count(readings: Readings) -> int:
    """Return the number of pairs of holes."""
    count = len(readings.names)
    return count * (count - 1) // 2


def _distance_slack(points: Array, pair: tuple[int, int], free: Array) -> float:
    """Return how much the distance of two holes changes with the free motions, mm for each mm."""
    one, two = pair
    way = points[one] - points[two]
    way = way / max(float(np.hypot(*way)), 1e-9)
    return float(np.linalg.norm((free[:, 2 * one : 2 * one + 2] - free[:, 2 * two : 2 * two + 2]) @ way))


def _can_turn(points: Array, free: Array) -> bool:
    """Return whether the free motions turn the whole pattern about some point."""
    away = points - points.mean(axis=0)
    turn = np.stack([-away[:, 1], away[:, 0]], axis=1).ravel()
    turn = turn / max(float(np.linalg.norm(turn)), 1e-9)
    moves = np.zeros((2, len(turn)))
    moves[0, ::2] = moves[1, 1::2] = len(points) ** -0.5
    rigid = np.vstack([turn, moves])
    basis = np.linalg.svd(free, full_matrices=False)[2]
    held = np.linalg.norm(basis @ rigid.T @ rigid, axis=1).max()
    return bool(held > 0.5 and float(np.abs(basis @ turn).max()) > 0.3)


def _level_pair(points: Array, readings: Readings) -> tuple[str, str]:
    """Return right and left hole of a pair that looks level in the given order, far apart."""
    order = readings.order
    return readings.names[order[0]], readings.names[order[-1]]
