"""The second step of measuring walls: from what rays see to the least distance between two surfaces.

Between surfaces that are known, each triangle is measured against each that may be nearer; else the triangles at both
ends of the shortest rays are, and then their neighbours as long as they are nearer. A wall counts only where its way
runs along both normals; where what rays saw would shrink further but for that, as round the edge of a rounded block,
the ray's own length stands.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from mounts.checks.mesh.skin import Sights, Skin
from mounts.geometry.apart import TOUCH, Pairs, between, boxes_apart
from mounts.geometry.facets import SMOOTH, Mask, Whole, unit
from mounts.geometry.frames import Array
from mounts.geometry.ties import ODD

CLOSE = 0.05  # mm: rays are looked at whose depth exceeds the group's least by no more, over what their lean may hide
EACH_FACE, SEEDS = 4, 48  # of them at most, from each pair of faces and in each group
EVEN = float(np.cos(np.radians(SMOOTH)))
STEPS = 40  # to neighbours at most
CELL, FACINGS = 8.0, 1.5  # mm across a patch at most, and steps from no normal to a whole one
MANY = 512  # pairs measured at once


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
    """The least wall of each group.

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
    order = np.argsort(seen.length[which], kind="stable")[::-1]
    for number, k in dict(zip(owner[order].tolist(), which[order].tolist(), strict=True)).items():
        if number not in found or not found[number].settled:
            found[number] = _ray(skin, seen, k)
    return found


def least_between(skin: Skin, one: Patches, other: Patches, opposed: float) -> Near | None:
    """Return the least wall between two sets of triangles, as if each were measured against each; None if none is one.

    Patches are taken pair by pair, the nearest first, until no other pair can hold a thinner wall. Of equal walls the
    first counts.

    Args:
        skin: whose triangles they are.
        one, other: the two sets.
        opposed: least cosine between a wall's way and the normals at its ends.
    """
    apart, a, b = one.opposing(other, opposed)
    best: Near | None = None
    below, done, many = np.inf, 0, 8
    while done < len(apart) and apart[done] < below:
        near = slice(done, done + many)
        done, many = done + many, min(2 * many, MANY)
        _, left, right = _crossed(one.triangles_of(a[near]), other.triangles_of(b[near]), len(a[near]))
        pairs = _between(skin, left, right)
        here, there = ((skin.boxes[0][end], skin.boxes[1][end]) for end in (left, right))
        least = np.maximum(pairs.at_least(), boxes_apart(here, there))
        least[~pairs.facing(opposed)] = np.inf
        order = np.flatnonzero(least < below)
        order = order[np.argsort(least[order], kind="stable")]
        for first in range(0, len(order), MANY):
            some = order[first : first + MANY]
            if least[some[0]] >= below:
                break
            ways = _ways(_between(skin, left[some], right[some]), np.full(len(some), opposed))
            for found in _best(np.zeros(len(some), dtype=np.int64), left[some], right[some], ways).values():
                if found.distance < below:
                    best, below = found, found.distance - TOUCH
    return best


@dataclass(frozen=True, slots=True, eq=False)
class Patches:
    """Triangles in patches that lie near to each other and face about the same way.

    Attributes:
        triangles: (k,) int, numbers of the triangles, patch by patch.
        first: (n + 1,) int, where each patch begins, and the end.
        low, high: (n, 3) float, least and greatest coordinates of each patch, mm.
        normal, turn: (n, 3) and (n,) float, mean normal of each patch, and by how much another turns from it, rad.
    """

    triangles: Whole
    first: Whole
    low: Array
    high: Array
    normal: Array
    turn: Array

    @staticmethod
    def of(skin: Skin, which: Whole) -> Patches:
        """Patches of the triangles of some numbers."""
        cells = np.hstack([skin.corners[which].mean(axis=1) / CELL, skin.normals[which] * FACINGS])
        cells = np.floor(cells + ODD).astype(np.int64)
        order = np.lexsort(cells.T)
        new = np.flatnonzero((np.diff(cells[order], axis=0, prepend=cells[order[:1]] - 1) != 0).any(axis=1))
        which = which[order]
        low, high = np.minimum.reduceat(skin.boxes[0][which], new), np.maximum.reduceat(skin.boxes[1][which], new)
        normals = skin.normals[which]
        mean = unit(np.add.reduceat(normals, new))
        within = np.repeat(np.arange(len(new)), np.diff(new, append=len(which)))
        even = np.minimum.reduceat(np.einsum("ij,ij->i", normals, mean[within]), new)
        return Patches(which, np.append(new, len(which)), low, high, mean, _angle(even))

    def opposing(self, other: Patches, opposed: float) -> tuple[Array, Whole, Whole]:
        """Pairs of patches that may have a wall between them: how far apart at least, (k,), and both; nearest first."""
        way = (other.low + other.high - (self.low + self.high)[:, None]) / 2
        far = np.linalg.norm(way, axis=2)
        here, there = (np.linalg.norm(each.high - each.low, axis=1) / 2 for each in (self, other))
        reach, lean = here[:, None] + there, _angle(opposed)
        spread = lean + np.where(far > reach, np.arcsin(reach / np.maximum(far, reach + TOUCH)), np.pi)
        way /= np.maximum(far, TOUCH)[..., None]
        may = _angle(-np.einsum("abi,ai->ab", way, self.normal)) <= spread + self.turn[:, None]
        may &= _angle(np.einsum("abi,bi->ab", way, other.normal)) <= spread + other.turn
        may &= _angle(-self.normal @ other.normal.T) <= lean + self.turn[:, None] + other.turn
        one, two = np.nonzero(may)
        apart = boxes_apart((self.low[one], self.high[one]), (other.low[two], other.high[two]))
        order = np.argsort(apart, kind="stable")
        return apart[order], one[order], two[order]

    def triangles_of(self, patches: Whole) -> tuple[Whole, Whole]:
        """The triangles of some patches, and for each its patch's place among them."""
        many = self.first[patches + 1] - self.first[patches]
        owner = np.repeat(np.arange(len(patches)), many)
        place = np.arange(len(owner)) - np.repeat(np.cumsum(many) - many, many)
        return self.triangles[self.first[patches][owner] + place], owner


