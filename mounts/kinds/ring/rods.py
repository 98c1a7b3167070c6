"""Round holes of a ring as rods, and how far they are from its ruled surfaces: true distances in space."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import hypot, inf

import numpy as np

from mounts.geometry.frames import PANEL, Array, Frame
from mounts.geometry.outline import Point, circle
from mounts.kinds.ring.values import Base, Fixing, Nut, Seat, SpeakerScrew, Tower
from mounts.shape.primitives import Section
from mounts.shape.sheet import Sheet, least_gap, least_on

LONGEST = 100.0  # mm of a tool path that lie beside a ring
FAR = 10.0  # mm: a wall thicker than this is told to a tenth
ALMOST = 1e-6  # mm over the face, so that what stands on it counts


@dataclass(frozen=True, slots=True)
class Rod:
    """A round hole along the z of a frame, from one level to another."""

    frame: Frame
    at: Point
    diameter: float
    low: float
    high: float

    def to(self, points: Array) -> Array:
        """Signed distance of points (n, 3) from the rod, negative inside."""
        local = self.frame.into(points)
        aside = np.hypot(local[:, 0] - self.at[0], local[:, 1] - self.at[1]) - self.diameter / 2
        beyond = np.maximum(self.low - local[:, 2], local[:, 2] - self.high)
        apart: Array = np.hypot(np.maximum(aside, 0), np.maximum(beyond, 0))
        return np.where((aside < 0) & (beyond < 0), np.maximum(aside, beyond), apart)

    def level(self, height: float) -> float:
        """The level at which its axis passes a height over the face."""
        z = float(self.frame.out((*self.at, 0.0))[2])
        return (height - z) / self.frame.z[2]


def pocket_of(seat: Seat, screw: SpeakerScrew) -> Rod:
    """A speaker screw's pocket."""
    return Rod(seat.frame, screw.at, screw.hole, -screw.depth, 0.0)


def nut_of(seat: Seat, nut: Nut, at: Point) -> Rod:
    """The room of a nut, from below the face up."""
    below = seat.frame.into((0.0, 0.0, 0.0))[2] - hypot(*at) - nut.diameter
    return Rod(seat.frame, at, nut.diameter, min(float(below), nut.bears - 1.0), nut.bears)


def path_of(fixing: Fixing) -> Rod:
    """A fixing's tool path, from the washer's seat on to the front."""
    return Rod(PANEL, fixing.at, fixing.path, fixing.seat, inf)


def back_of(fixing: Fixing) -> tuple[str, Rod]:
    """What is cut into the back at a fixing: its recess, or its hole as far as the washer's seat."""
    if fixing.recess is None:
        return f"hole {fixing.name}", Rod(PANEL, fixing.at, fixing.hole, 0.0, fixing.seat)
    return f"recess {fixing.name}", Rod(
        PANEL, fixing.at, fixing.recess.diameter, 0.0, fixing.step + fixing.recess.depth
    )


def to_sheet(sections: tuple[Section, ...], rod: Rod, above: float = ALMOST) -> float:
    """Least distance of a rod from the part of a sheet that lies over a height, roughly when FAR; inf if none does."""
    return least_on(Sheet(sections), rod.to, lambda points: points[:, 2] >= above, enough=FAR)


def open_to_sheet(sections: tuple[Section, ...], rod: Rod) -> float:
    """The same for a rod that the face cuts off aslant: only what of its wall lies over the face counts."""
    ends = (Section(rod.frame.lifted(level), circle(rod.diameter, rod.at)) for level in (rod.low, rod.high))
    return least_gap(Sheet(sections), Sheet(tuple(ends)), keep=lambda points: points[:, 2] >= ALMOST)


def to_outside(tower: Tower, base: Base, rod: Rod) -> float:
    """Least distance of a rod from the outside: over the base from the tower, its broken edge aside; else the base."""
    top = rod.level(base.thickness)
    wall = np.array(base.outline.points(0.01, least=8))
    levels = np.linspace(0.0, base.thickness, 7)
    edge = np.column_stack([np.repeat(wall, len(levels), axis=0), np.tile(levels, len(wall))])
    over, within = replace(rod, low=max(rod.low, top)), replace(rod, high=min(rod.high, top))
    to_tower = to_sheet(tower.outside[:3], over, base.thickness) if over.low < over.high else inf
    return min(to_tower, float(within.to(edge).min()) if within.low < within.high else inf)


def least_on_rod(one: Rod, cost: Callable[[Array], Array]) -> float:
    """Least value that a cost of points (n, 3) → (n,) takes on a rod's wall over the face, good to 0.01 mm."""
    turns = np.radians(np.arange(0, 360, 2))
    high = min(one.high, one.low + LONGEST)
    levels = np.linspace(one.low, high, max(2, int((high - one.low) / 0.2) + 1))
    x, y = (centre + one.diameter / 2 * wave(turns) for centre, wave in zip(one.at, (np.cos, np.sin), strict=True))
    across, up = np.meshgrid(np.arange(len(turns)), levels, indexing="ij")
    points = one.frame.out(np.column_stack([x[across.ravel()], y[across.ravel()], up.ravel()]))
    counted = points[points[:, 2] > 0]
    return float(cost(counted).min()) if len(counted) else inf
