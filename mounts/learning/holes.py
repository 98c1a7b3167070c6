"""The tightest hole of a mount that was fitted: what its offset says of the readings of the holes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from mounts.design.chance import Errors, PinHoles, ReadHoles, fit_assembly
from mounts.geometry.frames import Array
from mounts.geometry.outline import Point
from mounts.load.models.outcome import SeenHole

CASES = 500  # cases that are drawn: what is expected is known to about one in twenty
HALVINGS = 10  # of the bracket about each case's offset
SEED = 20261130


def expect_hole(holes: ReadHoles, seen: float) -> SeenHole:
    """Return the tightest hole beside what was expected of it.

    Args:
        holes: of the panel, as read.
        seen: offset of the screw from the hole's middle, mm.
    """
    points, errors = tuple(holes.at.values()), holes.errors
    whole, others = (tightest_offsets(points, one) ** 2 for one in (errors, without_readings(errors)))
    rest = float(others.mean())
    each = max(float(whole.mean()) - rest, 1e-9) / holes.sd**2
    worth = 2 * (float(whole.mean()) - rest) ** 2 / float(whole.var())
    return SeenHole(
        of="hole",
        instrument=holes.instrument,
        seen=seen,
        each=round(each, 6),
        others=round(rest, 6),
        worth=round(worth, 4),
    )


def without_readings(errors: Errors) -> Errors:
    """Return the errors that are left when every hole is read exactly."""
    return replace(errors, read=tuple((0.0,) * len(row) for row in errors.read))


def tightest_offsets(points: Sequence[Point], errors: Errors, seed: int = SEED) -> Array:
    """Return, of cases drawn at random, the offset of the tightest hole, the mount moved as well as it can be, (m,) mm.

    Args:
        points: where the holes are.
        errors: of the mount on its panel.
        seed: of the cases.
    """
    at, rng = np.array(points, dtype=float), np.random.default_rng(seed)
    count = len(at)
    spread = np.array(errors.read) + np.eye(2 * count) * errors.made**2
    values, vectors = np.linalg.eigh(spread)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    off = (rng.normal(size=(CASES, 2 * count)) @ root.T).reshape(CASES, count, 2)
    reach = np.sqrt(rng.random((CASES, count))) * (np.array(errors.plays or (0.0,) * count) / 2)
    turn = rng.random((CASES, count)) * 2 * np.pi
    low, high, sd = errors.shrink
    shrink = rng.uniform(low, high, CASES) + sd * rng.normal(size=CASES)
    off += reach[:, :, None] * np.stack([np.cos(turn), np.sin(turn)], axis=2)
    return least_offsets(at, off + shrink[:, None, None] / 100 * (at - at.mean(axis=0)))


def least_offsets(at: Array, off: Array) -> Array:
    """Return for each case the least gap, the same for all holes, in which all pins find room, (m,) mm.

    Args:
        at: the holes, (n, 2) mm.
        off: of each pin from its hole, (m, n, 2) mm.
    """
    count = len(at)
    along, ways = np.tile((1.0, 0.0), (count, 1)), np.zeros(count)
    low: Array = np.zeros(len(off))
    high: Array = np.linalg.norm(off, axis=2).max(axis=1)
    for _ in range(HALVINGS):
        gap = (low + high) / 2
        fits = fit_assembly(PinHoles(at, np.repeat(gap[:, None], count, axis=1), along, ways), off).most <= 0
        low, high = np.where(fits, low, gap), np.where(fits, gap, high)
    return high
