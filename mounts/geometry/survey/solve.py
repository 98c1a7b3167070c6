"""Solution of a survey: least squares from many starts, selection by the given order, covariance and outliers.

Outlier tests: each reading against its prediction from the others alone (leave-one-out residuals).

Choice of the next reading: the one that fixes a pattern with free motions, or adds most to its accuracy.

Damped least squares (Levenberg, Marquardt) of a survey, from many starts or for many sets of readings at once.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from math import atan2, degrees

import numpy as np

from mounts.geometry.frames import Array
from mounts.geometry.outline import Point
from mounts.geometry.survey.model import SurveyModel, edge_gradients, hole_centres
from mounts.geometry.survey.readings import Readings
from mounts.geometry.survey.starts import starting_patterns
from mounts.geometry.survey.survey import Disagreement, Matrix, ReadingCheck, Survey, SurveyError, outlier_limit
from mounts.geometry.ties import first_most, most_of, sort_with_ties

ROUNDS = 60
STILL = 1e-7  # mm: a step that changes nothing
FIRST, LEAST, MOST = 1e-3, 1e-12, 1e8  # damping, as a share of the normal matrix's diagonal
ALONE = 1e-6  # a figure whose own weight in its value is nearer than this to 1 is checked by no other
LOOK = 2.0  # standard deviations from which the others' value is found by leaving the reading out indeed
ENOUGH = 9.0  # of chi squared for each reading to spare: more is left by more than one wrong reading
HALF = 0.5  # of a size
ALIKE = 4.0  # of chi squared: readings that explain a disagreement this nearly as well as the best are suspects too
LOOSE = 20.0  # standard deviations of a reading by which its holes may give: a pattern that gives more is not settled
GIVES = 0.05  # change of a distance, mm for each mm that the pattern gives, below which it would not help
SAME = 0.5  # mm: two patterns closer than this are one
EQUAL = 1e-3  # standard deviations: with one reading to spare all are off by equally many
RIVAL = 9.0  # by how much more of chi squared another pattern may cost and still be as likely as the best
GROSS = 6.0  # standard deviations from which readings contradict each other: no such pattern can be used
ROUGH = 4.0  # standard deviations by which three distances may fail to make a triangle


def fit_states(model: SurveyModel, start: Array, read: Array, weight: Array) -> tuple[Array, Array]:
    """Return the states that fit best, each from its own start.

    Args:
        model: predicts the figures of a state.
        start: (k, u) states.
        read: (m,) or (k, m), what was read.
        weight: (m,) or (k, m), one over the standard deviation of each; 0 leaves a reading out.

    Returns:
        States (k, u), and the sum of squared weighted residuals of each, (k,).
    """
    state, damping = start.copy(), np.full(len(start), FIRST)
    reads, weights = (np.broadcast_to(a, (len(start), model.count)) for a in (read, weight))
    cost = _sum_of_squares(model, state, reads, weights)
    at_work = np.arange(len(start))
    for _ in range(ROUNDS):
        here, w, y = state[at_work], weights[at_work], reads[at_work]
        step = _step(model, here, y, w, damping[at_work])
        tried = here + step
        new = _sum_of_squares(model, tried, y, w)
        better = new <= cost[at_work]
        state[at_work[better]], cost[at_work[better]] = tried[better], new[better]
        factor = np.where(better, 0.1, 10.0)
        damping[at_work] = np.clip(damping[at_work] * factor, LEAST, MOST)
        at_work = at_work[~(np.abs(step).max(axis=1) < STILL)]
        if not len(at_work):
            break
    return state, cost


def _sum_of_squares(model: SurveyModel, state: Array, read: Array, weight: Array) -> Array:
    """Return the sum of squared weighted residuals of each state, (k,)."""
    total: Array = ((model.residuals(state, read) * weight) ** 2).sum(axis=1)
    return total


def _step(model: SurveyModel, state: Array, read: Array, weight: Array, damping: Array) -> Array:
    """Return the damped Gauss-Newton step of each state, (k, u)."""
    slopes = model.jacobian(state) * weight[:, :, None]
    turned = slopes.transpose(0, 2, 1)
    normal = np.asarray(turned @ slopes, dtype=float)
    here = np.arange(model.unknowns)
    normal[:, here, here] += damping[:, None] * normal[:, here, here] + 1e-9
    right = turned @ (model.residuals(state, read) * weight)[:, :, None]
    found: Array = np.linalg.solve(normal, right)[:, :, 0]
    return found


def check_readings(readings: Readings, model: SurveyModel, state: Array, weight: Array) -> tuple[ReadingCheck, ...]:
    """Return the check of every figure that was read against all the others, in the order of `readings.values`.

    Args:
        readings: what was read.
        model: of these readings.
        state: the best fit, (u,).
        weight: one over the standard deviation of each figure, (m,).
    """
    slopes = model.jacobian(state[None])[0] * weight[:, None]
    own = np.einsum("mu,uv,mv->m", slopes, np.linalg.inv(slopes.T @ slopes), slopes)
    free = np.maximum(1.0 - own, 0.0)
    read, miss = readings.values + readings.bases, model.residuals(state[None], readings.values)[0]
    tested = free > ALONE
    off = np.where(tested, miss / np.where(tested, free, 1.0), 0.0)
    sd = 1.0 / (weight * np.sqrt(np.where(tested, free, 1.0)))
    if float(np.abs(off / sd).max()) > LOOK:
        off = _leave_one_out(readings, model, state, weight, tested)
    return tuple(
        ReadingCheck(
            label, where, float(read[k]), float(miss[k]), float(read[k] - off[k]) if tested[k] else None, float(sd[k])
        )
        for k, (label, where) in enumerate(zip(readings.labels, readings.paths, strict=True))
    )


def _leave_one_out(readings: Readings, model: SurveyModel, state: Array, weight: Array, tested: Array) -> Array:
    """Return by how much each figure differs from what a fit without it gives, (m,)."""
    count = model.count
    without = np.tile(weight, (count, 1))
    without[np.arange(count), np.arange(count)] = np.where(tested, 0.0, weight)
    found, _ = fit_states(model, np.tile(state, (count, 1)), readings.values, without)
    missed: Array = np.where(tested, np.diagonal(model.residuals(found, readings.values)), 0.0)
    return missed


def find_disagreement(checks: tuple[ReadingCheck, ...]) -> Disagreement | None:
    """Return the readings that cannot all be right; None when the worst residual is within its limit."""
    tested = [check for check in checks if check.expected is not None]
    if not tested:
        return None
    worst = max(check.sds for check in tested)
    if worst <= outlier_limit(len(tested)):
        return None
    suspects = [check for check in tested if check.sds**2 > worst**2 - ALIKE]
    sound = [check for check in suspects if _is_plausible(check)]
    return Disagreement(tuple(sort_with_ties(sound or suspects, (lambda check: -check.sds, EQUAL))))


def find_outliers(readings: Readings, model: SurveyModel, weight: Array, cost: float) -> Disagreement:
    """Return the readings that contradict all the others, where these contradict each other outright.

    A gross error bends the whole pattern, so each reading is left out from the start on, and the pattern solved again.

    Args:
        readings: what was read.
        model: of these readings.
        weight: one over the standard deviation of each figure, (m,).
        cost: sum of squares of the best fit to all readings.
    """
    found: list[tuple[float, ReadingCheck]] = []
    for k, (label, where) in enumerate(zip(readings.labels, readings.paths, strict=True)):
        if model.is_level[k]:
            continue
        reduced, without = _without_reading(readings, k), weight.copy()
        without[k] = 0.0
        states, costs = fit_states(model, model.state(starting_patterns(reduced), readings), readings.values, without)
        best = int(np.argmin(costs))
        miss = float(model.residuals(states[best : best + 1], readings.values)[0, k])
        read, sds = float(readings.values[k] + readings.bases[k]), float(max(cost - costs[best], 1e-12)) ** 0.5
        found.append((float(costs[best]), ReadingCheck(label, where, read, miss, read - miss, abs(miss) / sds)))
    least = min(rest for rest, _ in found)
    suspects = [check for rest, check in found if rest <= least + ALIKE]
    ordered = tuple(sort_with_ties(suspects, (lambda check: -check.sds, EQUAL)))
    return Disagreement(ordered, others_agree=least < ENOUGH * (model.count - model.unknowns + 1))


def _without_reading(readings: Readings, k: int) -> Readings:
    """Return the readings without the k-th distance between holes or to the opening; a size stays."""
    count = len(readings.between)
    return replace(
        readings,
        between=tuple(b for i, b in enumerate(readings.between) if i != k),
        to_opening=tuple(t for i, t in enumerate(readings.to_opening, count) if i != k),
    )


def _is_plausible(check: ReadingCheck) -> bool:
    """Return whether a reading can be as wrong as the others make it: nobody misreads a hole's size by half."""
    size = check.where in (("hole",), ("distances", "to_opening"))
    return not size or abs(check.read - (check.expected or 0.0)) < HALF * max(abs(check.read), 4.0)


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
        one, two = (readings.names[k] for k in pairs[first_most(gives)])
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
    best = most_of([k for k in range(model.holes) if k not in read] or [0], lambda k: slack[k])
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


