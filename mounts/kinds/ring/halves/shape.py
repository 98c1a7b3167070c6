"""Drawing of the laps: their screws, and what is taken off the whole ring so that one half of it stays.

Datum: the panel's face is z = 0, the cabin lies towards +z.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import cos, radians, sin

from mounts.geometry.frames import PANEL
from mounts.geometry.outline import Outline, Point, circle, polygon
from mounts.identity import LAP, Ident, Role
from mounts.kinds.ring.base import FOOT
from mounts.kinds.ring.halves.values import Lap, LapScrew, Split
from mounts.shape.primitives import Prism, Revolved
from mounts.shape.recipe import Feature

PAST = 1.0  # mm
FAR, NEAR = 500.0, 10.0  # mm: beyond any ring, and in its bore


def lap_features(split: Split, half: str, top: float) -> Iterator[Feature]:
    """Yield the lap screws in their bosses, and for one half the cut of the other; `top` is over all the ring."""
    for screw in split.screws:
        column = Prism(circle(screw.boss, screw.at), FOOT, screw.seat)
        yield Feature(Ident(Role.BOSS, screw.name), (column,))
        yield Feature(Ident(Role.LAP_SCREW, screw.name), (_screw(screw, split.level, top),), cut=True)
    if half:
        yield Feature(LAP, _room(split, half, top), cut=True)


def _screw(screw: LapScrew, level: float, top: float) -> Revolved:
    profile = (
        (screw.bottom, screw.thread),
        (level, screw.thread),
        (level, screw.clear),
        (screw.seat, screw.clear),
        (screw.seat, screw.head),
        (top, screw.head),
    )
    return Revolved(PANEL.shifted(*screw.at), profile)


def _room(split: Split, half: str, top: float) -> tuple[Prism, Prism]:
    """Return what the other half takes, with the gap: below the level and above it."""
    long, gap, level = split.long / 2, split.gap / 2, split.level
    if half == "a":
        below, above = _sector(split, "b", long - gap), _sector(split, "b", -long - gap)
        return Prism(below, -PAST, level), Prism(above, level - gap, top)
    below, above = _sector(split, "a", long + gap), _sector(split, "a", -long + gap)
    return Prism(below, -PAST, level + gap), Prism(above, level, top)


def face_cut(split: Split, half: str, top: float) -> Feature:
    """Return the cut that the other half takes at the face, up to a height."""
    below = _room(split, half, top)[0]
    return Feature(LAP, (replace(below, high=top),), cut=True)


def _sector(split: Split, of: str, to: float) -> Outline:
    """Return the sector of a half, bounded across each lap `to` mm from its middle towards half b."""
    one, other = split.laps
    ends = ((one, to), (other, -to)) if of == "b" else ((other, -to), (one, to))
    (first, start), (last, end) = ends
    swept = (last.angle - first.angle) % 360
    corners = [_ray(first, start, NEAR), _ray(first, start, FAR)]
    for part in (1, 2, 3):
        angle = radians(first.angle + swept * part / 4)
        corners.append((2 * FAR * cos(angle), 2 * FAR * sin(angle)))
    return polygon([*corners, _ray(last, end, FAR), _ray(last, end, NEAR)])


def _ray(lap: Lap, aside: float, out: float) -> Point:
    x, y = cos(radians(lap.angle)), sin(radians(lap.angle))
    return (out * x - aside * y, out * y + aside * x)
