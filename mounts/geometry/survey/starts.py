"""Starting patterns of a survey: trilateration from the readings, with every fold that they leave open."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from mounts.geometry.frames import Array
from mounts.geometry.outline import Arc
from mounts.geometry.survey.readings import Readings

FOLLOWED = 48  # patterns that are followed at a time
TURNS = 12  # ways of turning a pattern whose turn no level gives
SCATTERED = 24  # starts on a circle where the distances reach no further
BESIDE = 20.0  # mm from the opening's edge to a hole, for such a start
FOLDED = 6.0  # mm by which a fold must miss another reading to be given up
SEED = 20261120


def starting_patterns(readings: Readings) -> Array:
    """Return patterns (k, n, 2) in the panel frame from which a least-squares fit can begin, mm."""
    count = len(readings.names)
    found = [_fill_missing(pattern, readings) for pattern in trilaterate(_centre_distances(readings), readings.order)]
    if not found:
        found = list(_circle_patterns(readings))
    placed: list[Array] = []
    for pattern in found:
        for mirrored in (pattern, pattern * (-1.0, 1.0)):
            placed += [
                _turn_pattern(mirrored[:count] - origin, turn)
                for origin in _origins(mirrored, readings)
                for turn in _turns(mirrored, readings)
            ]
    return np.array(placed)


def _centre_distances(readings: Readings) -> Array:
    """Return distances between centres, (n + 1, n + 1), nan where not read; the last is a round opening's centre."""
    count = len(readings.names)
    known = np.full((count + 1, count + 1), np.nan)
    for between in readings.between:
        one, two = between.first, between.second
        known[one, two] = known[two, one] = max(readings.centre_distance(between), 0.1)
    ring = readings.opening.spans[0]
    if readings.opening.is_circle and isinstance(ring, Arc):
        for to in readings.to_opening:
            if to.to == "edge":
                away = to.read + readings.sizes[readings.size_of[to.hole]] / 2 + ring.diameter / 2
                known[to.hole, count] = known[count, to.hole] = away
    return known


def trilaterate(known: Array, order: tuple[int, ...]) -> list[Array]:
    """Return patterns (k, 2) from distances (k, k), nan where not read; places that nothing reaches are nan.

    Args:
        known: symmetric distances, mm.
        order: places that run clockwise, as far as known; among folds those that keep to it come first.
    """
    seed = _seed_triangle(known)
    if seed is None:
        return []
    one, two, three = seed
    first = np.full((len(known), 2), np.nan)
    first[one], first[two] = (0.0, 0.0), (known[one, two], 0.0)
    patterns = [_put(first, three, _crossings(first, known, three)[0])]
    while (place := _next_place(patterns[0], known)) is not None:
        grown = [_put(p, place, at) for p in patterns for at in _crossings(p, known, place)]
        grown.sort(key=lambda p: (round(_worst_residual(p, known) / FOLDED), _count_reversed(p, order)))
        patterns = grown[:FOLLOWED]
    return patterns


def _seed_triangle(known: Array) -> tuple[int, int, int] | None:
    """Return the three places whose distances are all known and that span the largest triangle."""
    best, found = 0.0, None
    for one, two, three in combinations(range(len(known)), 3):
        a, b, c = known[one, two], known[two, three], known[three, one]
        half = (a + b + c) / 2
        area = half * (half - a) * (half - b) * (half - c)  # Heron; nan compares false
        if area > best:
            best, found = area, (one, two, three)
    return found


def _next_place(pattern: Array, known: Array) -> int | None:
    """Return the place not yet in the pattern that is read from the most places in it, at least two."""
    here = ~np.isnan(pattern[:, 0])
    reach = (~np.isnan(known) & here).sum(axis=1) * ~here
    place = int(np.argmax(reach))
    return place if reach[place] >= 2 else None


def _crossings(pattern: Array, known: Array, place: int) -> list[Array]:
    """Return where a place may lie: both intersections of two circles, or the one that the other readings allow."""
    near = np.flatnonzero(~np.isnan(known[place]) & ~np.isnan(pattern[:, 0]))
    one, two = max(combinations(near.tolist(), 2), key=lambda pair: _squareness(pattern, known, place, pair))
    a, b, way = known[place, one], known[place, two], pattern[two] - pattern[one]
    apart = max(float(np.hypot(*way)), 1e-6)
    along = (a**2 - b**2 + apart**2) / (2 * apart)
    off = np.sqrt(max(a**2 - along**2, 0.01))
    x = way / apart
    middle, across = pattern[one] + along * x, off * np.array([-x[1], x[0]])
    both = [middle + across, middle - across]
    miss = [float(np.abs(np.linalg.norm(pattern[near] - at, axis=1) - known[place, near]).max()) for at in both]
    least = min(miss)
    return [at for at, far in zip(both, miss, strict=True) if far < least + FOLDED]