def solve_survey(readings: Readings, sd: float, level_sd: float = 0.5) -> Survey:
    """Return the pattern that a caliper's readings give, in the panel frame, with its covariance and checks.

    Args:
        readings: of 3 to 12 holes.
        sd: one standard deviation of a distance, mm.
        level_sd: one standard deviation of the level's direction, degrees.

    Raises:
        SurveyError: if no pattern or more than one follows from the readings, or they contradict each other.
    """
    _refuse_impossible(readings, sd)
    model = SurveyModel(readings)
    weight = np.where(model.is_level, 1 / level_sd, 1 / max(sd, 1e-6))
    state, cost = fit_states(model, model.state(starting_patterns(readings), readings), readings.values, weight)
    order = np.argsort(cost)
    state, cost = state[order], cost[order]
    refuse_loose(readings, model, state[0], weight)
    best = _survey_of(readings, model, state[0], weight)
    if best.disagreement and best.disagreement.sds > GROSS:
        wrong = find_outliers(readings, model, weight, float(cost[0]))
        raise SurveyError(wrong.describe(readings.units), *wrong.suspects[0].where)
    kept = _select_clockwise(readings, state, cost)
    _refuse_rivals(readings, state[kept], cost[kept])
    return _survey_of(readings, model, state[kept[0]], weight)


