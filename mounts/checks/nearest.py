"""The second step of measuring walls: from what rays see to the least distance between two surfaces.

The triangles at both ends of the shortest rays are measured against each other exactly; then each goes on to its
neighbours as long as they are nearer. A wall counts only where its way runs along both normals; where it would shrink
further but for that, as round the edge of a rounded block, the ray's own length stands.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from mounts.checks.skin import Sights, Skin
from mounts.geometry.apart import TOUCH, at_least, between, through
from mounts.geometry.facets import Whole
from mounts.geometry.frames import Array

CLOSE = (1.03, 0.05)  # rays whose depth is at most so many times the group's least, plus so many mm, are looked at
SEEDS = 24  # of them at most, in each group
STEPS = 40  # to neighbours at most


@dataclass(frozen=True, slots=True, eq=False)
class Near:
    """The least wall of one group of rays.

    Attributes:
        distance: mm.
        one, other: numbers of the triangles at its ends.
        start, end: (3,) float, places on them, mm.
        settled: whether no neighbour is nearer, whatever its normals; else the distance is a ray's.
    """

    distance: float
    one: int
    other: int
    start: Array
    end: Array
    settled: bool


def least_walls(skin: Skin, seen: Sights, group: Whole, opposed: float) -> dict[int, Near]:
    """The least wall of each group.

    Args:
        skin: where the rays ran.
        seen: what they saw.
        group: (n,) int, the group of each ray; −1 for those that do not count.
        opposed: least cosine between a wall's way and the normals at its ends.
    """
    which = _seeds(seen, group)
    groups, one, other = group[which], seen.source[which], seen.target[which]
    distance, start, end, held = _measured(skin, one, other, opposed)
    found: dict[int, Near] = {}
    for k in np.argsort(np.where(held, distance, np.inf), kind="stable")[: int(held.sum())]:
        near = Near(float(distance[k]), int(one[k]), int(other[k]), start[k], end[k], settled=True)
        found.setdefault(int(groups[k]), near)
    found = _descended(skin, found, opposed)
    shortest = _shortest(seen, which, groups)
    for number, k in shortest.items():
        if number not in found or not found[number].settled:
            found[number] = _ray(skin, seen, k)
    return found


def _seeds(seen: Sights, group: Whole) -> Whole:
    """Rays worth a closer look: the least deep of each group, no pair of triangles twice."""
    counted = np.flatnonzero(group >= 0)
    order = counted[np.lexsort([seen.beneath[counted], group[counted]])]
    first = np.flatnonzero(np.diff(group[order], prepend=-2))
    rank = np.arange(len(order)) - np.repeat(first, np.diff(np.append(first, len(order))))
    least = np.repeat(seen.beneath[order[first]], np.diff(np.append(first, len(order))))
    order = order[(seen.beneath[order] <= CLOSE[0] * least + CLOSE[1]) & (rank < 4 * SEEDS)]
    pair = seen.source[order] * (int(seen.source.max(initial=0)) + int(seen.target.max(initial=0)) + 1)
    order = order[np.sort(np.unique(pair + seen.target[order], return_index=True)[1])]
    first = np.flatnonzero(np.diff(group[order], prepend=-2))
    rank = np.arange(len(order)) - np.repeat(first, np.diff(np.append(first, len(order))))
    return order[rank < SEEDS]


def _measured(skin: Skin, one: Whole, other: Whole, opposed: float) -> tuple[Array, Array, Array, Array]:
    a, b = skin.corners[one], skin.corners[other]
    ways = between(a, b)
    return (*ways, through(a, b, skin.normals[one], skin.normals[other], ways, opposed))


def _descended(skin: Skin, found: dict[int, Near], opposed: float) -> dict[int, Near]:
    """Each wall taken from neighbour to neighbour until none is nearer; all of them go step by step together."""
    found, moving = dict(found), {number: near for number, near in found.items() if near.distance > TOUCH}
    feature = skin.part.feature
    for _ in range(STEPS):
        if not moving:
            break
        fans = {n: (skin.around(near.one), skin.around(near.other)) for n, near in moving.items()}
        pairs = [np.stack(np.meshgrid(*fan), axis=-1).reshape(-1, 2) for fan in fans.values()]
        owner = np.repeat(list(moving), [len(pair) for pair in pairs])
        one, other = np.concatenate(pairs).T
        best = np.repeat([near.distance for near in moving.values()], [len(pair) for pair in pairs])
        ends = np.array([[near.one, near.other] for near in moving.values()]).repeat([len(p) for p in pairs], axis=0)
        same = (feature[one] == feature[ends[:, 0]]) & (feature[other] == feature[ends[:, 1]])
        bound = at_least(skin.corners[one], skin.corners[other], skin.normals[one], skin.normals[other])
        worth = np.flatnonzero(same & (bound < best - TOUCH) & (one != other))
        owner, one, other, best = owner[worth], one[worth], other[worth], best[worth]
        distance, start, end, held = _measured(skin, one, other, opposed)
        nearer = distance < best * (1 - 1e-9) - TOUCH
        moved: dict[int, Near] = {}
        for k in np.flatnonzero(nearer & held)[np.argsort(distance[nearer & held], kind="stable")]:
            near = Near(float(distance[k]), int(one[k]), int(other[k]), start[k], end[k], settled=True)
            moved.setdefault(int(owner[k]), near)
        for number in set(owner[nearer].tolist()) - set(moved):
            found[number] = replace(found[number], settled=False)
        found |= moved
        moving = moved
    return found


def _shortest(seen: Sights, which: Whole, groups: Whole) -> dict[int, int]:
    """The shortest ray of each group."""
    order = np.argsort(seen.length[which], kind="stable")[::-1]
    return dict(zip(groups[order].tolist(), which[order].tolist(), strict=True))


def _ray(skin: Skin, seen: Sights, k: int) -> Near:
    one, other = int(seen.source[k]), int(seen.target[k])
    start = seen.start[k]
    return Near(float(seen.length[k]), one, other, start, start - skin.normals[one] * seen.length[k], settled=False)
