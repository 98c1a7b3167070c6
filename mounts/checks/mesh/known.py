"""Least walls between surfaces that are known, as if each triangle of the one were measured against each of the other.

Pairs of patches, then of triangles, that lie too far apart or do not face each other are left out; the nearest of the
others are measured first. What is too far is at first what the plan expects, then the least wall so far. A wall is told
as the plan tells it, without what else is cut away between the two.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, pi, sin

import numpy as np

from mounts.checks.mesh.nearest import ASLANT, Near, first_of, pairs_of
from mounts.checks.mesh.skin import Skin
from mounts.geometry.apart import TOUCH, between
from mounts.geometry.facets import Mask, Whole, normalize
from mounts.geometry.frames import Array
from mounts.geometry.ties import ODD, tie_ranks

CELL, FACINGS = 8.0, 1.5  # mm across a patch at most, and steps from no normal to a whole one
CLOSE = 0.1  # mm over what is expected, up to which walls are looked for first
FEW, MORE = 16, 8  # pairs of each wall looked at first, and so many times as many in each turn after it
ALONG = np.array(  # directions along which patches are told apart: axes, level ones 22.5 degrees apart, ones at 45
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
    + [[cos(turn), sin(turn), 0.0] for turn in (k * pi / 8 for k in range(1, 8) if k != 4)]
    + [[cos(turn) * 0.5**0.5, sin(turn) * 0.5**0.5, 0.5**0.5] for turn in (k * pi / 4 for k in range(8))]
)
ALL, AXES, ASIDE = slice(None), slice(3), slice(3, None)
Sides = tuple[Array, Array]
Owned = tuple[Whole, Whole, Whole]  # of pairs: numbers of their owners, of the ones and of the others


@dataclass(frozen=True, slots=True, eq=False)
class Patches:
    """A part's m triangles in n patches, each of one surface, near to each other and facing about the same way.

    Attributes:
        skin: whose triangles they are.
        triangles: (m,) int, numbers of the triangles, patch by patch.
        first, count: (n,) int, where each patch begins, and of how many triangles it is.
        surface: (n,) int, which each belongs to.
        sides: least and greatest coordinate of each along each of ALONG, (d, n) float twice, mm.
        each: the same of each triangle, (d, m) float twice, mm.
        normal, turn: (n, 3) and (n,) float, mean normal of each, and by how much another turns from it, rad.
    """

    skin: Skin
    triangles: Whole
    first: Whole
    count: Whole
    surface: Whole
    sides: Sides
    each: Sides
    normal: Array
    turn: Array

    @staticmethod
    def of(skin: Skin, surface: Whole) -> Patches:
        """Return the patches of a part whose triangles belong to surfaces (m,)."""
        steps = np.hstack([skin.corners.mean(axis=1) / CELL, skin.normals * FACINGS])
        cells = np.column_stack([surface, np.floor(steps + ODD).astype(np.int64)])
        cells -= cells.min(axis=0)
        keys = np.ravel_multi_index(tuple(cells.T), tuple(cells.max(axis=0) + 1))
        order = np.argsort(keys, kind="stable")
        first = np.flatnonzero(np.diff(keys[order], prepend=-1))
        count = np.diff(first, append=len(order))
        mean = normalize(np.add.reduceat(skin.normals[order], first))
        even = np.einsum("ij,ij->i", skin.normals[order], np.repeat(mean, count, axis=0))
        a, b, c = ((ALONG @ skin.part.vertices.T)[:, corner] for corner in skin.part.triangles.T)
        low, high = np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)
        sides = np.minimum.reduceat(low[:, order], first, axis=1), np.maximum.reduceat(high[:, order], first, axis=1)
        turn = _angle(np.minimum.reduceat(even, first))
        return Patches(skin, order, first, count, surface[order[first]], sides, (low, high), mean, turn)

    def near(self, one: Mask, other: Mask, below: float) -> tuple[Whole, Whole]:
        """Return pairs of patches, of two masks of surfaces, whose boxes are less than `below` apart each way."""
        low, high = (side[:3].T for side in self.sides)
        a, b = np.flatnonzero(one[self.surface]), np.flatnonzero(other[self.surface])
        for _ in range(2):  # leave out what is far from all of the other's
            if len(b):
                a = a[((low[a] < high[b].max(axis=0) + below) & (high[a] > low[b].min(axis=0) - below)).all(axis=1)]
            a, b = b[: len(b) * len(a)], a
        near = np.ones((len(a), len(b)), dtype=bool)
        for axis in range(3):
            near &= low[a, axis, None] < high[b, axis] + below
            near &= high[a, axis, None] > low[b, axis] - below
        i, j = np.nonzero(near)
        return a[i], b[j]

    def opposing(self, one: Whole, other: Whole, opposed: Array) -> Mask:
        """Return whether between patches may run a way along both normals, whose least cosine to them is `opposed`."""
        low, high = (side[:3].T for side in self.sides)
        way, lean = (low[other] + high[other] - low[one] - high[one]) / 2, _angle(opposed)
        size = (high[one] - low[one] + high[other] - low[other]) / 2
        far, reach = np.linalg.norm(way, axis=1), np.linalg.norm(size, axis=1)
        spread = lean + np.where(far > reach, np.arcsin(reach / np.maximum(far, reach + TOUCH)), np.pi)
        way /= np.maximum(far, TOUCH)[:, None]
        here, there, turn, back = self.normal[one], self.normal[other], self.turn[one], self.turn[other]
        may = _angle(-np.einsum("ij,ij->i", here, there)) <= lean + turn + back
        may &= _angle(-np.einsum("ij,ij->i", way, here)) <= spread + turn
        may &= _angle(np.einsum("ij,ij->i", way, there)) <= spread + back
        return may

    def crossed(self, one: Whole, other: Whole) -> tuple[Whole, Whole, Whole]:
        """Return each triangle of one patch with each of the other: number of the pair of patches, and both."""
        (a, p), (b, q) = ((self.first[some], self.count[some]) for some in (one, other))
        pair = np.repeat(np.arange(len(one)), p * q)
        place = np.arange(len(pair)) - np.repeat(np.cumsum(p * q) - p * q, p * q)
        return pair, self.triangles[a[pair] + place // q[pair]], self.triangles[b[pair] + place % q[pair]]


def least_between(
    patches: Patches, ends: tuple[Mask, Mask], opposed: Array, expected: Array, *, thicker: bool = True
) -> dict[int, Near]:
    """Return the least wall between each two sets of surfaces by its number; none where no way runs along both normals.

    Args:
        skin: whose triangles they are.
        surface: (m,) int, which each triangle belongs to.
        ends: (n, surfaces) twice, the sets.
        opposed: (n,) float, least cosine between a wall's way and the normals at its ends.
        expected: (n,) float, mm, how thick each may be; this bears on the time alone.
        thicker: whether those are measured too that are thicker than that by more than CLOSE.
    """
    found = dict[int, Near]()
    across = float(np.linalg.norm(np.ptp(patches.skin.part.vertices, axis=0)))
    for below in (np.maximum(expected, 0.0) + CLOSE, np.full(len(opposed), across))[: 1 + thicker]:
        left = [k for k in range(len(opposed)) if k not in found]
        near = [patches.near(ends[0][k], ends[1][k], float(below[k])) for k in left]
        if near:
            one, other = (np.concatenate(some) for some in zip(*near, strict=True))
            owner = np.repeat(left, [len(some) for some, _ in near])
            found |= dict(_least_below(patches, (owner, one, other), opposed, below.copy()))
    return found


def _least_below(patches: Patches, pairs: Owned, opposed: Array, below: Array) -> Iterator[tuple[int, Near]]:
    """Yield ever thinner walls of each owner of pairs of patches, all thinner than `below`, which follows."""
    owner, one, other = pairs
    may = np.flatnonzero(patches.opposing(one, other, opposed[owner]))
    owner, one, other = owner[may], one[may], other[may]
    low, high = patches.sides
    middle = (low + high)[:3].T
    for some in _by_turns(owner, _gaps(patches.sides, one, other), below, middle[one] + middle[other]):
        pair, left, right = patches.crossed(one[some], other[some])
        yield from _measured(patches, (owner[some[pair]], left, right), opposed, below)


def _measured(patches: Patches, pairs: Owned, opposed: Array, below: Array) -> Iterator[tuple[int, Near]]:
    """Yield ever thinner walls of each owner of pairs of triangles, all thinner than `below`, which follows."""
    (owner, one, other), corners = pairs, patches.skin.corners
    least = np.zeros(len(owner))
    for bound in (_level, _aside, _beneath):
        least = np.maximum(least, bound(patches, one, other, opposed[owner]))
        near = np.flatnonzero(least < below[owner])
        owner, one, other, least = owner[near], one[near], other[near], least[near]
    for some in _by_turns(owner, least, below, corners[one].mean(axis=1) + corners[other].mean(axis=1)):
        yield from _thinnest(patches.skin, (owner[some], one[some], other[some]), opposed, below)


def _by_turns(owner: Whole, least: Array, below: Array, places: Array) -> Iterator[Whole]:
    """Yield the numbers of pairs, a few of each owner at first, those that may be least before all others.

    What is no longer below the owner's bound, which falls from turn to turn, is left out. Rounding does not change the
    order of equals, which is by place.
    """
    order = np.lexsort([places @ ASLANT, tie_ranks(least, TOUCH), owner])
    many = FEW
    while len(order := order[least[order] < below[owner[order]]]):
        now = np.zeros(len(order), dtype=bool)
        now[first_of(owner[order], many)] = True
        yield order[now]
        order, many = order[~now], MORE * many


def _gaps(sides: Sides, one: Whole, other: Whole, which: slice = ALL) -> Array:
    """Return how far each one and its other are apart at least along any of ALONG, (k,) mm."""
    low, high = sides
    gap = np.zeros(len(one))
    for along in range(*which.indices(len(ALONG))):
        a, b = low[along], high[along]
        np.maximum(gap, np.maximum(a[one] - b[other], a[other] - b[one]), out=gap)
    return gap


def _level(patches: Patches, one: Whole, other: Whole, _: Array) -> Array:
    """Return how far triangles are apart at least along an axis, (k,) mm."""
    return _gaps(patches.each, one, other, AXES)


def _aside(patches: Patches, one: Whole, other: Whole, _: Array) -> Array:
    """Return the same along the other directions, (k,) mm."""
    return _gaps(patches.each, one, other, ASIDE)


def _beneath(patches: Patches, one: Whole, other: Whole, lean: Array) -> Array:
    """Return what a wall between triangles is at least that oppose each other, each behind the other; inf if none."""
    pairs = pairs_of(patches.skin, one, other)
    bare, deep = pairs.depths()
    may = (np.einsum("ij,ij->i", pairs.normals, pairs.other_normals) < -lean) & (deep > 0) & (bare * lean <= deep)
    return np.where(may, bare, np.inf)


def _thinnest(skin: Skin, pairs: Owned, opposed: Array, below: Array) -> Iterator[tuple[int, Near]]:
    """Yield the least wall of each owner that is thinner than `below`, which follows; the first of equal ones."""
    owner, one, other = pairs
    corners = pairs_of(skin, one, other)
    ways = distance, start, end = between(corners.one, corners.other)
    good = np.flatnonzero((distance < below[owner]) & corners.through(ways, opposed[owner]))
    order = good[np.lexsort([good, tie_ranks(distance[good], TOUCH), owner[good]])]
    for k in order[np.diff(owner[order], prepend=-1) != 0]:
        below[owner[k]] = distance[k] - TOUCH
        yield int(owner[k]), Near(float(distance[k]), int(one[k]), int(other[k]), start[k], end[k], settled=True)


def _angle(cosine: Array) -> Array:
    found: Array = np.arccos(np.clip(cosine, -1.0, 1.0))
    return found
