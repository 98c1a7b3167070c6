"""Walls of a plan as measured on a finished part; and the thin ones that are none of the plan's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from mounts.checks.mesh.known import Patches, least_between
from mounts.checks.mesh.nearest import Near, least_by, least_walls
from mounts.checks.mesh.skin import Sights, Skin, sights
from mounts.checks.mesh.thickness import LIKELY, MOST, NOMINAL, ThinPlace, measure_exactly, named_places, thinnest_first
from mounts.checks.mesh.wall_ends import SIDES, TOWER_WALL, surface_numbers, wall_end_surfaces
from mounts.findings.wall import Wall
from mounts.geometry.facets import Mask, Whole
from mounts.geometry.frames import Array
from mounts.identity import Ident

NAMED = 0.75  # cosine of 41 degrees: two surfaces with names may lean so much, and an edge broken at 45 is none yet;
# beside a bore that leans it may look like one, so the tower's own wall must be nominal

ASLANT = (0.1, -1.0)  # the same of surfaces that face each other anyhow, and of any two, broken edges among them


@dataclass(frozen=True, slots=True, eq=False)
class MeasuredWalls:
    """The walls that were measured on a part.

    Attributes:
        skin: the part's.
        near: the walls that were measured: of the plan by their index, others by that of their group of rays, negative.
        places: the same walls as named places.
        strange: those that are no wall of the plan's, thin enough to matter.
        behind: for each label's name those that lie behind it.
    """

    skin: Skin
    near: dict[int, Near]
    places: dict[int, ThinPlace]
    strange: tuple[int, ...]
    behind: dict[Ident, tuple[int, ...]]

    def thinnest(self, walls: Sequence[int]) -> ThinPlace | None:
        """Return the thinnest place of some walls."""
        found = [self.places[number] for number in walls if number in self.places]
        return next(iter(thinnest_first(found)), None)

    def exact(self, number: int) -> ThinPlace:
        """Return a place measured on the B-rep's own faces where the part has them."""
        near, place = self.near[number], self.places[number]
        if self.skin.part.solid is None or not near.settled:
            return place
        return measure_exactly(self.skin, near, place, NAMED)


def measure_walls(skin: Skin, walls: Sequence[Wall], least: float, agree: float) -> MeasuredWalls:
    """Measure on a part the walls of a plan, and others up to somewhat above `least`.

    Args:
        skin: of the part, whose features bear the recipe's names.
        walls: walls of the plan.
        least: mm.
        agree: mm by which plan and mesh may differ.
    """
    surface = surface_numbers(skin)
    first, second = wall_end_surfaces(walls, skin.part.features)
    near = _planned(skin, walls, surface, (first, second), agree)
    others, strange, behind = _others(skin, surface, first, second, least)
    near |= others
    return MeasuredWalls(skin, near, named_places(skin, near), strange, behind)


def _planned(
    skin: Skin, walls: Sequence[Wall], surface: Whole, ends: tuple[Mask, Mask], agree: float
) -> dict[int, Near]:
    """Return each wall of the plan that the part shows, between all triangles at its two ends.

    A wall runs along both normals. Where none runs so that is as thin as was planned, the surfaces may still come as
    near as that aslant, as a flared bore and a hole's foot or a recess's corner do: then this distance counts.
    """
    opposed = np.array([NOMINAL if wall.code == TOWER_WALL else NAMED for wall in walls])
    expected, patches = np.array([wall.thickness for wall in walls]), Patches.of(skin, surface)
    near = least_between(patches, ends, opposed, expected)
    there = np.logical_and(ends[0].any(axis=1), ends[1].any(axis=1))
    for lean in ASLANT:
        more = [
            k
            for k in np.flatnonzero(there).tolist()
            if k not in near or (near[k].distance > expected[k] + agree and not walls[k].bound)
        ]
        if more:
            some = (ends[0][more], ends[1][more])
            aslant = least_between(patches, some, np.full(len(more), lean), expected[more], thicker=False)
            near |= {more[k]: one for k, one in aslant.items() if abs(one.distance - expected[more[k]]) <= agree}
    return near


def _others(
    skin: Skin, surface: Whole, first: Mask, second: Mask, least: float
) -> tuple[dict[int, Near], tuple[int, ...], dict[Ident, tuple[int, ...]]]:
    """Return what rays see besides: walls up to somewhat above `least`, strange ones, those behind each label."""
    features, size = skin.part.features, SIDES * len(skin.part.features)
    seen = sights(skin, NAMED)
    numbers, group = np.unique(_pairs(surface, size, seen), return_inverse=True)
    group, low, high = group.reshape(-1), numbers // size, numbers % size
    walled = ((first[:, low] & second[:, high]) | (first[:, high] & second[:, low])).any(axis=0)
    labels, ends = np.unique(skin.part.feature[skin.lettering]), np.stack([low, high]) // SIDES
    lettered = np.array([(ends == label).sum(axis=0) == 1 for label in labels]).reshape(-1, len(numbers))
    free = np.logical_not(walled | np.isin(ends, labels).any(axis=0))
    opposed = np.where(free, NOMINAL, NAMED)
    counted = seen.cosine > opposed[group]
    depth = least_by(group[counted], seen.beneath[counted], len(numbers))
    behind = {features[label]: _likely(mask, depth) for label, mask in zip(labels, lettered, strict=True)}
    thin = np.flatnonzero(free & (depth <= LIKELY[0] * least + LIKELY[1]))
    strange = thin[np.argsort(depth[thin], kind="stable")[:MOST]].tolist()
    near = least_walls(skin, seen, _only(group, [*behind.values(), strange]), opposed, surface)
    return (
        {~number: wall for number, wall in near.items()},
        tuple(~number for number in strange),
        {name: tuple(~number for number in groups) for name, groups in behind.items()},
    )


def _pairs(surface: Whole, size: int, seen: Sights) -> Whole:
    """One number for the two of so many surfaces that each ray runs between."""
    one, other = surface[seen.source], surface[seen.target]
    numbers: Whole = np.minimum(one, other) * size + np.maximum(one, other)
    return numbers


def _only(group: Whole, wanted: Sequence[Sequence[int]]) -> Whole:
    """Return the groups that are wanted; −1 for all others."""
    chosen = np.zeros(int(group.max(initial=-1)) + 1, dtype=bool)
    chosen[[number for numbers in wanted for number in numbers]] = True
    return np.where(chosen[group], group, -1)


def _likely(mask: Mask, depth: Array) -> tuple[int, ...]:
    """Return the numbers of those groups that may hold the least thickness of all."""
    numbers = np.flatnonzero(mask & np.isfinite(depth))
    if not len(numbers):
        return ()
    near = numbers[depth[numbers] <= depth[numbers].min() / NAMED + LIKELY[1]]
    return tuple(int(number) for number in near)
