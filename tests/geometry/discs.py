"""Outlines round discs."""

from __future__ import annotations

from collections.abc import Iterable

from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline, Point, circle


def hull_of_discs(discs: Iterable[tuple[Point, float]]) -> Outline:
    """Convex hull of discs, each given by centre and diameter."""
    return hull(circle(diameter, at) for at, diameter in discs)