def _squareness(pattern: Array, known: Array, place: int, pair: tuple[int, int]) -> float:
    """Return the squared sine of the angle between the lines from two places; the larger, the better they fix it."""
    a, b = known[place, pair[0]], known[place, pair[1]]
    apart = float(np.hypot(*(pattern[pair[0]] - pattern[pair[1]])))
    cosine = (a**2 + b**2 - apart**2) / (2 * a * b)
    return float(1.0 - min(1.0, cosine**2))


def _put(pattern: Array, place: int, at: Array) -> Array:
    """Return the pattern with a place put at a point."""
    found = pattern.copy()
    found[place] = at
    return found


def _worst_residual(pattern: Array, known: Array) -> float:
    """Return the greatest residual of the known distances in a pattern, mm, as far as it is placed."""
    away = np.linalg.norm(pattern[:, None] - pattern[None], axis=2) - known
    return float(np.nanmax(np.abs(away), initial=0.0, where=~np.isnan(away)))


def _count_reversed(pattern: Array, order: tuple[int, ...]) -> int:
    """Return how many triangles of neighbours turn the other way than most; the mirror image counts alike."""
    placed = [pattern[k] for k in order if not np.isnan(pattern[k, 0])]
    corners = zip(placed, placed[1:] + placed[:1], placed[2:] + placed[:2], strict=True)
    turns = [np.sign((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) for a, b, c in corners]
    right = sum(1 for turn in turns if turn < 0)
    return min(right, len(turns) - right)


def _fill_missing(pattern: Array, readings: Readings) -> Array:
    """Return the pattern with places that nothing reaches put on a circle, in the given order."""
    count = len(readings.names)
    missing = np.isnan(pattern[:count, 0])
    if missing.any():
        centre, across = np.nanmean(pattern[:count], axis=0), np.nanmax(np.nanstd(pattern[:count], axis=0)) * 1.5
        for place, hole in enumerate(readings.order):
            if missing[hole]:
                turn = 2 * np.pi * place / count
                pattern[hole] = centre + across * np.array([np.sin(turn), np.cos(turn)])
    return pattern


def _circle_patterns(readings: Readings) -> list[Array]:
    """Return patterns in the given order on circles round the opening, perturbed, where nothing can be trilaterated."""
    count = len(readings.names)
    chance = np.random.default_rng(SEED)
    x0, y0, x1, y1 = readings.opening.box
    radius = max(x1 - x0, y1 - y0) / 2 + BESIDE
    even = 2 * np.pi * np.arange(count) / count
    found = []
    for _ in range(SCATTERED):
        pattern = np.full((count + 1, 2), np.nan)
        turn = even + chance.normal(0.0, 0.25, count)
        pattern[list(readings.order)] = radius * np.stack([np.sin(turn), np.cos(turn)], axis=1)
        pattern[count] = 0.0
        found.append(pattern)
    return found


def _origins(pattern: Array, readings: Readings) -> list[Array]:
    """Return the points of a pattern at which the opening's centre may lie."""
    if not np.isnan(pattern[-1, 0]):
        return [pattern[-1]]
    holes = pattern[:-1]
    middle, reach = holes.mean(axis=0), np.ptp(holes, axis=0) / 3
    if not readings.to_opening:
        return [middle]
    return [middle, *(middle + reach * way for way in ((1, 0), (-1, 0), (0, 1), (0, -1)))]


def _turns(pattern: Array, readings: Readings) -> list[float]:
    """Return the angles, counter-clockwise in degrees, by which a pattern may have to be turned."""
    if readings.level is None:
        return [360.0 * k / TURNS for k in range(TURNS)] if readings.to_opening else [0.0]
    way = pattern[readings.level.second] - pattern[readings.level.first]
    return [readings.level.rise - float(np.degrees(np.arctan2(way[1], way[0])))]


def _turn_pattern(pattern: Array, turn: float) -> Array:
    """Return a pattern turned counter-clockwise by `turn` degrees."""
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    found: Array = pattern @ np.array([[c, s], [-s, c]])
    return found
