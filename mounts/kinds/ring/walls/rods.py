"""Round holes of a ring as rods, and their distances in space from its ruled surfaces."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import hypot, inf

import numpy as np
from numpy.linalg import norm
from numpy.typing import NDArray

from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL, Array, Frame, Frames
from mounts.geometry.outline import Point, circle
from mounts.identity import Ident, Role
from mounts.kinds.ring.pieces import Base, Fixing, Nut, RingSeat, SpeakerScrew, Tower, base_profile
from mounts.shape.primitives import Section
from mounts.shape.sheet import Sheet, least_gap, least_on, least_on_each, over

LONGEST = 100.0  # mm of a tool path that lie beside a ring
FEW = (5, 10)  # every so many of a rod's directions and levels are looked at first
LEVELS = 60  # at which the tower's root is looked at
EDGES = 720  # pieces into which a level edge of a sheet is cut
APART = 1e3  # mm: over any height
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
        """Return the signed distance of points (n, 3) from the rod, mm, negative inside."""
        local = self.frame.into(points)
        aside = np.hypot(local[:, 0] - self.at[0], local[:, 1] - self.at[1]) - self.diameter / 2
        return _signed(aside, np.maximum(self.low - local[:, 2], local[:, 2] - self.high))

    def level(self, height: float) -> float:
        """Return the level at which its axis passes a height over the face."""
        z = float(self.frame.out((*self.at, 0.0))[2])
        return (height - z) / self.frame.z[2]


def pocket_rod(seat: RingSeat, screw: SpeakerScrew) -> Rod:
    """Return a speaker screw's pocket as a rod."""
    return Rod(seat.frame, screw.at, screw.hole, -screw.depth, 0.0)


def nut_rod(seat: RingSeat, nut: Nut, at: Point) -> Rod:
    """Return the room of a nut as a rod, from below the face up."""
    below = seat.frame.into((0.0, 0.0, 0.0))[2] - hypot(*at) - nut.diameter
    return Rod(seat.frame, at, nut.diameter, min(float(below), nut.bears - 1.0), nut.bears)


def path_rod(fixing: Fixing) -> Rod:
    """Return a fixing's tool path as a rod, from the washer's seat to the front."""
    return Rod(PANEL, fixing.at, fixing.path, fixing.seat, inf)


def back_rod(fixing: Fixing) -> tuple[Ident, Rod]:
    """Return what is cut into the back at a fixing, from its step up: its recess, or its hole to the washer's seat."""
    if fixing.recess is None:
        return Ident(Role.HOLE, fixing.name), Rod(PANEL, fixing.at, fixing.hole, fixing.step, fixing.seat)
    return Ident(Role.RECESS, fixing.name), Rod(
        PANEL, fixing.at, fixing.recess.diameter, fixing.step, fixing.step + fixing.recess.depth
    )


def sheet_distances(
    sections: tuple[Section, ...], rods: Sequence[Rod], above: float = ALMOST, hidden: Base | None = None
) -> list[float]:
    """Return the least distance of each rod from the part of a sheet that lies over a height; inf if none does.

    Args:
        sections: of the sheet.
        rods: round holes.
        above: the height, mm.
        hidden: of what counts only what lies beside this base.
    """
    return list(_sheet_distances(sections, tuple(rods), above, hidden)) if rods else []


@lru_cache(maxsize=64)  # most rods are as they were once a single value of a job was edited
def _sheet_distances(
    sections: tuple[Section, ...], rods: tuple[Rod, ...], above: float, hidden: Base | None
) -> tuple[float, ...]:
    frames, numbers = (
        Frames.of(*(rod.frame for rod in rods)),
        [(*rod.at, rod.diameter / 2, rod.low, rod.high) for rod in rods],
    )
    u, v, half, low, high = np.array(numbers).T

    def away(points: Array, which: NDArray[np.intp]) -> Array:
        local = np.einsum("nk,nkj->nj", points - frames.origins[which], frames.axes[which])
        aside = np.hypot(local[:, 0] - u[which], local[:, 1] - v[which]) - half[which]
        apart = _signed(aside, np.maximum(low[which] - local[:, 2], local[:, 2] - high[which]))
        return apart if hidden is None else np.where(base_depths(hidden, points) < 0, apart, inf)

    return tuple(float(x) for x in least_on_each(Sheet(sections), away, len(rods), (over(above),)))


