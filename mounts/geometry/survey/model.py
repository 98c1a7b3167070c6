"""Model of a survey: which figures a pattern gives a caliper, and their derivatives, for many patterns at once.

The unknowns are the holes' centres, their diameters, and by how much the opening is wider than it was read.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.distance import depths
from mounts.geometry.frames import Array
from mounts.geometry.outline import Arc, Outline, Point
from mounts.geometry.survey.readings import Readings

Places = NDArray[np.intp]
STEP = 1e-4  # mm, of the differences that give the slope where the outline is not round


class SurveyModel:
    """Predicted figures of a pattern and their derivatives, for many patterns at once.

    A state is a row of the holes' x, y in turn, then hole sizes, then the opening's growth of diameter: (k, u), mm.
    """

    def __init__(self, readings: Readings) -> None:
        self.holes, self.count = len(readings.names), len(readings.values)
        self.unknowns = 2 * self.holes + len(readings.sizes) + 1
        self.opening, self.is_level = readings.opening, readings.is_level
        self.size_at: Places = 2 * self.holes + np.array(readings.size_of, dtype=np.intp)
        self.over = readings.over
        self.one: Places = np.array([between.first for between in readings.between], dtype=np.intp)
        self.two: Places = np.array([between.second for between in readings.between], dtype=np.intp)
        self.edge, self.vertical, self.horizontal = (
            _opening_rows(readings, to) for to in ("edge", "vertical", "horizontal")
        )
        self.level = (readings.level.first, readings.level.second) if readings.level else None

    def state(self, points: Array, readings: Readings) -> Array:
        """Return states (k, u) of patterns (k, n, 2), with sizes as they were read."""
        flat = points.reshape(len(points), -1)
        rest = np.tile([*readings.sizes, readings.growth], (len(points), 1))
        return np.concatenate([flat, rest], axis=1)

    def values(self, state: Array) -> Array:
        """Return the predicted figures, (k, m), in the order of `readings.values`."""
        points = state[:, : 2 * self.holes].reshape(len(state), -1, 2)
        half = state[:, self.size_at] / 2
        out = np.zeros((len(state), self.count))
        one, two = self.one, self.two
        out[:, : len(one)] = np.linalg.norm(points[:, one] - points[:, two], axis=2)
        out[:, : len(one)] += self.over * (half[:, one] + half[:, two])
        rows, holes = self.edge
        if len(rows):
            out[:, rows] = edge_distances(self.opening, points[:, holes]) - half[:, holes] - state[:, -1:] / 2
        for axis, (rows, holes) in enumerate((self.vertical, self.horizontal)):
            out[:, rows] = np.abs(points[:, holes, axis]) + self.over * half[:, holes]
        if self.level:
            way = points[:, self.level[1]] - points[:, self.level[0]]
            out[:, self.is_level] = np.degrees(np.arctan2(way[:, 1], way[:, 0]))[:, None]
        after = self.count - (self.unknowns - 2 * self.holes)
        out[:, after:] = state[:, 2 * self.holes :]
        return out

    def jacobian(self, state: Array) -> Array:
        """Return the derivative of each figure by each unknown, (k, m, u)."""
        points = state[:, : 2 * self.holes].reshape(len(state), -1, 2)
        out = np.zeros((len(state), self.count, self.unknowns))
        rows = np.arange(len(self.one))
        way = points[:, self.one] - points[:, self.two]
        way = way / np.maximum(np.linalg.norm(way, axis=2, keepdims=True), 1e-9)
        for hole, sign in ((self.one, 1.0), (self.two, -1.0)):
            out[:, rows, 2 * hole] += sign * way[:, :, 0]
            out[:, rows, 2 * hole + 1] += sign * way[:, :, 1]
            out[:, rows, self.size_at[hole]] += self.over / 2
        rows, holes = self.edge
        if len(rows):
            to = edge_gradients(self.opening, points[:, holes])
            out[:, rows, 2 * holes], out[:, rows, 2 * holes + 1] = to[:, :, 0], to[:, :, 1]
            out[:, rows, self.size_at[holes]] = -0.5
            out[:, rows, -1] = -0.5
        for axis, (rows, holes) in enumerate((self.vertical, self.horizontal)):
            out[:, rows, 2 * holes + axis] = np.where(points[:, holes, axis] < 0, -1.0, 1.0)
            out[:, rows, self.size_at[holes]] = self.over / 2
        if self.level:
            self._level_slopes(points, out)
        rest = np.arange(self.unknowns - 2 * self.holes)
        out[:, self.count - len(rest) + rest, 2 * self.holes + rest] = 1.0
        return out

    def _level_slopes(self, points: Array, out: Array) -> None:
        """Add the derivatives of the level's angle to `out`."""
        assert self.level is not None
        one, two = self.level
        way, row = points[:, two] - points[:, one], int(np.flatnonzero(self.is_level)[0])
        across = np.degrees(np.stack([-way[:, 1], way[:, 0]], axis=1) / np.maximum((way**2).sum(axis=1), 1e-9)[:, None])
        for hole, sign in ((two, 1.0), (one, -1.0)):
            out[:, row, 2 * hole : 2 * hole + 2] += sign * across

    def residuals(self, state: Array, read: Array) -> Array:
        """Return what was read less what the patterns give, (k, m); angles the short way round."""
        miss = read - self.values(state)
        miss[:, self.is_level] = (miss[:, self.is_level] + 180.0) % 360.0 - 180.0
        return miss


def _opening_rows(readings: Readings, to: str) -> tuple[Places, Places]:
    """Return the rows of `values` that are read to one part of the opening, and the holes they are read from."""
    found = [(k, t.hole) for k, t in enumerate(readings.to_opening, len(readings.between)) if t.to == to]
    pairs = np.array(found, dtype=np.intp).reshape(-1, 2)
    return pairs[:, 0], pairs[:, 1]


def hole_centres(state: Array, holes: int) -> tuple[Point, ...]:
    """Return the holes' centres in one state (u,)."""
    return tuple((float(x), float(y)) for x, y in state[: 2 * holes].reshape(-1, 2))


def edge_distances(opening: Outline, points: Array) -> Array:
    """Return the signed distance of points (…, 2) to the opening's edge, mm, positive outside."""
    if opening.is_circle and isinstance(ring := opening.spans[0], Arc):
        away: Array = np.linalg.norm(points - np.asarray(ring.centre), axis=-1) - ring.diameter / 2
        return away
    return -depths(opening, points.reshape(-1, 2)).reshape(points.shape[:-1])


def edge_gradients(opening: Outline, points: Array) -> Array:
    """Return the gradient of that distance at points (…, 2), unit vectors (…, 2)."""
    if opening.is_circle and isinstance(ring := opening.spans[0], Arc):
        out = points - np.asarray(ring.centre)
        found: Array = out / np.maximum(np.linalg.norm(out, axis=-1, keepdims=True), 1e-9)
        return found
    ways = [np.array([STEP, 0.0]), np.array([0.0, STEP])]
    return np.stack(
        [(edge_distances(opening, points + w) - edge_distances(opening, points - w)) / (2 * STEP) for w in ways], -1
    )
