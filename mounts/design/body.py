"""The speaker as solid things: rings of its body, its terminals, its front; in a seat's frame or sampled in space.

Level is measured along the seat's z from the seat plane; the speaker stands `lift` above it on its squeezed gasket.

The speaker about its own axis: turned until its screws keep furthest from the tool paths of the panel's fixings.

Fixings and speaker screws often lie on nearly the same circle; which turn is best is a matter of a degree.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

import numpy as np
from numpy.typing import ArrayLike

from mounts.geometry.distance import depths
from mounts.geometry.frames import Array, Frame, Vector, clock_to_angle, clock_vector
from mounts.geometry.outline import Outline, circle, rectangle
from mounts.geometry.ties import MARGIN, first_least_rows, tie_ranks
from mounts.identity import FLANGE, SURROUND, Ident
from mounts.load.models.job import SpeakerFixing
from mounts.load.models.speaker import Speaker, Terminals
from mounts.shape.primitives import Section
from mounts.shape.sheet import Sheet

STEP = 0.5  # degrees: finer than anyone can set a speaker by eye
EQUAL = 1e-3  # mm: scores closer than this are equal
Ring = tuple[float, float]  # level, diameter
PLACES = 97  # along an outline that are tried first
Least = tuple[float, Vector]  # a least value, and the point where it is taken


def all_turns() -> Array:
    """Return every turn above −180 up to 180 in steps of half a degree, (720,) float."""
    return np.arange(-180 + STEP, 180 + STEP / 2, STEP)


def best_turn(turns: Array, scores: Array, first: int) -> float:
    """Return turn with the greatest score; of equal ones the smallest, of two opposite ones that of sign `first`."""
    best = turns[scores >= scores.max() - EQUAL]
    return float(min(best, key=lambda turn: (abs(turn), -first * turn)))


def turn_points(points: ArrayLike, turns: ArrayLike) -> Array:
    """Return the points (n, 2) turned clockwise by each of `turns` (t,) in degrees: (t, n, 2) float."""
    angle = -np.radians(np.asarray(turns, dtype=float))
    spin = np.stack([np.cos(angle), np.sin(angle), -np.sin(angle), np.cos(angle)], axis=-1).reshape(-1, 2, 2)
    placed: Array = np.asarray(points, dtype=float) @ spin
    return placed


def pockets_to_axes(seat: Frame, pockets: Array, hole: float, depth: float, axes: ArrayLike) -> Array:
    """Return the least distances from the surfaces of pockets to axes that run along the panel's z, mm.

    An axis passes the whole pocket, so the distance is the horizontal one to what the pocket covers seen along z: the
    ellipse of its mouth swept to that of its bottom. That is convex, so the distance is the greatest by which the axis
    lies beyond its reach in any direction. Every degree and square to the straight sides tell it to 1e-4 of distance
    and diameter, never too large.

    Args:
        seat: frame whose z is the pockets' axis; they go down from its plane.
        pockets: centres on the seat, (..., 2) float.
        hole, depth: of every pocket.
        axes: places on the face, (m, 2) float.

    Returns:
        (..., m) float, negative where an axis runs through a pocket.
    """
    basis = seat.axes[:2]  # rows: panel x and y of the seat's u, v, w
    square = np.arctan2(basis[1, 2], basis[0, 2]) + np.pi / 2
    around = np.append(np.radians(np.arange(360)), [square, square + np.pi])
    ways = np.stack([np.cos(around), np.sin(around)], axis=-1)
    flat = pockets @ basis[:, :2].T + np.asarray(seat.origin[:2])
    reach = hole / 2 * np.linalg.norm(ways @ basis[:, :2], axis=1) + np.maximum(ways @ (-depth * basis[:, 2]), 0)
    away = np.asarray(axes, dtype=float) - flat[..., None, :]
    beyond: Array = (away @ ways.T - reach).max(axis=-1)
    return beyond


@dataclass(frozen=True, slots=True)
class BodyBlock:
    """Prism by `deep` straight down from an outline round the origin of a frame, in the frame's plane."""

    frame: Frame
    outline: Outline
    deep: float

    def to(self, points: Array) -> Array:
        """Return the signed distances of points (n, 3) in the panel frame from the block, negative inside."""
        local = self.frame.into(points)
        aside = -depths(self.outline, local[:, :2])
        beyond = np.maximum(local[:, 2], -self.deep - local[:, 2])
        apart = np.hypot(np.maximum(aside, 0), np.maximum(beyond, 0))
        return np.where((aside < 0) & (beyond < 0), np.maximum(aside, beyond), apart)


