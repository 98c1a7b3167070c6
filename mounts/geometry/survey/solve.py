"""Solution of a survey: least squares from many starts, selection by the given order, covariance and outliers."""

from __future__ import annotations

from itertools import combinations
from math import atan2, degrees

import numpy as np

from mounts.geometry.frames import Array
from mounts.geometry.outline import Point
from mounts.geometry.survey.levenberg import fit_states
from mounts.geometry.survey.model import SurveyModel, hole_centres
from mounts.geometry.survey.next_reading import best_next_reading, refuse_loose
from mounts.geometry.survey.outliers import check_readings, find_disagreement, find_outliers
from mounts.geometry.survey.readings import Readings
from mounts.geometry.survey.starts import starting_patterns
from mounts.geometry.survey.survey import Matrix, Survey, SurveyError

SAME = 0.5  # mm: two patterns closer than this are one
RIVAL = 9.0  # by how much more of chi squared another pattern may cost and still be as likely as the best
GROSS = 6.0  # standard deviations from which readings contradict each other: no such pattern can be used
ROUGH = 4.0  # standard deviations by which three distances may fail to make a triangle


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
        raise SurveyError(wrong.what, *wrong.suspects[0].where)
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
        one, two = (readings.names[k] for k in pairs[int(np.argmax(change))])
        if max(change) > 4 * SAME:
            what = f"two patterns fit these readings; they differ by {max(change):.0f} between {one} and {two}"
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
            what = f"{label} leaves {far:g} between the centres"
            raise SurveyError(
                f"{what}: read it again, or say over which edges you read (between)", "distances", "readings", label
            )
        one, two = pair
        for third in range(len(names)):
            legs = [away.get(frozenset((end, third))) for end in (one, two)]
            if third in pair or legs[0] is None or legs[1] is None:
                continue
            if far > legs[0] + legs[1] + ROUGH * 3**0.5 * sd:
                others = " and ".join(f"{names[end]}-{names[third]}" for end in (one, two))
                what = f"{label} is {far:.1f} between centres, more than {others} together ({legs[0] + legs[1]:.1f})"
                raise SurveyError(f"{what}: measure these three again", "distances", "readings", label)
