"""Which of a plan's walls a finished part shows, and how thick; and the thin ones that are none of the plan's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mounts.checks.nearest import Near, least_walls
from mounts.checks.skin import Skin, sights
from mounts.checks.thickness import LIKELY, MOST, NOMINAL, ThinPlace, exactly, told
from mounts.checks.wall import Wall
from mounts.checks.words import meant, surfaces
from mounts.geometry.facets import Mask
from mounts.geometry.frames import Array


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
    """

    skin: Skin
    near: dict[int, Near]
    places: dict[int, ThinPlace]
    own: tuple[tuple[int, ...], ...]
    strange: tuple[int, ...]
    behind: dict[str, tuple[int, ...]]

    def of_wall(self, index: int) -> ThinPlace | None:
        """The thinnest place of a wall of the plan; None where the part does not show it."""
        return self.thinnest(self.own[index])

    def thinnest(self, groups: Sequence[int]) -> ThinPlace | None:
        """The thinnest place of some groups."""
        found = [self.places[group] for group in groups if group in self.places]
        return min(found, key=lambda place: place.thickness, default=None)

    def exact(self, place: ThinPlace) -> ThinPlace:
        """A place told on the B-rep's own faces where the part has them."""
        group = next(group for group, other in self.places.items() if other is place)
        if self.skin.part.solid is None or not self.near[group].settled:
            return place
        return exactly(self.skin, self.near[group], place, NOMINAL)


def shown(skin: Skin, walls: Sequence[Wall], least: float) -> Shown:
    """What a part shows of the walls of a plan, and of others up to somewhat above `least`.

    Args:
        skin: of the part, whose features bear the recipe's names.
        walls: of the plan.
        least: mm.
    """
    seen = sights(skin, NOMINAL)
    features = skin.part.features
    surface, size = surfaces(skin), 2 * len(features)
    one, other = surface[seen.source], surface[seen.target]
    lettered = skin.lettering[seen.source] & skin.lettering[seen.target]
    keys, group = np.unique(np.minimum(one, other) * size + np.maximum(one, other), return_inverse=True)
    group = np.where(lettered, -1, group.reshape(-1))
    depth = np.full(len(keys), np.inf)
    np.minimum.at(depth, group[~lettered], seen.beneath[~lettered])
    low, high = keys // size, keys % size
    first, second = meant(walls, features)
    walled = (first[:, low] & second[:, high]) | (first[:, high] & second[:, low])
    own = tuple(_likely(mask, depth) for mask in walled)
    labels = np.unique(skin.part.feature[skin.lettering])
    before = (low // 2 == labels[:, None]) | (high // 2 == labels[:, None])
    behind = {features[label]: _likely(mask, depth) for label, mask in zip(labels, before, strict=True)}
    strange = np.flatnonzero(~walled.any(axis=0) & ~before.any(axis=0) & (depth <= LIKELY[0] * least + LIKELY[1]))
    strange = strange[np.argsort(depth[strange])[:MOST]]
    wanted = np.zeros(len(keys) + 1, dtype=bool)  # the last is that of −1
    wanted[[*strange, *(number for numbers in (*own, *behind.values()) for number in numbers)]] = True
    near = least_walls(skin, seen, np.where(wanted[group], group, -1), NOMINAL)
    return Shown(skin, near, told(skin, near), own, tuple(int(number) for number in strange), behind)


def _likely(mask: Mask, depth: Array) -> tuple[int, ...]:
    """Those of a wall's groups that may hold its least thickness."""
    numbers = np.flatnonzero(mask & np.isfinite(depth))
    if not len(numbers):
        return ()
    near = numbers[depth[numbers] <= LIKELY[0] * depth[numbers].min() + LIKELY[1]]
    return tuple(int(number) for number in near)
