"""The second step of measuring walls: from what rays see to the least distance between two surfaces.

The triangles at both ends of the shortest rays are measured against each other exactly; then each goes on to its
neighbours as long as they are nearer. A wall counts only where its way runs along both normals; where it would shrink
further but for that, as round the edge of a rounded block, the ray's own length stands.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from mounts.checks.mesh.skin import Sights, Skin
from mounts.geometry.apart import TOUCH, Pairs, between
from mounts.geometry.facets import SMOOTH, Mask, Whole
from mounts.geometry.frames import Array
from mounts.geometry.ties import tie_ranks

CLOSE = 0.05  # mm: rays are looked at whose depth exceeds the group's least by no more, over what their lean may hide
EACH_FACE, SEEDS = 4, 48  # of them at most, from each pair of faces and in each group
EVEN = float(np.cos(np.radians(SMOOTH)))
STEPS = 40  # to neighbours at most
ASLANT = np.array([1.0, 0.6180339887, 0.4142135624])  # a way in which no two places of a mount lie level by design


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


def least_walls(skin: Skin, seen: Sights, group: Whole, opposed: Array, surface: Whole) -> dict[int, Near]:
    """Return the least wall of each group.

    Args:
        skin: where the rays ran.
        seen: what they saw.
        group: (n,) int, the group of each ray; −1 for those that do not count.
        opposed: (groups,) float, least cosine between a wall's way and the normals at its ends, in each group.
        surface: (m,) int, which each triangle belongs to; a wall's ends stay on theirs.
    """
    which = _seeds(skin, seen, group, opposed)
    owner = group[which]
    found = _best(owner, seen.source[which], seen.target[which], _ways(_pairs(skin, seen, which), opposed[owner]))
    found = _descended(skin, found, opposed, surface)
    order = np.argsort(tie_ranks(seen.length[which], TOUCH), kind="stable")[::-1]
    for number, k in dict(zip(owner[order].tolist(), which[order].tolist(), strict=True)).items():
        if number not in found or not found[number].settled:
            found[number] = _ray(skin, seen, k)
    return found


def _seeds(skin: Skin, seen: Sights, group: Whole, opposed: Array) -> Whole:
    """Rays worth a closer look: the least deep of each group from all its faces, no pair of triangles twice.

    Of their triangles each two may come nearer to each other than the shortest of these rays is long.
    """
    counted = np.flatnonzero((group >= 0) & (seen.cosine > np.append(opposed, 1.0)[group]))
    least = least_by(group[counted], seen.beneath[counted], len(opposed))
    low = counted[seen.beneath[counted] <= (least / opposed + CLOSE)[group[counted]]]
    order = low[np.argsort(tie_ranks(seen.beneath[low], TOUCH), kind="stable")]
    size = len(skin.corners)
    order = order[first_of(seen.source[order] * size + seen.target[order], 1)]
    faces = skin.part.face[seen.source[order]] * size + skin.part.face[seen.target[order]]
    order = order[first_of(faces, EACH_FACE)]
    order = order[first_of(group[order], SEEDS)]
    shortest = least_by(group[order], seen.length[order], len(opposed))
    return order[_pairs(skin, seen, order).at_least() < shortest[group[order]] + TOUCH]


def least_by(group: Whole, values: Array, count: int) -> Array:
    """Return the least value of each of so many groups, inf for an empty one."""
    least: Array = np.full(count, np.inf)
    np.minimum.at(least, group, values)
    return least


def first_of(keys: Whole, most: int) -> Whole:
    """Index of the first `most` of each key, in their order."""
    order = np.argsort(keys, kind="stable")
    new = np.flatnonzero(np.diff(keys[order], prepend=-1))
    rank = np.arange(len(keys)) - np.repeat(new, np.diff(np.append(new, len(keys))))
    return np.sort(order[rank < most])


Ways = tuple[Array, Array, Array, Mask]  # distance, start, end, and whether it runs through a wall


def _pairs(skin: Skin, seen: Sights, which: Whole) -> Pairs:
    return pairs_of(skin, seen.source[which], seen.target[which])


def pairs_of(skin: Skin, one: Whole, other: Whole) -> Pairs:
    """Return each one of some triangles with its other, by their numbers."""
    return Pairs(skin.corners[one], skin.corners[other], skin.normals[one], skin.normals[other])


def _ways(pairs: Pairs, opposed: Array) -> Ways:
    ways = between(pairs.one, pairs.other)
    return (*ways, pairs.through(ways, opposed))


def _best(owner: Whole, one: Whole, other: Whole, ways: Ways) -> dict[int, Near]:
    """Return the shortest way through a wall of each owner; of equal ones the first by place."""
    distance, start, end, held = ways
    good = np.flatnonzero(held)
    place = (start[good] + end[good]) @ ASLANT
    order = good[np.lexsort([place, tie_ranks(distance[good], TOUCH), owner[good]])]
    order = order[np.diff(owner[order], prepend=-1) != 0]
    return {
        int(owner[k]): Near(float(distance[k]), int(one[k]), int(other[k]), start[k], end[k], settled=True)
        for k in order
    }


def _descended(skin: Skin, found: dict[int, Near], opposed: Array, surface: Whole) -> dict[int, Near]:
    """Move each wall from neighbour to neighbour until none is nearer; all of them go step by step together."""
    found, moving = dict(found), {number: near for number, near in found.items() if near.distance > TOUCH}
    for _ in range(STEPS):
        if not moving:
            break
        walls, numbers = list(moving.values()), np.array(list(moving))
        owner, one, other, smooth = _neighbours(skin, walls, opposed[numbers], surface)
        number = numbers[owner]
        distance, start, end, held = _ways(pairs_of(skin, one, other), opposed[number])
        nearer = distance < np.array([wall.distance for wall in walls])[owner] * (1 - 1e-9) - TOUCH
        moved = _best(number, one, other, (distance, start, end, held & nearer))
        for sliding in set(number[nearer & smooth].tolist()) - set(moved):
            found[sliding] = replace(found[sliding], settled=False)
        found |= moved
        moving = moved
    return found


def _neighbours(skin: Skin, walls: list[Near], opposed: Array, surface: Whole) -> tuple[Whole, Whole, Whole, Mask]:
    """Pairs of triangles beside the ends of walls that may be nearer: whose they are, both, whether smoothly beside.

    Over an edge only those count that face each other; the edge broken beside a wall is no thinner wall.
    """
    ends = np.array([(wall.one, wall.other) for wall in walls])
    owner, one, other = _crossed(_beside(skin, ends[:, 0], surface), _beside(skin, ends[:, 1], surface), len(walls))
    smooth = np.ones(len(owner), dtype=bool)
    for beside, end in ((one, ends[owner, 0]), (other, ends[owner, 1])):
        smooth &= np.einsum("ij,ij->i", skin.normals[beside], skin.normals[end]) > EVEN
    facing = np.einsum("ij,ij->i", skin.normals[one], skin.normals[other]) < -opposed[owner]
    likely = np.flatnonzero((smooth | facing) & (one != other))
    owner, one, other, smooth = owner[likely], one[likely], other[likely], smooth[likely]
    worth = pairs_of(skin, one, other).at_least() < np.array([wall.distance for wall in walls])[owner] - TOUCH
    return owner[worth], one[worth], other[worth], smooth[worth]


def _beside(skin: Skin, triangles: Whole, surface: Whole) -> tuple[Whole, Whole]:
    """Triangles of the same surface that share a vertex with each of some, and the number of the one they belong to."""
    beside, corner = skin.at_vertices(skin.part.triangles[triangles].ravel())
    keys = np.sort(corner // 3 * len(skin.corners) + beside)
    keys = keys[np.diff(keys, prepend=-1) > 0]
    owner, beside = keys // len(skin.corners), keys % len(skin.corners)
    same = surface[beside] == surface[triangles[owner]]
    return beside[same], owner[same]


def _crossed(one: tuple[Whole, Whole], other: tuple[Whole, Whole], count: int) -> tuple[Whole, Whole, Whole]:
    """Every one with every other of the same owner: owners, ones, others."""
    (a, a_owner), (b, b_owner) = one, other
    many_a, many_b = np.bincount(a_owner, minlength=count), np.bincount(b_owner, minlength=count)
    first_a, first_b = np.cumsum(many_a) - many_a, np.cumsum(many_b) - many_b
    pairs = many_a * many_b
    owner = np.repeat(np.arange(count), pairs)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(pairs) - pairs, pairs)
    wide = np.maximum(many_b, 1)[owner]
    return owner, a[first_a[owner] + place // wide], b[first_b[owner] + place % wide]


def _ray(skin: Skin, seen: Sights, k: int) -> Near:
    one, other = int(seen.source[k]), int(seen.target[k])
    start, length = seen.start[k], float(seen.length[k])
    return Near(length, one, other, start, start - skin.normals[one] * length, settled=False)
