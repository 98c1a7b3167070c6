"""A clearance as a function of where a seat is: what the plan gives for one pose, and a search asks of many at once.

The chance that gaps stay open: each rests on readings that are off by their instruments' errors, some on the same.

A gap is taken as linear in its readings' errors, which is exact to a few thousandths for errors of millimetres on
planes a hundred wide; the errors are normal and independent of each other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from math import inf
from statistics import NormalDist
from typing import Protocol

import numpy as np

from mounts.design.body import BodyBlock, Ring
from mounts.design.chance import SEED
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE
from mounts.geometry.frames import Array, Frame, Frames
from mounts.geometry.outline import Outline, circle
from mounts.geometry.rims import FINE, Picks, RimMinima, minimize_along, sample_rim
from mounts.geometry.ties import first_least, most_of, reaches
from mounts.identity import Ident, Pair

DRAWS = 4000  # of all readings' errors together
NORMAL = NormalDist()
Cost = Callable[[Array], Array]  # of points (m, 3) of the panel frame → (m,)


@dataclass(frozen=True, slots=True)
class ReadingGap:
    """A gap and what it rests on.

    Attributes:
        gap: as planned, mm.
        shares: by how much one standard deviation of each reading, by its identity, moves it, mm, with its sign.
    """

    gap: float
    shares: Mapping[Ident, float]

    @property
    def sd(self) -> float:
        """One standard deviation of the gap, mm."""
        return float(np.hypot.reduce(list(self.shares.values()), initial=0.0))

    @property
    def alone(self) -> float:
        """Chance that it stays open, 0 to 1."""
        return NORMAL.cdf(self.sigmas)

    @property
    def sigmas(self) -> float:
        """Standard deviations by which it is open."""
        return self.gap / self.sd if self.sd > 0 else inf if reaches(self.gap, 0.0) else -inf


def chance_clear(resting: Sequence[ReadingGap], exact: Ident | None = None) -> float:
    """Return the chance that gaps stay open all together, 0 to 1; one reading may be taken as exact.

    One gap has its closed form; of several the share of drawn cases, and never more than the least likely alone.
    """
    left = [
        ReadingGap(one.gap, {read: share for read, share in one.shares.items() if read != exact}) for one in resting
    ]
    least = min((one.alone for one in left), default=1.0)
    if len(left) < 2 or least == 0.0:
        return least
    reads = list(dict.fromkeys(read for one in resting for read in one.shares))
    shares = np.array([[one.shares.get(read, 0.0) for read in reads] for one in left]).reshape(len(left), len(reads))
    drawn = np.random.default_rng(SEED).normal(size=(DRAWS, len(reads)))
    gaps = np.array([one.gap for one in left]) + drawn @ shares.T
    return min(least, float((gaps >= 0).all(axis=1).mean()))


def worst_reading(resting: Sequence[ReadingGap]) -> tuple[Ident | None, float]:
    """Return the reading that would help most were it exact, and the chance that all gaps then stay open."""
    reads = dict.fromkeys(read for one in resting for read in one.shares)
    found = [(read, chance_clear(resting, read)) for read in reads]
    return most_of(found, key=lambda one: one[1]) if found else (None, 1.0)


class Measure(Protocol):
    """Distances as a function of the seat."""

    def __call__(self, frames: Frames, picks: Picks | None = None, /) -> RimMinima:
        """Return the gaps of n seats, (n, rows)."""


@dataclass(frozen=True, slots=True, eq=False)
class SpeakerRoom:
    """Distances that all share a code, limits and a reading.

    Attributes:
        code, wanted, least, reading, sd: as of a `Gap`.
        between: the two things, of each row, or once for all of them.
        measure: frames of n seats → distances and the places on the first thing; with picks, those at the picks.
    """

    code: str
    between: tuple[Pair, ...]
    wanted: float
    least: float
    measure: Measure
    reading: str = ""
    sd: float | None = None

    def pairs(self, rows: int) -> tuple[Pair, ...]:
        """Return the two things of every row."""
        return self.between * rows if len(self.between) == 1 else self.between

    def gaps(self, seat: Frame) -> Iterator[Gap]:
        """Yield the gaps of one seat, one for what lies between the same two things."""
        told = self.measure(Frames.of(seat))
        values, spots = told.values[0], told.spots[0]
        for pair in dict.fromkeys(self.between):
            rows = [k for k, one in enumerate(self.pairs(len(values))) if one == pair]
            row = rows[first_least(values[rows])]
            x, y, z = (float(value) for value in spots[row])
            limits = (self.wanted, self.least, PRACTICE)
            yield Gap(self.code, pair, float(values[row]), *limits, (x, y, z), self.reading, self.sd)


def gaps_of(rooms: Iterable[SpeakerRoom], seat: Frame) -> Iterator[Gap]:
    """Yield all gaps of one seat."""
    for room in rooms:
        yield from room.gaps(seat)


def rings_rims(rings: tuple[Ring, ...]) -> Array:
    """Return the circles of a body's profile, in its seat's frame, (rings · PARTS, FINE + 1, 3) float."""
    return np.concatenate([_at(sample_rim(circle(across)), level) for level, across in rings])


def gap_to_rims(fine: Array, cost: Cost, frames: Frames, picks: Picks | None = None) -> RimMinima:
    """Return the least cost on rims (parts, FINE + 1, 3) given in each seat's frame."""

    def place(local: Array) -> Array:
        return frames.out(local) if local.ndim == fine.ndim else frames.each_out(local)

    return minimize_along(fine, place, partial(flat_frame, cost), picks)


