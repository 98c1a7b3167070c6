"""Lettering of the cup, on the plate's front where it finds room; once staked it is out of sight."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from mounts.design.lettering import SIZES, Label, Lettering, first_free, on_plane
from mounts.geometry.outline import Outline, offset_outline
from mounts.kinds.cup.values import CupSeat, Stake
from mounts.load.models.job_kinds import CupJob

DEPTH = 0.4  # mm: two layers
ALONG = 9  # places along a text's box where it is asked what lies beside it
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
    cuts = [(other, BESIDE) for other in taken]
    for cap in SIZES:
        middle = first_free(grid, (how.width(text, cap), how.height(text, cap)), (inner, 0.0), cuts, ALONG)
        if middle is not None:
            return on_plane(how, text, cap, middle, 0.0)
    return None
