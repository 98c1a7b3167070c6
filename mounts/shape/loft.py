"""Ruled bodies lofted through level outlines, one above the other."""

from __future__ import annotations

from collections.abc import Sequence

from mounts.geometry.frames import PANEL
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import Outline
from mounts.shape.primitives import Ruled, Section


def loft_levels(levels: Sequence[tuple[float, Outline]]) -> Ruled:
    """Return the ruled body through (height, outline) pairs in rising order; convex outlines, spans matched."""
    outlines = match_spans(*(outline for _, outline in levels))
    return Ruled(tuple(Section(PANEL.lifted(z), outline) for (z, _), outline in zip(levels, outlines, strict=True)))
