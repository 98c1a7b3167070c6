"""The gap between two convex outlines that lie beside each other, exactly."""

from __future__ import annotations

from mounts.geometry.hull import match_spans
from mounts.geometry.outline import Arc, Outline, convex_outline


def separation(one: Outline, other: Outline) -> float:
    """Least distance between two convex outlines, mm; negative by how far one must move for them to part.

    All differences of their points make a convex outline too, whose arcs are those of the two put together: it keeps
    the origin out as far as they lie apart (Minkowski).
    """
    turned = other.turned(180.0)
    arcs = (_minkowski_arc(a, b) for a, b in zip(*(outline.arcs for outline in match_spans(one, turned)), strict=True))
    return -convex_outline(arcs).depth((0.0, 0.0))


def _minkowski_arc(one: Arc, other: Arc) -> Arc:
    """The sum of two arcs of equal normals."""
    centre = (one.centre[0] + other.centre[0], one.centre[1] + other.centre[1])
    return Arc(centre, one.diameter + other.diameter, one.begin, one.sweep)
