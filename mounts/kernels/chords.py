"""Points along outlines at equal fractions of their spans, for the mesh kernel.

Twice the segments give every point of the coarser sampling again, so that a volume's error falls with their square and
two nets show where it goes. Small circles take fewer chords, none of which lies further off than a large one's.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.outline import Arc, Outline, Span

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SAME = 1e-7  # mm: nearer points of one outline are one
LARGE, MEDIUM = 48.0, 12.0  # mm: circles below take a half and a quarter of the chords,
FEWEST = 12  # but not fewer than these


def contour(outline: Outline, segments: int) -> Floats:
    """Return points of an outline, none twice, (n, 2) float, mm.

    Raises:
        ValueError: if it encloses nothing.
    """
    return numbered_contour(outline, segments)[0]


def numbered_contour(outline: Outline, segments: int) -> tuple[Floats, Ints]:
    """Return points of an outline, none twice, (n, 2) float, and the number of the span that follows each, (n,) int.

    Raises:
        ValueError: if it encloses nothing.
    """
    fractions = [np.arange(n) / n for span in outline.spans for n in (span_chords(span, segments),)]
    points = sample_spans(outline, fractions)
    number = np.concatenate([np.full(len(parts), k) for k, parts in enumerate(fractions)])
    single = distinct_points(points)
    if single.sum() < 3 or outline.area <= 0:
        raise ValueError(f"an outline encloses {outline.area:.4g} mm²")
    return points[single], number[single]


def sample_spans(outline: Outline, fractions: Sequence[Floats]) -> Floats:
    """Return points of each span at its fractions, (n, 2) float."""
    return np.concatenate([_sample_span(span, f) for span, f in zip(outline.spans, fractions, strict=True)])


def _sample_span(span: Span, fractions: Floats) -> Floats:
    """Return points of a span at fractions, (n, 2) float."""
    if isinstance(span, Arc):
        turn = np.radians(span.begin + span.sweep * fractions)
        return np.asarray(span.centre) + span.diameter / 2 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return np.outer(1 - fractions, span.start) + np.outer(fractions, span.end)


def distinct_points(path: Floats) -> NDArray[np.bool_]:
    """Return the mask of points of a closed path, (n, 2) float, that differ from the one before; at least the first."""
    single: NDArray[np.bool_] = np.abs(path - np.roll(path, 1, axis=0)).max(axis=1) > SAME
    if not single.any():
        single[0] = True
    return single


def span_chords(span: Span, segments: int) -> int:
    """Return the number of chords of a span: an arc's share of its circle's, which doubles when `segments` doubles."""
    if not isinstance(span, Arc) or span.diameter <= SAME:
        return 1
    coarse, times = circle_chords(span.diameter, segments), 1
    while coarse > 64 and coarse % 2 == 0:
        coarse, times = coarse // 2, times * 2
    return ceil(coarse * abs(span.sweep) / 360 - 1e-9) * times


def circle_chords(diameter: float, segments: int) -> int:
    """Return the number of chords of a full circle: a small one takes fewer, with no greater sagitta."""
    share = 1 if diameter >= LARGE else 2 if diameter >= MEDIUM else 4
    return min(segments, max(FEWEST, segments // share))