def _survey_of(readings: Readings, model: SurveyModel, state: Array, weight: Array) -> Survey:
    """Return the survey that a solved state makes."""
    slopes = model.jacobian(state[None])[0] * weight[:, None]
    normal = np.linalg.inv(slopes.T @ slopes)
    gain = (normal @ slopes.T * weight)[: 2 * model.holes]  # mm of place for each unit of every figure
    lengths, level = gain[:, ~model.is_level], gain[:, model.is_level]
    checks = check_readings(readings, model, state, weight)
    return Survey(
        names=readings.names,
        at=hole_centres(state, model.holes),
        per_length=_as_matrix(lengths @ lengths.T),
        per_level=_as_matrix(level @ level.T),
        checks=checks,
        disagreement=find_disagreement(checks),
        next=best_next_reading(readings, model, state, normal, weight),
    )


def _as_matrix(values: Array) -> Matrix:
    """Return a square array as nested tuples, which a frozen value can hold."""
    return tuple(tuple(float(v) for v in row) for row in values)


def _select_clockwise(readings: Readings, state: Array, cost: Array) -> Array:
    """Return the indices of solved states, best first, whose holes run clockwise in the given order.

    Raises:
        SurveyError: if none does that fits nearly as well as the best.
    """
    kept = [
        k for k, one in enumerate(state) if _winding_number(hole_centres(one, len(readings.names)), readings.order) == 1
    ]
    if kept and cost[kept[0]] - cost[0] <= 4 * RIVAL:
        return np.array(kept)
    points = hole_centres(state[0], len(readings.names))
    found = sorted(
        readings.order, key=lambda k: (clock_direction(points[k]) - clock_direction(points[readings.order[0]])) % 360
    )
    given, seen = (", ".join(readings.names[k] for k in order) for order in (readings.order, found))
    if _winding_number(points, readings.order[::-1]) == 1:
        what = f"the readings fit only the mirror image, where {given} run anticlockwise"
        raise SurveyError(
            f"{what}; give order: anticlockwise, or seen_from: behind when you measured from there", "order"
        )
    what = f"{given} do not run clockwise; the readings put them round the opening as {seen}"
    raise SurveyError(f"{what}: give order: [{seen}] when that is how they lie, or measure again", "order")