def rim_gaps(fine: Array, cost: Cost, frames: Frames, picks: Picks | None = None) -> RimMinima:
    """Return the least cost on rims (parts, FINE + 1, 3) of the panel frame, each taken in its seat's frame."""
    count = len(frames.origins)

    def place(points: Array) -> Array:
        return points if points.ndim > fine.ndim else np.broadcast_to(points, (count, *points.shape))

    return minimize_along(fine, place, lambda points: flat_frame(cost, frames.each_into(points)), picks)


@dataclass(frozen=True, slots=True, eq=False)
class Between:
    """Least distances between circles given in a seat's frame and a thing: from the rims of each to the other.

    Attributes:
        own: rims of the one, in the seat's frame, (parts, FINE + 1, 3) float.
        to_thing: distance of points of the panel frame from the thing.
        edges: the thing's rims, panel frame.
        to_own: distance of points of the seat's frame from the one.
    """

    own: Array
    to_thing: Cost
    edges: Array
    to_own: Cost

    def __call__(self, frames: Frames, picks: Picks | None = None, /) -> RimMinima:
        """Return the gaps of seats, as a `Measure` does."""
        cut = len(self.own)
        one = gap_to_rims(self.own, self.to_thing, frames, None if picks is None else picks[:, :cut])
        other = rim_gaps(self.edges, self.to_own, frames, None if picks is None else picks[:, cut:])
        return RimMinima(*(np.concatenate(pair, axis=1) for pair in zip(one, other, strict=True)))


def flat_frame(cost: Cost, points: Array) -> Array:
    """Return a cost of points (m, 3) for points of any shape (..., 3)."""
    return cost(points.reshape(-1, 3)).reshape(points.shape[:-1])


def upright_plane(outline: Outline, levels: tuple[float, ...]) -> Array:
    """Return the rims of an outline in the panel frame at several heights, (levels · PARTS, FINE + 1, 3) float."""
    rim = sample_rim(outline)
    return np.concatenate([_at(rim, level) for level in levels])


def _at(places: Array, level: float) -> Array:
    return np.concatenate([places, np.full((*places.shape[:-1], 1), level)], axis=-1)


def block_edges(block: BodyBlock) -> Array:
    """Return the rims of a block's two ends, and the edges that join their corners."""
    rim = sample_rim(block.outline)
    top, low = (block.frame.out(_at(rim, level)) for level in (0.0, -block.deep))
    corners = np.array([arc.at(0.5) for arc in block.outline.arcs])
    ends = [block.frame.out(_at(corners[:, None], level)) for level in (0.0, -block.deep)]
    share = np.linspace(0, 1, FINE + 1)[None, :, None]
    return np.concatenate([top, low, ends[0] * (1 - share) + ends[1] * share])
