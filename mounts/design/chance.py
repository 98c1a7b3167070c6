"""The chance that a part goes on: all its holes over all their pins at once, the part free to shift and turn.

Fixed fasteners of ASME Y14.5 appendix B and ISO 5458, told as a probability instead of a worst case: every position
is off by a normal error in x and in y, and the part goes on when one rigid motion brings every pin into its hole.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from mounts.geometry.frames import Array
from mounts.geometry.outline import Point

SAMPLES = 2000  # of the errors; the chance is told to about one in a hundred
SWEEPS = 120  # of the search for a motion
OVER = 1.6  # relaxation of each step, below 2 as projections onto convex sets want it
NEAR = 1e-3  # mm by which a fit may miss and count as one
SEED = 20261120

Slot = tuple[float, float, float]  # direction (x, y) and free way along it, each side


@lru_cache(maxsize=256)
def chance(
    points: tuple[Point, ...],
    gaps: tuple[float, ...],
    sd: float,
    slots: tuple[Slot | None, ...] = (),
    off: tuple[Point, ...] = (),
) -> float:
    """Share of all cases in which the part goes on, 0 to 1.

    Args:
        points: where the pins are, mm.
        gaps: of each pin in its hole, a side, mm.
        sd: one standard deviation of a position's error in x and in y, of measuring and printing together, mm.
        slots: for each hole its slot, None for a round one.
        off: how far each pin is known to stand from its hole's middle, mm; none when empty.
    """
    own = _own_frame(points)
    at = (np.asarray(points, dtype=float) - points[0]) @ own
    at = at - at.mean(axis=0)
    turned = tuple(None if way is None else _turned(way, own) for way in slots)
    errors = np.random.default_rng(SEED).normal(0.0, 1.0, (SAMPLES, len(at), 2)) * sd
    errors = errors + np.asarray(off, dtype=float) @ own if off else errors
    holes = _Holes(at, max(float(np.hypot(*at.T).mean()), 1e-9), gaps, turned or (None,) * len(at))
    motion, left = np.zeros((SAMPLES, 3)), np.arange(SAMPLES)
    for _ in range(SWEEPS):
        left = left[holes.miss(errors[left], motion[left]) > NEAR]
        if not len(left):
            break
        motion[left] = holes.swept(errors[left], motion[left])
    return 1.0 - len(left) / SAMPLES


def _own_frame(points: Sequence[Point]) -> Array:
    """Axes (columns) along the first two points, the next one that strays on their left: alike for mirror images."""
    first, second = np.asarray(points[0], dtype=float), np.asarray(points[1], dtype=float)
    x = (second - first) / np.hypot(*(second - first))
    y = np.array([-x[1], x[0]])
    off = [float((np.asarray(p) - first) @ y) for p in points[2:]]
    side = next((o for o in off if abs(o) > NEAR), 1.0)
    return np.column_stack([x, y if side > 0 else -y])


def _turned(way: Slot, own: Array) -> Slot:
    x, y = np.asarray(way[:2]) @ own
    return (float(x), float(y), way[2])


@dataclass(frozen=True, slots=True, eq=False)
class _Holes:
    """Holes about their middle; a turn of the part is told in mm at the distance `scale` from it."""

    at: Array
    scale: float
    gaps: Sequence[float]
    slots: Sequence[Slot | None]

    def miss(self, errors: Array, motion: Array) -> Array:
        """By how much the worst pin misses its hole, (n,) mm."""
        missed = [self._off(errors[:, k], motion, k)[0] - gap for k, gap in enumerate(self.gaps)]
        worst: Array = np.max(missed, axis=0)
        return worst

    def swept(self, errors: Array, motion: Array) -> Array:
        """The motion, moved for each pin in turn towards where that pin goes in."""
        for k, gap in enumerate(self.gaps):
            far, to = self._off(errors[:, k], motion, k)
            x, y = self.at[k]
            slope = np.column_stack([to, (to[:, 1] * x - to[:, 0] * y) / self.scale])
            step = np.maximum(far - gap, 0.0) / (slope**2).sum(axis=1)
            motion = motion - OVER * step[:, None] * slope
        return motion

    def _off(self, errors: Array, motion: Array, k: int) -> tuple[Array, Array]:
        """How far pin k lies from the middle of its hole, or the middle line of its slot, (n,); which way, (n, 2)."""
        turn, way = motion[:, 2] / self.scale, self.slots[k]
        x, y = self.at[k]
        away = errors + motion[:, :2] + np.column_stack([-y * turn, x * turn])
        if way is not None:
            along = np.clip(away @ np.asarray(way[:2]), -way[2], way[2])
            away = away - along[:, None] * np.asarray(way[:2])
        far = np.hypot(*away.T)
        return far, away / np.maximum(far, 1e-12)[:, None]
