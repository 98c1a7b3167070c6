"""The keys by which a pattern is found among thousands: the sides of its triangles, in one whole number each.

A key holds the three sides in steps of 2 mm, the longest first, so that keys in rising order lie together where
triangles are alike; below that it holds each side's part of a step, so that what lies near by its steps alone is
refused without looking at its panel.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from mounts.geometry.registration import Point, triangle_sides
from mounts.load.catalogue.panel_summary import PanelSummary

STEP = 2.0  # mm
PARTS = 128  # of a step
STEP_BITS, PART_BITS = (
    11,
    7,
)  # of a side's steps, of which a side of 1000 mm, the longest there is, has 500; of its parts
Between = Callable[[int, int], Sequence[tuple[int, int]]]
STEPS, MASK = (1 << STEP_BITS) - 1, PARTS - 1


def panel_keys(known: PanelSummary) -> tuple[int, ...]:
    """Return the keys by which a panel is found, one a triangle."""
    return tuple({_key(sides, pins=known.pins) for sides in triangle_sides(known.pattern)})


def candidates(between: Between, points: Sequence[Point], tolerance: float, *, pins: bool) -> list[int]:
    """Return the rows that share a triangle with a pattern: all with three points alike, and some by chance.

    Args:
        between: the panels' keys in a range, each with its row.
        points: of the pattern.
        tolerance: by which a side may differ, mm.
        pins: whether they are pins.
    """
    found: set[int] = set()
    for sides in triangle_sides(points):
        a, b, c = (_steps(side, tolerance) for side in sides)
        for long in a:
            for middle in b:
                low, high = (_first((long, middle, short), pins=pins) for short in (c[0], c[-1] + 1))
                found.update(row for key, row in between(low, high) if _is_near(key, sides, tolerance))
    return sorted(found)


def _key(sides: Sequence[float], *, pins: bool) -> int:
    a, b, c = (int(side * PARTS / STEP) for side in sides)
    fine = ((a & MASK) << PART_BITS | b & MASK) << PART_BITS | c & MASK
    return _first((a >> PART_BITS, b >> PART_BITS, c >> PART_BITS), pins=pins) | fine


def _first(steps: Sequence[int], *, pins: bool) -> int:
    """Return the least key of the triangles whose sides lie in some steps."""
    a, b, c = steps
    coarse = ((int(pins) << STEP_BITS | a) << STEP_BITS | b) << STEP_BITS | c
    return coarse << 3 * PART_BITS


def _steps(side: float, tolerance: float) -> range:
    """Return the steps in which a side may lie; a side of 0, as in two points' triangle, has step 0."""
    if side == 0:
        return range(1)
    return range(int(max(side - tolerance, 0.0) / STEP), int((side + tolerance) / STEP) + 1)


def _is_near(key: int, sides: Sequence[float], tolerance: float) -> bool:
    """Return whether the sides in a key are those of a triangle, to parts of a step."""
    coarse, slack = key >> 3 * PART_BITS, tolerance + STEP / PARTS
    for number, side in enumerate(reversed(sides)):
        steps, parts = coarse >> STEP_BITS * number & STEPS, key >> PART_BITS * number & MASK
        if abs((steps * PARTS + parts) * STEP / PARTS - side) > slack:
            return False
    return True