def _angle(cosine: Array | float) -> Array:
    found: Array = np.arccos(np.clip(cosine, -1.0, 1.0))
    return found


def _seeds(skin: Skin, seen: Sights, group: Whole, opposed: Array) -> Whole:
    """Rays worth a closer look: the least deep of each group from all its faces, no pair of triangles twice.

    Of their triangles each two may come nearer to each other than the shortest of these rays is long.
    """
    counted = np.flatnonzero((group >= 0) & (seen.cosine > np.append(opposed, 1.0)[group]))
    least = least_by(group[counted], seen.beneath[counted], len(opposed))
    low = counted[seen.beneath[counted] <= (least / opposed + CLOSE)[group[counted]]]
    order = low[np.argsort(seen.beneath[low], kind="stable")]
    size = len(skin.corners)
    order = order[_first_of(seen.source[order] * size + seen.target[order], 1)]
    faces = skin.part.face[seen.source[order]] * size + skin.part.face[seen.target[order]]
    order = order[_first_of(faces, EACH_FACE)]
    order = order[_first_of(group[order], SEEDS)]
    shortest = least_by(group[order], seen.length[order], len(opposed))
    return order[_pairs(skin, seen, order).at_least() < shortest[group[order]] + TOUCH]


def least_by(group: Whole, values: Array, count: int) -> Array:
    """The least value of each of so many groups, inf for an empty one."""
    least: Array = np.full(count, np.inf)
    np.minimum.at(least, group, values)
    return least


def _first_of(keys: Whole, most: int) -> Whole:
    """Index of the first `most` of each key, in their order."""
    order = np.argsort(keys, kind="stable")
    new = np.flatnonzero(np.diff(keys[order], prepend=-1))
    rank = np.arange(len(keys)) - np.repeat(new, np.diff(np.append(new, len(keys))))
    return np.sort(order[rank < most])


Ways = tuple[Array, Array, Array, Mask]  # distance, start, end, and whether it runs through a wall


def _pairs(skin: Skin, seen: Sights, which: Whole) -> Pairs:
    return _between(skin, seen.source[which], seen.target[which])


def _between(skin: Skin, one: Whole, other: Whole) -> Pairs:
    return Pairs(skin.corners[one], skin.corners[other], skin.normals[one], skin.normals[other])


def _ways(pairs: Pairs, opposed: Array) -> Ways:
    ways = between(pairs.one, pairs.other)
    return (*ways, pairs.through(ways, opposed))


def _best(owner: Whole, one: Whole, other: Whole, ways: Ways) -> dict[int, Near]:
    """The shortest way through a wall of each owner."""
    distance, start, end, held = ways
    good = np.flatnonzero(held)
    order = good[np.lexsort([distance[good], owner[good]])]
    order = order[np.diff(owner[order], prepend=-1) != 0]
    return {
        int(owner[k]): Near(float(distance[k]), int(one[k]), int(other[k]), start[k], end[k], settled=True)
        for k in order
    }


def _descended(skin: Skin, found: dict[int, Near], opposed: Array, surface: Whole) -> dict[int, Near]:
    """Each wall taken from neighbour to neighbour until none is nearer; all of them go step by step together."""
    found, moving = dict(found), {number: near for number, near in found.items() if near.distance > TOUCH}
    for _ in range(STEPS):
        if not moving:
            break
        walls, numbers = list(moving.values()), np.array(list(moving))
        owner, one, other, smooth = _neighbours(skin, walls, opposed[numbers], surface)
        number = numbers[owner]
        distance, start, end, held = _ways(_between(skin, one, other), opposed[number])
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
    worth = _between(skin, one, other).at_least() < np.array([wall.distance for wall in walls])[owner] - TOUCH
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
