"""Registration of holes on a pattern by turning and shifting, even where one of them is out of place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan2, cos, degrees, radians, sin

import numpy as np

from mounts.geometry.frames import Array

LIKE = 1.0  # mm by which two distances may differ and still be taken for the same
INLIER = 0.2  # mm: holes this near to their places decide the last bit of turn and shift
MOST = 4000  # ways of laying one pattern on the other that are looked at
BEST = 24  # of them that are returned


@dataclass(frozen=True, slots=True, eq=False)
class HoleRegistration:
    """One registration of holes on a pattern.

    Attributes:
        turn: by which the holes are turned, counter-clockwise, degrees, above −180 up to 180.
        shift: (2,) float, added after the turn, mm.
        off: (n,) float, distance of each place of the pattern from the nearest hole, mm.
    """

    turn: float
    shift: Array
    off: Array

    @property
    def matrix(self) -> Array:
        """Rigid transform about z, (4, 4) float."""
        found: Array = np.eye(4)
        found[:2, :2], found[:2, 3] = _spin(self.turn), self.shift
        return found


def register_holes(holes: Array, pattern: Array, most: float) -> tuple[HoleRegistration, ...]:
    """Return registrations of holes on a pattern, the best first: least sum of distances, then least turn.

    Args:
        holes: (k, 2) float, mm; more than the pattern has do no harm.
        pattern: (n, 2) float, at least two places.
        most: distance that every place may be from a hole, mm.
    """
    ways: list[HoleRegistration] = []
    for turn, shift in _tries(holes, pattern):
        off = residuals(holes @ _spin(turn).T + shift, pattern)
        if off.max() <= most:
            ways.append(_settled(holes, pattern, turn, shift))
    ways.sort(key=lambda way: (round(float(way.off.sum()), 3), abs(way.turn)))
    apart: list[HoleRegistration] = []
    for way in ways:
        if len(apart) < BEST and all(abs((way.turn - other.turn + 180) % 360 - 180) > 0.5 for other in apart):
            apart.append(way)
    return tuple(apart)


def residuals(holes: Array, pattern: Array) -> Array:
    """Return the distance of each place of a pattern (n, 2) from the nearest hole (k, 2), (n,) mm; inf without any."""
    away = np.linalg.norm(pattern[:, None] - holes[None], axis=2)
    least: Array = away.min(axis=1, initial=np.inf)
    return least


def _tries(holes: Array, pattern: Array) -> Iterator[tuple[float, Array]]:
    """Turn and shift that lay two of the holes on two places of the pattern that are as far apart."""
    for_holes, for_pattern = _pairs(len(holes)), _pairs(len(pattern))
    between_holes = holes[for_holes[:, 1]] - holes[for_holes[:, 0]]
    between_places = pattern[for_pattern[:, 1]] - pattern[for_pattern[:, 0]]
    lengths = (np.linalg.norm(between_holes, axis=1), np.linalg.norm(between_places, axis=1))
    apart = np.abs(lengths[0][:, None] - lengths[1])
    i, j = np.nonzero(apart < LIKE)
    order = np.lexsort([apart[i, j], -lengths[1][j].round(3)])[:MOST]  # pairs far apart fix the turn best
    for hole, place in zip(i[order], j[order], strict=True):
        (ux, uy), (vx, vy) = between_holes[hole], between_places[place]
        turn = degrees(atan2(vy, vx) - atan2(uy, ux))
        yield turn, pattern[for_pattern[place, 0]] - _spin(turn) @ holes[for_holes[hole, 0]]


def _settled(holes: Array, pattern: Array, turn: float, shift: Array) -> HoleRegistration:
    """Return the registration refined by least squares over the holes that are in place."""
    moved = holes @ _spin(turn).T + shift
    nearest = np.linalg.norm(pattern[:, None] - moved[None], axis=2).argmin(axis=1)
    good = residuals(moved, pattern) < INLIER
    if good.sum() >= 2:
        here, there = holes[nearest[good]], pattern[good]
        a, b = here - here.mean(axis=0), there - there.mean(axis=0)
        turn = degrees(atan2(float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()), float((a * b).sum())))
        shift = there.mean(axis=0) - _spin(turn) @ here.mean(axis=0)
    return HoleRegistration(180 - (180 - turn) % 360, shift, residuals(holes @ _spin(turn).T + shift, pattern))


def _pairs(count: int) -> Array:
    one, other = np.nonzero(~np.eye(count, dtype=bool))
    return np.stack([one, other], axis=1)


def _spin(turn: float) -> Array:
    c, s = cos(radians(turn)), sin(radians(turn))
    return np.array([[c, -s], [s, c]])
