"""The second step of measuring walls: from what rays see to the least distance between two surfaces.

The triangles at both ends of the shortest rays are measured against each other exactly; then each goes on to its
neighbours as long as they are nearer. A wall counts only where its way runs along both normals; where it would shrink
further but for that, as round the edge of a rounded block, the ray's own length stands.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from mounts.checks.skin import Sights, Skin
from mounts.geometry.apart import TOUCH, Pairs, between
from mounts.geometry.facets import Mask, Whole
from mounts.geometry.frames import Array

CLOSE = (1.15, 0.05)  # rays whose depth is at most so many times the group's least, plus so many mm, are looked at
EACH_FACE, SEEDS = 4, 64  # of them at most, from each pair of faces and in each group
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
    which = _seeds(skin, seen, group)
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


def _seeds(skin: Skin, seen: Sights, group: Whole) -> Whole:
    """Rays worth a closer look: the least deep of each group from all its faces, no pair of triangles twice."""
    least = np.full(int(group.max(initial=-1)) + 1, np.inf)
    counted = np.flatnonzero(group >= 0)
    np.minimum.at(least, group[counted], seen.beneath[counted])
    low = counted[seen.beneath[counted] <= CLOSE[0] * least[group[counted]] + CLOSE[1]]
    order = low[np.argsort(seen.beneath[low], kind="stable")]
    size = len(skin.corners)
    order = order[_first_of(seen.source[order] * size + seen.target[order], 1)]
    faces = skin.part.face[seen.source[order]] * size + skin.part.face[seen.target[order]]
    order = order[_first_of(faces, EACH_FACE)]
    return order[_first_of(group[order], SEEDS)]


def _first_of(keys: Whole, most: int) -> Whole:
    """Index of the first `most` of each key, in their order."""
    order = np.argsort(keys, kind="stable")
    new = np.flatnonzero(np.diff(keys[order], prepend=-1))
    rank = np.arange(len(keys)) - np.repeat(new, np.diff(np.append(new, len(keys))))
    return np.sort(order[rank < most])


def _pairs(skin: Skin, one: Whole, other: Whole) -> Pairs:
    return Pairs(skin.corners[one], skin.corners[other], skin.normals[one], skin.normals[other])


def _measured(skin: Skin, one: Whole, other: Whole, opposed: float) -> tuple[Array, Array, Array, Mask]:
    """Distances of pairs of triangles, the places on them, and which of the ways run through a wall."""
    pairs = _pairs(skin, one, other)
    ways = between(pairs.one, pairs.other)
    return (*ways, pairs.through(ways, opposed))


def _descended(skin: Skin, found: dict[int, Near], opposed: float) -> dict[int, Near]:
    """Each wall taken from neighbour to neighbour until none is nearer; all of them go step by step together."""
    found, moving = dict(found), {number: near for number, near in found.items() if near.distance > TOUCH}
    for _ in range(STEPS):
        if not moving:
            break
        owner, one, other, smooth = _neighbours(skin, moving, opposed)
        best = np.array([moving[number].distance for number in owner.tolist()])
        distance, start, end, held = _measured(skin, one, other, opposed)
        nearer = distance < best * (1 - 1e-9) - TOUCH
        good = np.flatnonzero(nearer & held)
        moved: dict[int, Near] = {}
        for k in good[np.argsort(distance[good], kind="stable")]:
            near = Near(float(distance[k]), int(one[k]), int(other[k]), start[k], end[k], settled=True)
            moved.setdefault(int(owner[k]), near)
        for number in set(owner[nearer & smooth].tolist()) - set(moved):
            found[number] = replace(found[number], settled=False)
        found |= moved
        moving = moved
    return found


def _neighbours(skin: Skin, moving: dict[int, Near], opposed: float) -> tuple[Whole, Whole, Whole, Mask]:
    """Pairs of triangles beside the ends of walls that may be nearer: whose they are, both, whether on the same faces.

    On other faces only those count that face each other; the edge broken beside a wall is no thinner wall.
    """
    feature, face = skin.part.feature, skin.part.face
    fans = [(skin.around(near.one), skin.around(near.other)) for near in moving.values()]
    fans = [
        (a[feature[a] == feature[n.one]], b[feature[b] == feature[n.other]])
        for (a, b), n in zip(fans, moving.values(), strict=True)
    ]
    sizes = np.array([len(a) * len(b) for a, b in fans])
    one, other = (np.concatenate(list(each)) for each in zip(*(_crossed(a, b) for a, b in fans), strict=True))
    ends = np.array([(near.one, near.other, near.distance) for near in moving.values()]).repeat(sizes, axis=0)
    smooth = (face[one] == face[ends[:, 0].astype(int)]) & (face[other] == face[ends[:, 1].astype(int)])
    facing = np.einsum("ij,ij->i", skin.normals[one], skin.normals[other]) < -opposed
    likely = np.flatnonzero((smooth | facing) & (one != other))
    owner, one, other, smooth, best = (
        each[likely] for each in (np.array(list(moving)).repeat(sizes), one, other, smooth, ends[:, 2])
    )
    worth = _pairs(skin, one, other).at_least() < best - TOUCH
    return owner[worth], one[worth], other[worth], smooth[worth]


def _crossed(one: Whole, other: Whole) -> tuple[Whole, Whole]:
    return np.repeat(one, len(other)), np.tile(other, len(one))


def _shortest(seen: Sights, which: Whole, groups: Whole) -> dict[int, int]:
    """The shortest ray of each group."""
    order = np.argsort(seen.length[which], kind="stable")[::-1]
    return dict(zip(groups[order].tolist(), which[order].tolist(), strict=True))


def _ray(skin: Skin, seen: Sights, k: int) -> Near:
    one, other = int(seen.source[k]), int(seen.target[k])
    start = seen.start[k]
    return Near(float(seen.length[k]), one, other, start, start - skin.normals[one] * seen.length[k], settled=False)