def _signed(aside: Array, beyond: Array) -> Array:
    """Signed distance of points from a rod, so far aside of it and beyond its ends."""
    apart: Array = np.hypot(np.maximum(aside, 0), np.maximum(beyond, 0))
    return np.where((aside < 0) & (beyond < 0), np.maximum(aside, beyond), apart)


def open_sheet_distance(sections: tuple[Section, ...], rod: Rod) -> float:
    """Return the least distance of a ruled surface from a rod that the face cuts aslant, mm.

    Only the part of the rod's wall over the face counts.
    """
    ends = (Section(rod.frame.lifted(level), circle(rod.diameter, rod.at)) for level in (rod.low, rod.high))
    return least_gap(Sheet(sections), Sheet(tuple(ends)), (over(ALMOST),))


def outside_distances(tower: Tower, base: Base, rods: Sequence[Rod]) -> list[float]:
    """Return the least distance of each rod from the outside: the tower's over the base, and the base's edge below it.

    The tower's broken edge is no wall. What of the rod lies over the base is nowhere beside the base's edge; what lies
    in the base may be nearest to the tower's root above it. Where the tower leans out beyond the base's edge within the
    base's height, it is the outside.
    """
    wall = np.array(base.outline.points(0.01, least=8))
    levels, sheet = np.linspace(0.0, base.thickness, 7), Sheet(tower.outside[:3])
    edge = np.column_stack([np.repeat(wall, len(levels), axis=0), np.tile(levels, len(wall))])
    found = sheet_distances(sheet.sections, rods, base.thickness)  # from under the base's top as well, past its foot
    if leans_out(tower, base):
        foot = sheet.sections[0].frame.origin[2]
        at = [(edge[edge[:, 2] == z], z) for z in levels]
        kept = [some if z <= foot else some[~lies_inside(level_edge(sheet, z), some)] for some, z in at]
        edge = np.concatenate(kept)
        beyond = sheet_distances(sheet.sections, rods, ALMOST, base)
        found = [min(pair) for pair in zip(found, beyond, strict=True)]
    for number, rod in enumerate(rods):
        within = replace(rod, high=min(rod.high, rod.level(base.thickness)))
        if within.low < within.high:
            found[number] = min(found[number], float(within.to(edge).min()))
    return found


def leans_out(tower: Tower, base: Base) -> bool:
    """Return whether the tower stands out beyond the base's edge within the base's height."""
    return float(base_depths(base, level_edge(Sheet(tower.outside[:3]), base.thickness)).min()) < -ALMOST


def base_depths(base: Base, points: Array) -> Array:
    """Return how deep points (n, 3) within a base's height lie inside its side, mm level; negative outside."""
    heights, by = np.array(base_profile(base)).T
    found = depths(base.outline, points[:, :2]) + np.interp(points[:, 2], heights, by)
    return np.where(points[:, 2] > base.thickness, inf, found)


def tower_wall(tower: Tower, base: Base) -> float:
    """Return the least wall between bore and outside: over the base, and where the tower stands beyond its edge."""
    if not leans_out(tower, base):
        return tower.wall
    sheet = Sheet(tower.outside[:3])
    levels = np.linspace(base.thickness, sheet.sections[0].frame.origin[2], LEVELS)
    edges = np.array([level_edge(sheet, float(z)) for z in levels])
    out = base_depths(base, edges.reshape(-1, 3)).reshape(len(levels), -1) < 0
    left = out.cumprod(axis=0).sum(axis=0) - 1  # on each ruling, the lowest level down to which it is out
    root = edges[left, np.arange(edges.shape[1])][left >= 0]
    return min(tower.wall, least_on(Sheet(tower.inside), lambda at: norm(at[:, None] - root, axis=2).min(axis=1)))


@lru_cache(maxsize=64)  # each pocket of a plan asks for the same few
def level_edge(sheet: Sheet, z: float) -> Array:
    """Return where a sheet passes a height, (n, 3), counter-clockwise; not to be altered."""
    return sheet.at_height(np.linspace(0.0, sheet.spans, EDGES, endpoint=False), z)


def lies_inside(edge: Array, points: Array) -> NDArray[np.bool_]:
    """Return which points (n, 3) lie inside a level polygon (m, 3), (n,): those from which a level ray leaves it."""
    (x, y, _), (u, v, _) = edge.T, np.roll(edge, -1, axis=0).T
    over = points[:, 1:2] < y
    crossed = over != (points[:, 1:2] < v)
    with np.errstate(divide="ignore", invalid="ignore"):
        beside = points[:, :1] < x + (points[:, 1:2] - y) * (u - x) / (v - y)
    inside: NDArray[np.bool_] = (crossed & beside).sum(axis=1) % 2 == 1
    return inside


