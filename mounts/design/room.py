"""A clearance as a function of where a seat is: what the plan tells of one pose, and a search asks of many at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from mounts.design.body import Block, Ring, from_body
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE
from mounts.geometry.frames import Array, Frame, Frames
from mounts.geometry.outline import Outline, circle
from mounts.geometry.rims import FINE, PARTS, Told, least_along, rim_parts

Cost = Callable[[Array], Array]  # of points (m, 3) of the panel frame → (m,)


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """Distances that all share a code, limits and a reading.

    Attributes:
        code, wanted, least, reading, sd: as of a `Gap`.
        between: the two things, of each row, or once for all of them.
        measure: frames of n seats → distances (n, rows), and the places on the first thing (n, rows, 3).
    """

    code: str
    between: tuple[tuple[str, str], ...]
    wanted: float
    least: float
    measure: Callable[[Frames], Told]
    reading: str = ""
    sd: float | None = None

    def pairs(self, rows: int) -> tuple[tuple[str, str], ...]:
        """The two things of every row."""
        return self.between * rows if len(self.between) == 1 else self.between

    def gaps(self, seat: Frame) -> Iterator[Gap]:
        """The gaps of one seat, one for what lies between the same two things."""
        values, spots = (found[0] for found in self.measure(Frames.of(seat)))
        for pair in dict.fromkeys(self.between):
            rows = [k for k, one in enumerate(self.pairs(len(values))) if one == pair]
            row = rows[int(values[rows].argmin())]
            x, y, z = (float(value) for value in spots[row])
            limits = (self.wanted, self.least, PRACTICE)
            yield Gap(self.code, pair, float(values[row]), *limits, (x, y, z), self.reading, self.sd)


def gaps_of(rooms: Iterable[Room], seat: Frame) -> Iterator[Gap]:
    """All gaps of one seat."""
    for room in rooms:
        yield from room.gaps(seat)


def rings_to(rings: tuple[Ring, ...], cost: Cost, frames: Frames) -> Told:
    """Least cost on the circles of a body's profile, a row for each quarter."""
    fine = np.concatenate([_at(rim_parts(circle(across)), level) for level, across in rings])
    values, spots = on_rims(fine, cost, frames)
    return _least_of(values, spots, len(rings))


def block_to(block: Block, cost: Cost, frames: Frames) -> Told:
    """Least cost on the edges of a block that is told in a seat's frame: rows for the rims and what joins them."""
    return on_rims(_edges(block), cost, frames)


def on_rims(fine: Array, cost: Cost, frames: Frames) -> Told:
    """Least cost on rims (parts, FINE + 1, 3) that are told in each seat's frame."""

    def place(local: Array) -> Array:
        return frames.out(local) if local.ndim == fine.ndim else frames.each_out(local)

    return least_along(fine, place, partial(_flat, cost))


def rims_to_body(fine: Array, rings: tuple[Ring, ...], frames: Frames) -> Told:
    """Least distances from rims (parts, FINE + 1, 3) of the panel frame to a body in each seat's frame."""
    return _from_rims(fine, partial(from_body, rings), frames)


def rims_to_block(fine: Array, block: Block, frames: Frames) -> Told:
    """The same to a block that is told in each seat's frame."""
    return _from_rims(fine, partial(_flat, block.to), frames)


def joined(*told: Told) -> Told:
    """Rows of several measures side by side."""
    values, spots = zip(*told, strict=True)
    return np.concatenate(values, axis=1), np.concatenate(spots, axis=1)


def upright(outline: Outline, levels: tuple[float, ...]) -> Array:
    """Rims of an outline in the panel frame at several heights, (levels · PARTS, FINE + 1, 3) float."""
    flat = rim_parts(outline)
    return np.concatenate([_at(flat, level) for level in levels])


def _from_rims(fine: Array, cost: Cost, frames: Frames) -> Told:
    count = len(frames.origins)

    def place(points: Array) -> Array:
        return points if points.ndim > fine.ndim else np.broadcast_to(points, (count, *points.shape))

    return least_along(fine, place, lambda points: cost(frames.each_into(points)))


def _flat(cost: Cost, points: Array) -> Array:
    return cost(points.reshape(-1, 3)).reshape(points.shape[:-1])


def _at(flat: Array, level: float) -> Array:
    return np.concatenate([flat, np.full((*flat.shape[:-1], 1), level)], axis=-1)


def _edges(block: Block) -> Array:
    """The rims of a block's two ends, and the edges that join their corners."""
    flat = rim_parts(block.outline)
    top, low = (block.frame.out(_at(flat, level)) for level in (0.0, -block.deep))
    corners = np.array([arc.at(0.5) for arc in block.outline.arcs])
    ends = [block.frame.out(_at(corners[:, None], level)) for level in (0.0, -block.deep)]
    share = np.linspace(0, 1, FINE + 1)[None, :, None]
    return np.concatenate([top, low, ends[0] * (1 - share) + ends[1] * share])


def _least_of(values: Array, spots: Array, groups: int) -> Told:
    """Of rows that repeat after PARTS, the least of each kind."""
    values, spots = values.reshape(-1, groups, PARTS), spots.reshape(-1, groups, PARTS, 3)
    best = values.argmin(axis=1)[:, None]
    least = np.take_along_axis(values, best, axis=1)[:, 0]
    return least, np.take_along_axis(spots, best[..., None], axis=1)[:, 0]