def _winding_number(points: tuple[Point, ...], order: tuple[int, ...]) -> int:
    """Return how many times the holes in that order go clockwise round the opening's centre; once is right."""
    turns = [clock_direction(points[k]) for k in order]
    return round(sum((b - a) % 360 for a, b in zip(turns, turns[1:] + turns[:1], strict=True)) / 360)


def clock_direction(point: Point) -> float:
    """Return the clock direction of a point from the origin, degrees clockwise from +y.

    >>> clock_direction((1.0, 0.0))
    90.0
    """
    return degrees(atan2(point[0], point[1]))


def _refuse_rivals(readings: Readings, state: Array, cost: Array) -> None:
    """Check that no second pattern fits as well: a hole may lie on either side of the line between two others.

    Raises:
        SurveyError: if one does; the text names the reading that would decide.
    """
    best = state[0, : 2 * len(readings.names)].reshape(-1, 2)
    for other in state[cost <= cost[0] + RIVAL]:
        rival = other[: 2 * len(readings.names)].reshape(-1, 2)
        if np.abs(rival - best).max() < SAME:
            continue
        pairs = list(combinations(range(len(best)), 2))
        change = [abs(float(np.hypot(*(best[i] - best[j])) - np.hypot(*(rival[i] - rival[j])))) for i, j in pairs]
        one, two = (readings.names[k] for k in pairs[first_most(change)])
        if max(change) > 4 * SAME:
            what = (
                "two patterns fit these readings; they differ by "
                f"{readings.units(max(change), 0)} between {one} and {two}"
            )
            raise SurveyError(f"{what}: measure {one}-{two} too", "distances", "readings")
        if not readings.level:
            right, left = (readings.names[k] for k in (readings.order[0], readings.order[-1]))
            what = f"no reading shows which way up the pattern lies; give level: [{left}, {right}], from left to right"
            raise SurveyError(what, "distances", "level")
        moved = readings.names[int(np.argmax(np.abs(rival - best).max(axis=1)))]
        what = "the opening's centre may lie in two places by these readings"
        raise SurveyError(f"{what}: read one more hole to the opening, {moved} or another", "distances", "to_opening")


def _refuse_impossible(readings: Readings, sd: float) -> None:
    """Check that no distance is longer than two others that make a triangle with it, and none negative.

    Raises:
        SurveyError: if one is.
    """
    away = {frozenset((b.first, b.second)): readings.centre_distance(b) for b in readings.between}
    names = readings.names
    for (pair, far), label in zip(away.items(), readings.labels, strict=False):
        if far <= 0:
            what = f"{label} leaves {readings.units(far)} between the centres"
            raise SurveyError(
                f"{what}: read it again, or say over which edges you read (between)", "distances", "readings", label
            )
        one, two = pair
        for third in range(len(names)):
            legs = [away.get(frozenset((end, third))) for end in (one, two)]
            if third in pair or legs[0] is None or legs[1] is None:
                continue
            if far > legs[0] + legs[1] + ROUGH * 3**0.5 * sd:
                units = readings.units
                others = " and ".join(f"{names[end]}-{names[third]}" for end in (one, two))
                what = (
                    f"{label} is {units(far, 1)} between centres, more than {others} together "
                    f"({units(legs[0] + legs[1], 1)})"
                )
                raise SurveyError(f"{what}: measure these three again", "distances", "readings", label)