def in_material(tower: Tower, base: Base, paths: Sequence[Rod]) -> list[Rod]:
    """Return tool paths as far up as each is cut out of something: to the base's top, or where it leaves the tower."""
    if not paths:
        return []
    centres, half = np.array([path.at for path in paths]), np.array([path.diameter / 2 for path in paths])

    def depth(points: Array, which: NDArray[np.intp]) -> Array:
        away = points[:, :2] - centres[which]
        aside = np.hypot(away[:, 0], away[:, 1]) - half[which]
        return np.where(aside <= 0, -points[:, 2], APART + aside)  # the search comes to a path that is merely touched

    sides = -least_on_each(Sheet(tower.outside), depth, len(paths))
    top, rim = tower.outside[-1], np.radians(np.arange(0, 360, 2))
    places = centres[:, None] + half[:, None, None] * np.column_stack([np.cos(rim), np.sin(rim)])
    level = (top.frame.origin[:2] - places) @ top.frame.z[:2] / top.frame.z[2] + top.frame.origin[2]
    local = top.frame.into(np.concatenate([places, level[..., None]], axis=2).reshape(-1, 3))[:, :2]
    seats = np.where(depths(top.outline, local).reshape(level.shape) >= 0, level, -inf).max(axis=1)
    return [
        replace(path, high=max(base.thickness, *map(float, pair)))
        for path, *pair in zip(paths, sides, seats, strict=True)
    ]


def within_material(tower: Tower, base: Base, distance: Callable[[Array], Array]) -> Callable[[Array], Array]:
    """Return a distance of points (n, 3) → (n,) that is inf where they lie over the base and outside the tower."""
    sheet, top = Sheet(tower.outside), tower.outside[-1].frame

    def kept(points: Array) -> Array:
        found = np.where((points[:, 2] > base.thickness) & (top.into(points)[:, 2] > 0), inf, distance(points))
        for z in np.unique(points[points[:, 2] > base.thickness, 2]):
            at = np.flatnonzero(points[:, 2] == z)
            found[at[~lies_inside(level_edge(sheet, float(z)), points[at])]] = inf
        return found

    return kept


def least_on_rod(one: Rod, distance: Callable[[Array], Array], enough: float = inf) -> float:
    """Return the least distance of a rod's wall over the face from a thing, good to 0.01 mm.

    Coarse places first bound where on the wall it can be: a distance changes by no more than the way between two.

    Args:
        one: the rod.
        distance: of points (n, 3) → (n,).
        enough: a least distance surely over this need only be known roughly.
    """
    turns, high = np.radians(np.arange(0, 360, 2)), min(one.high, one.low + LONGEST)
    levels = np.linspace(one.low, high, max(2, int((high - one.low) / 0.2) + 1))
    x, y = (centre + one.diameter / 2 * wave(turns) for centre, wave in zip(one.at, (np.cos, np.sin), strict=True))

    def wall(across: NDArray[np.intp], up: NDArray[np.intp]) -> tuple[Array, NDArray[np.bool_]]:
        points = one.frame.out(np.column_stack([x[across], y[across], levels[up]]))
        return points, points[:, 2] > 0

    few, rows = np.arange(0, len(turns), FEW[0]), np.unique([*range(0, len(levels), FEW[1]), len(levels) - 1])
    points, counted = wall(*(part.ravel() for part in np.meshgrid(few, rows, indexing="ij")))
    found = distance(points)
    finite = np.isfinite(found)  # others do not count, but what lies beside them may
    least, apart = float(found[counted & finite].min(initial=inf)), one.diameter * np.radians(FEW[0])
    found = np.where(finite, found, -inf)
    apart = hypot(apart, FEW[1] * (levels[1] - levels[0]))
    if found.min() - apart > enough:
        return least
    likely = (found <= least + apart).reshape(len(few), len(rows))
    across, up = np.meshgrid(np.arange(len(turns)), np.arange(len(levels)), indexing="ij")
    near = likely[across // FEW[0], np.minimum(up // FEW[1], len(rows) - 1)]
    points, counted = wall(across[near], up[near])
    return float(distance(points[counted]).min()) if counted.any() else inf
