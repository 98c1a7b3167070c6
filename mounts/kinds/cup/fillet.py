"""Fillet behind the plate, where the hub's side meets the flare that carries the plate.

Both lean, each by the angle that its direction needs. The fillet is the arc tangent to both where they meet most
sharply. All round, its sections are mixed from the same three outlines in the same shares, so that it is tangent
everywhere and gentler where they meet less sharply. Where hub and flare turn away from each other there is none.

        plate ▄▄▄▄▄▄▄▄▄▄
        flare ▀▀▀█████        high
                  ▀███▌       arc
                    ██▌       low
          hub       ██▌
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import acos, ceil, cos, sin, sqrt, tan

import numpy as np

from mounts.geometry.distance import support_values
from mounts.geometry.hull import hull, match_spans
from mounts.geometry.outline import Outline, convex_outline
from mounts.kinds.cup.values import CupLevel, Fillet

SAG = 0.015  # mm at most from a chord to the arc
KEPT = 0.1  # mm of hub and of flare that stay as they are
TURNS = np.arange(0.0, 360.0, 0.5)  # degrees, the directions in which hub and flare are compared


def add_fillet(levels: Sequence[CupLevel], wanted: float, least: float) -> tuple[tuple[CupLevel, ...], Fillet]:
    """Return the outside with a fillet in place of the level where hub and flare meet, and the fillet.

    Args:
        levels: from the back: chamfer, hub's end, waist, plate and what lies before it, matched span to span.
        wanted: radius, mm; it becomes less where hub and flare are not long enough for it.
        least: height in mm that a fillet must have to be worth it, such as a layer.
    """
    _, low, waist, high, *_ = levels
    lean, flare = _sharpest(low, waist, high)
    half = (flare - lean) / 2
    reach = min((waist.z - low.z - KEPT) / cos(lean), (high.z - waist.z - KEPT) / cos(flare))
    if half <= 0 or reach <= 0 or wanted <= 0:
        return tuple(levels), Fillet(0.0, waist.z, waist.z)
    radius = min(wanted, reach / tan(half))
    length = radius * tan(half)
    fillet = Fillet(radius, waist.z - length * cos(lean), waist.z + length * cos(flare))
    if fillet.high - fillet.low < least:
        return tuple(levels), Fillet(0.0, waist.z, waist.z)
    rounded = [*levels[:2], *_sections(low, waist, high, radius, (lean, flare)), *levels[3:]]
    outlines = match_spans(*(level.outline for level in rounded))
    return tuple(replace(level, outline=o) for level, o in zip(rounded, outlines, strict=True)), fillet


def _sharpest(low: CupLevel, waist: CupLevel, high: CupLevel) -> tuple[float, float]:
    """Return the angles of hub and flare from upright, radians, in the direction where they differ most."""
    lean, flare = (
        np.arctan((support_values(above.outline, TURNS) - support_values(below.outline, TURNS)) / (above.z - below.z))
        for below, above in ((low, waist), (waist, high))
    )
    most = int(np.round(flare - lean, 9).argmax())
    return float(lean[most]), float(flare[most])


def _sections(
    low: CupLevel, waist: CupLevel, high: CupLevel, radius: float, leans: tuple[float, float]
) -> Iterator[CupLevel]:
    """Yield the outlines at the ends of the arc's chords, none of them inside hub or flare."""
    lean, flare = leans
    steps = ceil((flare - lean) / (2 * acos(1 - SAG / radius))) if radius > SAG else 1
    hub, plate = waist.z - low.z, high.z - waist.z
    _, middle = _centre(radius, leans)
    for k in range(steps + 1):
        turn = lean + (flare - lean) * k / steps
        z = middle + radius * sin(turn)
        bare = (-z / hub, 1 + z / hub, 0.0) if z < 0 else (0.0, 1 - z / plate, z / plate)
        outlines = (low.outline, waist.outline, high.outline)
        outside = _mixed(outlines, bare)
        if 0 < k < steps:
            more = _more(z, radius, leans)
            shares = (bare[0] + more / hub, bare[1] - more / hub - more / plate, bare[2] + more / plate)
            outside = hull([outside, _mixed(outlines, shares)])
        yield CupLevel(waist.z + z, outside)


def _centre(radius: float, leans: tuple[float, float]) -> tuple[float, float]:
    """Return the arc's centre relative to where hub and flare meet: how far out from the hub, and how far above."""
    lean, flare = leans
    length = radius * tan((flare - lean) / 2)
    return (radius * cos(lean) - length * sin(lean), -radius * sin(lean) - length * cos(lean))


def _more(z: float, radius: float, leans: tuple[float, float]) -> float:
    """Return how far the arc stands out at a height over the waist, per unit difference of the slopes."""
    lean, flare = leans
    out, middle = _centre(radius, leans)
    arc = out - sqrt(radius**2 - (z - middle) ** 2)
    return (arc - z * tan(lean)) / (tan(flare) - tan(lean)) - max(z, 0.0)


def _mixed(outlines: Sequence[Outline], shares: Sequence[float]) -> Outline:
    """Return the outline between matched ones, as a weighted Minkowski sum with shares that sum to 1."""
    arcs = []
    for these in zip(*(outline.arcs for outline in outlines), strict=True):
        parts = list(zip(these, shares, strict=True))
        x, y = (sum(share * arc.centre[i] for arc, share in parts) for i in (0, 1))
        across = max(0.0, sum(share * arc.diameter for arc, share in parts))
        arcs.append(replace(these[0], centre=(x, y), diameter=across))
    return convex_outline(arcs)
