"""Patterns with known truth, and what a faultless caliper would read at them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import combinations
from math import atan2, degrees, dist

import numpy as np

from mounts.geometry.outline import Outline, Point, circle
from mounts.geometry.survey.model import SurveyModel
from mounts.geometry.survey.readings import HoleDistance, LevelReading, OpeningDistance, Over, Readings
from mounts.geometry.survey.solve import fit_states

FOUR: Mapping[str, Point] = {"A": (58.0, 53.5), "B": (58.5, -54.0), "C": (-57.5, -53.0), "D": (-58.0, 54.0)}
THREE: Mapping[str, Point] = {"A": (55.5, 59.0), "B": (43.5, -70.0), "C": (-90.5, 11.0)}
SIX: Mapping[str, Point] = {
    "A": (28.4, 65.1),
    "B": (75.3, 19.5),
    "C": (54.4, -55.7),
    "D": (-13.9, -68.9),
    "E": (-78.3, -17.4),
    "F": (-49.4, 52.2),
}
ROUND = circle(120.0)


def pairs(names: Iterable[str]) -> list[str]:
    """Every two of the names, as AB."""
    return ["".join(pair) for pair in combinations(names, 2)]


def read(
    at: Mapping[str, Point],
    between: Iterable[str] | None = None,
    to_opening: Iterable[str] | None = None,
    *,
    opening: Outline = ROUND,
    over: Over = -1,
    size: float = 7.0,
    sizes: Mapping[str, float] | None = None,
    level: str | None = None,
    order: str | None = None,
) -> Readings:
    """What is read without error; all pairs, all holes to the opening, and a level from the last to the first.

    Args:
        between: pairs, as AB.
        level: two holes, as DA; "" for none.
        order: names clockwise, as ABCD.
    """
    names = tuple(at)
    index = {name: k for k, name in enumerate(names)}
    own = dict(sizes or {})
    of = {name: own.get(name, size) for name in names}
    level = names[-1] + names[0] if level is None else level
    rise = degrees(atan2(at[level[1]][1] - at[level[0]][1], at[level[1]][0] - at[level[0]][0])) if level else 0.0
    return Readings(
        names=names,
        order=tuple(index[name] for name in order or names),
        sizes=(size, *own.values()),
        size_of=tuple(1 + list(own).index(name) if name in own else 0 for name in names),
        over=over,
        between=tuple(
            HoleDistance(index[a], index[b], dist(at[a], at[b]) + over * (of[a] + of[b]) / 2)
            for a, b in (pairs(names) if between is None else between)
        ),
        to_opening=tuple(
            OpeningDistance(index[n], "edge", -opening.depth(at[n]) - of[n] / 2)
            for n in (names if to_opening is None else to_opening)
        ),
        level=LevelReading(index[level[0]], index[level[1]], rise) if level else None,
        opening=opening,
    )


def with_values(readings: Readings, values: np.ndarray) -> Readings:
    """The same readings with other figures, in the order of `values`."""
    told = [float(value) for value in values]
    count, end = len(readings.between), len(readings.between) + len(readings.to_opening)
    after = end + (readings.level is not None)
    return replace(
        readings,
        between=tuple(replace(b, read=v) for b, v in zip(readings.between, told, strict=False)),
        to_opening=tuple(replace(t, read=v) for t, v in zip(readings.to_opening, told[count:], strict=False)),
        level=replace(readings.level, rise=told[end]) if readings.level else None,
        sizes=tuple(told[after : after + len(readings.sizes)]),
        growth=told[-1],
    )


def solved_many(
    readings: Readings, values: np.ndarray, near: tuple[Point, ...], sd: float, level_sd: float = 0.5
) -> np.ndarray:
    """Patterns (k, n, 2) from many sets of figures (k, m) read at one door; for simulations.

    Args:
        readings: which figures were read.
        values: as `readings.values`, each with its noise.
        near: the pattern without noise, from which each fit starts.
        sd, level_sd: as for `solve_survey`.
    """
    model = SurveyModel(readings)
    weight = np.where(model.is_level, 1 / level_sd, 1 / max(sd, 1e-6))
    first = model.state(np.tile(np.array(near), (len(values), 1, 1)), readings)
    state, _ = fit_states(model, first, values, weight)
    found: np.ndarray = state[:, : 2 * model.holes].reshape(len(values), -1, 2)
    return found


def changed(readings: Readings, label: str, by: float) -> Readings:
    """The readings with one of them off by `by`."""
    values = readings.values
    values[readings.labels.index(label)] += by
    return with_values(readings, values)


def noisy(readings: Readings, rng: np.random.Generator, count: int, sd: float, level: float) -> np.ndarray:
    """Figures (count, m) as a caliper and a level with these standard deviations read them."""
    values = readings.values
    return values + rng.normal(size=(count, len(values))) * np.where(readings.is_level, level, sd)
