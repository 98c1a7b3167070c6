"""Which of a plan's walls a finished part shows, and how thick; and the thin ones that are none of the plan's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mounts.checks.mesh.nearest import Near, least_between, least_by, least_walls
from mounts.checks.mesh.skin import Sights, Skin, sights
from mounts.checks.mesh.thickness import LIKELY, MOST, NOMINAL, ThinPlace, measure_exactly, named_places, rank
from mounts.checks.mesh.wall_ends import SIDES, TOWER_WALL, surface_numbers, wall_end_surfaces
from mounts.findings.wall import Wall
from mounts.geometry.facets import Mask, Whole
from mounts.geometry.frames import Array
from mounts.identity import Ident

NAMED = 0.75  # cosine of 41 degrees: two surfaces with names may lean so much, and an edge broken at 45 is none yet;
# beside a bore that leans it may look like one, so the tower's own wall must be nominal


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """The walls that a part shows.

    Attributes:
        skin: the part's.
        near: least wall of each group of rays that was measured.
        places: the same, with names.
        own: for each wall of the plan the groups that are it.
        strange: groups that are no wall of the plan's, thin enough to matter.
        behind: for each label's name the groups that lie behind it.
        ends: for each wall of the plan the numbers of the triangles at its two ends.
    """

    skin: Skin
    near: dict[int, Near]
    places: dict[int, ThinPlace]
    own: tuple[tuple[int, ...], ...]
    strange: tuple[int, ...]
    behind: dict[Ident, tuple[int, ...]]
    ends: tuple[tuple[Whole, Whole], ...]

    def of_wall(self, index: int) -> ThinPlace | None:
        """The thinnest place of a wall of the plan; None where the part does not show it."""
        return self.thinnest(self.own[index])

    def thinnest(self, groups: Sequence[int]) -> ThinPlace | None:
        """The thinnest place of some groups."""
        found = [self.places[group] for group in groups if group in self.places]
        return min(found, key=rank, default=None)

    def searched(self, index: int, below: float) -> ThinPlace | None:
        """Return the thinnest place of a wall of the plan among all of its triangles; None if none is below a limit."""
        near = least_between(self.skin, self.ends[index], NAMED, below)
        return None if near is None else named_places(self.skin, {0: near})[0]

    def exact(self, place: ThinPlace) -> ThinPlace:
        """A place told on the B-rep's own faces where the part has them."""
        group = next((group for group, other in self.places.items() if other is place), None)
        if group is None or self.skin.part.solid is None or not self.near[group].settled:
            return place
        return measure_exactly(self.skin, self.near[group], place, NAMED)


def shown(skin: Skin, walls: Sequence[Wall], least: float) -> Shown:
    """What a part shows of the walls of a plan, and of others up to somewhat above `least`.

    Args:
        skin: of the part, whose features bear the recipe's names.
        walls: of the plan.
        least: mm.
    """
    features, size = skin.part.features, SIDES * len(skin.part.features)
    seen = sights(skin, NAMED)
    surface = surface_numbers(skin)
    keys = _pairs(surface, size, seen)
    numbers, group = np.unique(keys, return_inverse=True)
    group, low, high = group.reshape(-1), numbers // size, numbers % size
    first, second = wall_end_surfaces(walls, features)
    walled = (first[:, low] & second[:, high]) | (first[:, high] & second[:, low])
    labels, ends = np.unique(skin.part.feature[skin.lettering]), np.stack([low, high]) // SIDES
    lettered = np.array([(ends == label).sum(axis=0) == 1 for label in labels]).reshape(-1, len(numbers))
    free = np.logical_not(walled.any(axis=0) | np.isin(ends, labels).any(axis=0))
    strict = walled[[wall.code == TOWER_WALL for wall in walls]].any(axis=0)
    opposed = np.where(free | strict, NOMINAL, NAMED)
    counted = seen.cosine > opposed[group]
    depth = least_by(group[counted], seen.beneath[counted], len(numbers))
    own = tuple(_likely(mask, depth) for mask in walled)
    behind = {features[label]: _likely(mask, depth) for label, mask in zip(labels, lettered, strict=True)}
    thin = np.flatnonzero(free & (depth <= LIKELY[0] * least + LIKELY[1]))
    strange = thin[np.argsort(depth[thin], kind="stable")[:MOST]].tolist()
    near = least_walls(skin, seen, _only(group, [*own, *behind.values(), strange]), opposed, surface)
    triangles = tuple(
        (np.flatnonzero(one[surface]), np.flatnonzero(other[surface])) for one, other in zip(first, second, strict=True)
    )
    return Shown(skin, near, named_places(skin, near), own, tuple(strange), behind, triangles)


def _pairs(surface: Whole, size: int, seen: Sights) -> Whole:
    """One number for the two of so many surfaces that each ray runs between."""
    one, other = surface[seen.source], surface[seen.target]
    numbers: Whole = np.minimum(one, other) * size + np.maximum(one, other)
    return numbers


def _only(group: Whole, wanted: Sequence[Sequence[int]]) -> Whole:
    """The groups that are wanted; −1 for all others."""
    chosen = np.zeros(int(group.max(initial=-1)) + 1, dtype=bool)
    chosen[[number for numbers in wanted for number in numbers]] = True
    return np.where(chosen[group], group, -1)


def _likely(mask: Mask, depth: Array) -> tuple[int, ...]:
    """Those of a wall's groups that may hold its least thickness."""
    numbers = np.flatnonzero(mask & np.isfinite(depth))
    if not len(numbers):
        return ()
    near = numbers[depth[numbers] <= depth[numbers].min() / NAMED + LIKELY[1]]
    return tuple(int(number) for number in near)