def body_rings(speaker: Speaker, lift: float) -> tuple[Ring, ...]:
    """Return the level and diameter of every corner of the body's profile, from the seat to the rearmost point.

    Where its profile was not measured, before the first step or at all, the body is taken as wide as its cutout.
    """
    steps = [(step.depth, step.across) for step in speaker.body]
    if not steps or steps[0][0] > 0:
        steps.insert(0, (0.0, speaker.cutout.least))
    if steps[-1][0] < speaker.depth:
        steps.append((speaker.depth, steps[-1][1]))
    return tuple((lift - depth, across) for depth, across in steps)


def front_rings(speaker: Speaker, lift: float) -> tuple[tuple[Ident, float, float], ...]:
    """Return what stands in front of the seat about the axis and does not move: (what, level of its top, diameter)."""
    found = [(FLANGE, lift + speaker.flange.thickness, speaker.flange.across)]
    if speaker.front is not None and speaker.piston_diameter is not None:
        found.append((SURROUND, lift + speaker.front.height, speaker.piston_diameter))
    return tuple(found)


def screw_head(speaker: Speaker, lift: float, fixing: SpeakerFixing | None) -> Ring | None:
    """Return the level of a speaker screw's top and its head's diameter; None where no head stands on the flange."""
    if speaker.holes is None or fixing is None or fixing.screw is None or fixing.screw.head == "countersunk":
        return None
    return (lift + speaker.flange.thickness + fixing.screw.head_height, fixing.screw.head_diameter)


def least_on_body(seat: Frame, rings: tuple[Ring, ...], cost: Callable[[Array], Array]) -> Least:
    """Return the least value that a cost of points takes on a body's surface, its rear disc included, and where.

    Args:
        seat: frame of the rings.
        rings: the body's profile.
        cost: (n, 3) points in the panel frame → (n,) values.
    """
    run = _axis_gap(rings)
    corners = np.unique(np.append(run, np.linspace(0, run[-1], 161)))

    def points(places: Array, turns: Array) -> Array:
        levels, widths = np.array([*rings, (rings[-1][0], 0.0)]).T
        half, angle = np.interp(places, run, widths) / 2, np.radians(turns)
        return seat.out(np.column_stack([half * np.cos(angle), half * np.sin(angle), np.interp(places, run, levels)]))

    return _least_over(points, corners, np.linspace(0, 360, 181)[:-1], cost)


def least_on_lid(frame: Frame, outline: Outline, cost: Callable[[Array], Array]) -> Least:
    """Return the least cost on the flat inside an outline round the frame's origin, in the frame's plane, and where."""
    steps, rim = _rim(outline, 1e-4)

    def points(shares: Array, places: Array) -> Array:
        return frame.out(np.column_stack([rim(places) * shares[:, None], np.zeros(len(places))]))

    return _least_over(points, np.linspace(0, 1, 13), steps, cost)


def least_on_wall(frame: Frame, outline: Outline, deep: float, cost: Callable[[Array], Array]) -> Least:
    """Return the least cost on the wall that goes down by `deep` from an outline in the frame's plane, and where."""
    steps, rim = _rim(outline, 1e-3)

    def points(levels: Array, places: Array) -> Array:
        return frame.out(np.column_stack([rim(places), levels]))

    return _least_over(points, np.linspace(-deep, 0, 9), steps, cost)


def _rim(outline: Outline, sag: float) -> tuple[Array, Callable[[Array], Array]]:
    """Return the number of places evenly along an outline, and a function from places to its points (n, 2)."""
    points = np.array(outline.points(sag, least=8))
    closed = np.concatenate([points, points[:1]])
    steps = np.arange(len(closed), dtype=float)

    def rim(places: Array) -> Array:
        places = places % len(points)
        return np.stack([np.interp(places, steps, closed[:, axis]) for axis in (0, 1)], axis=1)

    return steps[: -1 : ceil(len(points) / PLACES)], rim


