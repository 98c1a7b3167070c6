"""Minima of a cost along rims, for many frames at once: a coarse search finds the valley, a fine one the least value.

A rim is cut into parts, and each part has a minimum of its own: a solver then sees both sides between which something
is squeezed, and each value changes smoothly with the frame.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array
from mounts.geometry.outline import Line, Outline, Span
from mounts.geometry.ties import first_least_rows

PARTS = 4  # of a rim
STRIDE = 16  # fine places from one that is tried first to the next
FIRST = 8  # places that are tried first in a part
FINE = STRIDE * FIRST  # of a part: 512 on a whole rim, which tell a speaker's distances to 5e-3 mm

Picks = NDArray[np.intp]  # of places, (n, parts)


class RimMinima(NamedTuple):
    """Minima of n frames.

    Attributes:
        values: (n, rows) float.
        spots: points (n, rows, 3) where they are taken, mm.
        picks: index of each among the fine places, (n, rows); all 0 where nothing was sampled.
    """

    values: Array
    spots: Array
    picks: Picks

    @classmethod
    def exact(cls, values: Array, spots: Array) -> RimMinima:
        """Return minima that rest on no samples."""
        return cls(values, spots, np.zeros(values.shape, dtype=np.intp))


def sample_rim(outline: Outline, parts: int = PARTS) -> Array:
    """Return places along an outline, (parts, FINE + 1, 2) float, mm; each part ends where the next one begins.

    >>> from mounts.geometry.outline import circle
    >>> sample_rim(circle(100.0)).shape
    (4, 129, 2)
    """
    length = outline.length
    points = np.concatenate(
        [_sample_span(span, max(2, round(parts * FINE * span.length / length))) for span in outline.spans]
    )
    chosen = np.linspace(0, len(points), parts * FINE + 1).round().astype(int) % len(points)
    found: Array = points[chosen[np.arange(parts)[:, None] * FINE + np.arange(FINE + 1)]]
    return found


def _sample_span(span: Span, count: int) -> Array:
    """Return `count` places evenly along a span, its end left out, (count, 2) float."""
    share = np.arange(count) / count
    if isinstance(span, Line):
        straight: Array = np.asarray(span.start) + share[:, None] * np.subtract(span.end, span.start)
        return straight
    turn = np.radians(span.begin + span.sweep * share)
    return np.asarray(span.centre) + span.diameter / 2 * np.stack([np.cos(turn), np.sin(turn)], axis=-1)


def minimize_along(
    fine: Array, place: Callable[[Array], Array], cost: Callable[[Array], Array], picks: Picks | None = None
) -> RimMinima:
    """Return the minima of a cost on every part of rims.

    Args:
        fine: places, (parts, FINE + 1, k) float.
        place: places (parts, m, k), or (n, parts, m, k) those of each frame, → points of n frames, (n, parts, m, 3).
        cost: of points (n, parts, m, 3) → (n, parts, m).
        picks: places at which to take the cost instead of searching: for the derivatives of minima found before, since
            the place of a minimum may stay as it is when the frame moves a little.
    """
    last, rows = fine.shape[1] - 1, np.arange(len(fine))[:, None]
    if picks is not None:
        points = place(fine[rows, picks[..., None]])
        return RimMinima(cost(points)[..., 0], points[:, :, 0], picks)
    coarse = np.arange(0, last + 1, STRIDE)
    points = place(fine[:, coarse])
    best = coarse[first_least_rows(cost(points))]
    for step in (STRIDE // 4, 1):
        reach = np.arange(-4 * step, 4 * step + 1, step)
        near = np.clip(best[..., None] + reach, 0, last)
        points = place(fine[rows, near])
        values = cost(points)
        least = first_least_rows(values)
        each = (np.arange(len(least))[:, None], rows[:, 0], least)
        best = near[each]
    return RimMinima(values[each], points[each], best)
