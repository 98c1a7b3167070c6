"""Caliper readings of a hole pattern.

Datum: the panel frame, origin at the opening's centre, x right, y up; mm and degrees. A diameter is a reading like any
other, with the same error.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array
from mounts.geometry.outline import Outline
from mounts.lengths import Units

Truths = NDArray[np.bool_]
Over = Literal[-1, 0, 1]  # inside edges, centres, outside edges: diameters that a reading holds beside the centres


@dataclass(frozen=True, slots=True)
class HoleDistance:
    """Distance between two holes, given by their index."""

    first: int
    second: int
    read: float


@dataclass(frozen=True, slots=True)
class OpeningDistance:
    """Distance from a hole to the opening: edge to edge, or to a centre line over the same edges as between holes."""

    hole: int
    to: Literal["edge", "vertical", "horizontal"]
    read: float


@dataclass(frozen=True, slots=True)
class LevelReading:
    """Direction from one hole to another on its right, which rises by `rise` degrees, 0 when level."""

    first: int
    second: int
    rise: float = 0.0


@dataclass(frozen=True, slots=True)
class Readings:
    """All readings of a pattern, mm and degrees.

    Attributes:
        names: of the holes; other attributes give holes by their index here.
        order: the holes clockwise about the opening's centre, as seen.
        sizes: hole diameters that were read.
        size_of: for each hole, which of them is its own.
        over: which edges the distances were read over.
        between: distances between holes.
        to_opening: distances to the opening.
        level: a direction read with a level, None when none was.
        opening: its outline about its centre.
        units: in which a message writes them.
        growth: by how much its diameter was read larger than that outline's; only simulations give one.
    """

    names: tuple[str, ...]
    order: tuple[int, ...]
    sizes: tuple[float, ...]
    size_of: tuple[int, ...]
    over: Over
    between: tuple[HoleDistance, ...]
    to_opening: tuple[OpeningDistance, ...]
    level: LevelReading | None
    opening: Outline
    units: Units = Units.MM
    growth: float = 0.0

    @property
    def labels(self) -> tuple[str, ...]:
        """Label of each figure of `values`, as a person calls it."""
        names = self.names
        of_opening = {"edge": "opening", "vertical": "vertical centre line", "horizontal": "horizontal centre line"}
        return (
            *(f"{names[b.first]}-{names[b.second]}" for b in self.between),
            *(f"{names[t.hole]} to {of_opening[t.to]}" for t in self.to_opening),
            *((f"level {names[self.level.first]}-{names[self.level.second]}",) if self.level else ()),
            *(f"hole {self.units(size)}" for size in self.sizes),
            "opening's size",
        )

    @property
    def paths(self) -> tuple[tuple[str, ...], ...]:
        """Path below `fixings` of each figure of `values`."""
        pairs = self.labels[: len(self.between)]
        return (
            *(("distances", "readings", pair) for pair in pairs),
            *(("distances", "to_opening", self.names[t.hole]) for t in self.to_opening),
            *((("distances", "level"),) if self.level else ()),
            *(("hole",) for _ in self.sizes),
            ("distances", "to_opening"),
        )

    @property
    def values(self) -> Array:
        """Every figure that was read, (m,): distances, to the opening, level, hole sizes, the opening's growth.

        Each has an error of its own; a simulation adds its noise here and calls `with_values`.
        """
        level = [self.level.rise] if self.level else []
        lengths = [*(b.read for b in self.between), *(t.read for t in self.to_opening)]
        return np.array([*lengths, *level, *self.sizes, self.growth])

    @property
    def is_level(self) -> Truths:
        """Mask of `values` that are angles read with a level, (m,) bool."""
        here = np.zeros(len(self.values), dtype=bool)
        if self.level:
            here[len(self.between) + len(self.to_opening)] = True
        return here

    @property
    def bases(self) -> Array:
        """Value from which each figure counts, (m,): 0, but the opening's width for its growth."""
        x0, _, x1, _ = self.opening.box
        found: Array = np.zeros(len(self.values))
        found[-1] = x1 - x0
        return found

    def centre_distance(self, between: HoleDistance) -> float:
        """Return the distance between two centres that a reading gives, mm."""
        sizes = self.sizes[self.size_of[between.first]] + self.sizes[self.size_of[between.second]]
        return between.read - self.over * sizes / 2
