"""Lettering of the cup, on the plate's front where it finds room; once staked it is out of sight."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mounts.design.lettering import SIZES, Label, Lettering, Places, on_plane
from mounts.geometry.distance import depths
from mounts.geometry.frames import Array
from mounts.geometry.outline import Outline, offset_outline
from mounts.kinds.cup.values import CupSeat, Stake
from mounts.load.models.resolved import CupJob

DEPTH = 0.4  # mm: two layers
BESIDE = 2.1  # mm from a letter's place to what is cut: what lettering must leave, and a little
EDGE = 1.5  # mm from a letter's place to the plate's edge


def labels_for(
    job: CupJob, outline: Outline, seat: CupSeat, stakes: Sequence[Stake], taken: Outline
) -> tuple[Label, ...]:
    """Name and side as large as they go, else the side's letter, else nothing."""
    if job.label is None:
        return ()
    how = Lettering(job.glyphs, False, DEPTH)
    side = job.side.upper()
    for text in (f"{job.name} {side}", side, side[:1]):
        found = _on_front(how, text, outline, [taken, *(s.hole for s in stakes)])
        if found is not None:
            return (found,)
    return ()


def _on_front(how: Lettering, text: str, outline: Outline, taken: Sequence[Outline]) -> Label | None:
    inner = offset_outline(outline, -EDGE)
    x0, y0, x1, y1 = inner.box
    grid = np.stack(np.meshgrid(np.arange(x0, x1), np.arange(y1, y0, -1.0)), axis=-1).reshape(-1, 2)
    for cap in SIZES:
        half = np.array([how.width(text, cap) / 2, how.height(text, cap) / 2])
        around = np.array([(a, b) for a in np.linspace(-1, 1, 9) for b in (-1, 0, 1)]) * half
        likely = grid[_free(inner, taken, grid, float(half[1]))]
        points = (likely[:, None, :] + around).reshape(-1, 2)
        fits = _free(inner, taken, points, 0.0).reshape(-1, len(around)).all(axis=1)
        if fits.any():
            x, y = likely[int(np.argmax(fits))]
            return on_plane(how, text, cap, (float(x), float(y)), 0.0)
    return None


def _free(inner: Outline, taken: Sequence[Outline], points: Array, room: float) -> Places:
    """Return which points (n, 2) lie on the plate with `room` mm round them, clear of everything cut there."""
    free = depths(inner, points) > room
    for other in taken:
        free[free] = depths(other, points[free]) < -BESIDE - room
    return free
