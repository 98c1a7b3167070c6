"""A body told by level outlines, one over the other."""

from __future__ import annotations

from collections.abc import Sequence

from mounts.geometry.frames import PANEL
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import Outline
from mounts.shape.primitives import Ruled, Section


def loft_levels(levels: Sequence[tuple[float, Outline]]) -> Ruled:
    """The body through (height, outline) pairs in rising order, convex ones, spans matched."""
    outlines = match_spans(*(outline for _, outline in levels))
    return Ruled(tuple(Section(PANEL.lifted(z), outline) for (z, _), outline in zip(levels, outlines, strict=True)))