def _least_over(
    points: Callable[[Array, Array], Array], first: Array, second: Array, cost: Callable[[Array], Array]
) -> Least:
    """Return the least cost on a surface of two numbers, good to 1e-4 mm, by ever finer grids about the best."""
    a, b = (grid.ravel() for grid in np.meshgrid(first, second, indexing="ij"))
    values = cost(points(a, b))
    cells = np.stack(np.meshgrid(np.linspace(-1, 1, 17), np.linspace(-1, 1, 17)), axis=-1).reshape(-1, 2)
    best, spot = np.inf, np.zeros(3)
    for seed in np.argsort(tie_ranks(values), kind="stable")[:2]:
        centre = np.array([a[seed], b[seed]])
        reach = np.array([np.diff(first).max(), np.diff(second).max()])
        for _ in range(7):
            tries = centre + cells * reach
            tries[:, 0] = np.clip(tries[:, 0], first[0], first[-1])
            found = points(tries[:, 0], tries[:, 1])
            costs = cost(found)
            least = first_least_rows(costs)
            centre = tries[least]
            if costs[least] < best - MARGIN:
                best, spot = float(costs[least]), found[least]
            reach = reach * 0.25
    return best, (float(spot[0]), float(spot[1]), float(spot[2]))


def from_body(rings: tuple[Ring, ...], local: Array) -> Array:
    """Return signed distances of points (..., 3) in the seat's frame from a body's whole surface, negative inside."""
    aside, level = np.hypot(local[..., 0], local[..., 1]), local[..., 2]
    corners = [(rings[0][0], 0.0), *((at, across / 2) for at, across in rings), (rings[-1][0], 0.0)]
    square = np.full(aside.shape, np.inf)
    for (z0, r0), (z1, r1) in pairwise(corners):
        dz, dr = z1 - z0, r1 - r0
        up, out = level - z0, aside - r0
        share = np.minimum(np.maximum((up * dz + out * dr) / max(dz * dz + dr * dr, 1e-12), 0), 1)
        up -= share * dz
        out -= share * dr
        np.minimum(square, up * up + out * out, out=square)
    levels, halves = np.array(rings[::-1]).T * [[1.0], [0.5]]
    inside = (aside < np.interp(level, levels, halves)) & (level < levels[-1]) & (level > levels[0])
    apart: Array = np.where(inside, -1.0, 1.0) * np.sqrt(square)
    return apart


def body_sheet(seat: Frame, rings: tuple[Ring, ...]) -> Sheet:
    """Return the body's surface from the rear up, without its rear disc."""
    return Sheet(tuple(Section(seat.lifted(level), circle(across)) for level, across in reversed(rings)))


def _axis_gap(rings: tuple[Ring, ...]) -> Array:
    """Return the length along the profile to each of its corners, the rear's middle last."""
    levels, halves = np.array([*rings, (rings[-1][0], 0.0)]).T * [[1.0], [0.5]]
    return np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(levels), np.diff(halves)))])


def to_sheet(opening: Outline, thickness: float, points: Array) -> Array:
    """Return signed distances of points (n, 3) from a sheet with an opening, its front at z = 0; negative inside."""
    aside = depths(opening, points[:, :2])
    off = np.maximum(points[:, 2], -thickness - points[:, 2])  # above or below the sheet, negative within it
    beside = np.where(off > 0, np.hypot(aside, off), aside)
    return np.where(aside >= 0, beside, np.where(off > 0, off, -np.minimum(-aside, -off)))


def terminal_block(terminal: Terminals, seat: Frame, turn: float, lift: float) -> BodyBlock:
    """Return a terminal as a block; its inner side lies on the seat's axis."""
    hx, hy = clock_vector(terminal.at + turn)
    middle = (terminal.reach / 2 * hx, terminal.reach / 2 * hy)
    outline = rectangle(terminal.reach, terminal.width, 0.0).turned(clock_to_angle(terminal.at + turn))
    high, low = terminal.depth
    return BodyBlock(seat.shifted(*middle).lifted(lift - high), outline, low - high)


def terminal_corners(terminal: Terminals, turn: float, lift: float) -> Array:
    """Return the eight corners of a terminal in the seat's frame, (8, 3) float; its inner side lies on the axis."""
    ahead = np.array(clock_vector(terminal.at + turn))
    aside = np.array([ahead[1], -ahead[0]]) * terminal.width / 2
    flat = [ahead * reach + way * aside for reach in (0.0, terminal.reach) for way in (-1, 1)]
    return np.array([(*place, lift - depth) for place in flat for depth in terminal.depth])
