"""Ruled surfaces through matched sections as functions of two numbers: points, normals, and least gaps between two."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, inf

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array
from mounts.geometry.outline import Line, Span
from mounts.shape.primitives import Section

Mask = NDArray[np.bool_]
SPREAD = (4.0, 1.5)  # mm between the places that are tried first, along the spans and up the rulings
BASINS = 6  # low places near which the least value is looked for
FINEST, ROUNDS = 12, 40  # halvings of the width of looking, and rounds at most until all are done
EVERY = 6  # so many rows apart a sheet's points are enough to tell which of its rulings is nearest
CHUNK = 64  # points whose distances to all of a grid are taken at once: few enough to stay in the cache
HALVINGS = 6  # of the way to the edge of what counts; each round begins where the last one ended
SIDES = np.linspace(-1, 1, 5)
EDGE = np.abs(SIDES) == 1


@dataclass(frozen=True, slots=True)
class Sheet:
    """The surface of a `Ruled` body between its first and last section, without caps.

    A point is told by `along`, span number and fraction of it (2.5 is the middle of the third span), and `up`, section
    number and fraction of the way to the next.
    """

    sections: tuple[Section, ...]

    @property
    def spans(self) -> int:
        """Number of spans in every section."""
        return len(self.sections[0].outline.spans)

    def at(self, along: Array, up: Array) -> Array:
        """Points of the sheet, (n, 3) float, for `along` in [0, spans] and `up` in [0, sections − 1], each (n,)."""
        return _between(_rulings(self)(along), up)

    def normal(self, along: Array, up: Array) -> Array:
        """Outward unit normals, (n, 3) float, by central differences."""
        step = 1e-5
        ahead = self.at(along + step, up) - self.at(along - step, up)
        above = self.at(along, up + step) - self.at(along, up - step)
        found = np.cross(ahead, above)
        unit: Array = found / np.linalg.norm(found, axis=1, keepdims=True)
        return unit


Keep = Callable[[Array], Mask]
Rulings = Callable[[Array], Array]  # along (n,) → where those rulings meet each section, (sections, n, 3)


def _all(points: Array) -> Mask:
    return np.ones(len(points), dtype=bool)


def least_gap(one: Sheet, other: Sheet, keep: Keep = _all) -> float:
    """Least distance between two sheets in mm; inf if nothing of `other` counts.

    Good to 1e-3, and to 5e-3 where the sheets cross, which gives 0.

    Args:
        one, other: the sheets.
        keep: tells for (n, 3) points of `other` whether they count.
    """
    rulings, knots, rows = _rulings(one), _knots(one), _rows(one)[::EVERY]
    rings = rulings(knots[:-1])
    grid = np.concatenate([_between(rings, np.full(len(knots) - 1, row)) for row in rows])
    halves = np.einsum("nk,nk->n", grid, grid) / 2

    def away(points: Array) -> Array:
        pieces = np.array_split(points, len(points) // CHUNK + 1)
        nearest = np.concatenate([np.argmax(piece @ grid.T - halves, axis=1) for piece in pieces])
        return _to_sheet(rulings, knots, points, (nearest % (len(knots) - 1)).astype(float))

    return least_on(other, away, keep)


def least_on(sheet: Sheet, cost: Callable[[Array], Array], keep: Keep | None = None, *, enough: float = inf) -> float:
    """Least value that a cost of points (n, 3) → (n,) takes on a sheet; inf if nothing of it counts.

    Args:
        sheet: where.
        cost: of points.
        keep: tells which points count; where it is not given, those whose cost is finite.
        enough: a least value over this need only be told as the places that are tried first have it.
    """

    def field(points: Array) -> Array:
        if keep is None:
            return cost(points)
        found, kept = np.full(len(points), inf), keep(points)
        if kept.any():
            found[kept] = cost(points[kept])
        return found

    return _least(sheet, field, keep or (lambda points: np.isfinite(cost(points))), enough)


def _least(sheet: Sheet, field: Callable[[Array], Array], keep: Keep, enough: float) -> float:
    """Places evenly spread find where a field is low, then ever finer grids about the lowest of them the least.

    Args:
        sheet: where.
        field: of points (n, 3) → (n,), inf where they do not count.
        keep: tells which points count.
        enough: a least value over this is told as the places that are tried first have it.
    """
    rulings, knots, rows = _rulings(sheet), _knots(sheet), _rows(sheet)
    turn, top = len(knots) - 1, len(rows) - 1
    turns, tops = np.arange(turn + 1), np.arange(top + 1)

    def points(places: Array) -> Array:
        along = np.interp(places[:, 0] % turn, turns, knots)
        return _between(rulings(along), np.interp(places[:, 1], tops, rows))

    def told(places: Array) -> tuple[Array, Array]:
        """The places, none beyond the edge of what counts that can be on it, and what the field is there."""
        found = field(points(places.reshape(-1, 2))).reshape(places.shape[:-1])
        places, moved = _drawn_in(places, np.isfinite(found), lambda flat: keep(points(flat)))
        if len(moved[0]):
            found[moved] = field(points(places[moved]))
        return places, found

    places, found = told(np.moveaxis(np.indices((turn, top + 1), dtype=float), 0, -1))
    starts, best = _lowest(places, found), found.min()
    window, width = np.stack(np.meshgrid(SIDES, SIDES, indexing="ij"), axis=-1), np.ones(len(starts))
    for _ in range(ROUNDS if np.isfinite(best) and best <= enough else 0):
        tries = starts[:, None, None, :] + window * width[:, None, None, None]
        tries[..., 1] = np.clip(tries[..., 1], 0, top)
        places, found = told(tries)
        best = min(best, found.min())
        lowest = found.reshape(len(starts), -1).argmin(axis=1)
        starts = places.reshape(len(starts), -1, 2)[np.arange(len(starts)), lowest]
        aside, end = EDGE[lowest // len(SIDES)], np.isin(starts[:, 1], (0.0, top))
        on_edge = aside | (EDGE[lowest % len(SIDES)] & ~end)
        width *= np.where(on_edge, 1.0, 0.5)  # from the window's edge the way goes on, as along a narrow valley
        if width.max() < 0.5**FINEST:
            break
    return float(best)


def _drawn_in(places: Array, kept: Mask, keep: Keep) -> tuple[Array, tuple[NDArray[np.intp], ...]]:
    """Places (..., n, 2) in columns of rising `up`, and the indices of those that were moved.

    One that does not count beside one in its column that does is moved to the edge between them, which is where the
    least value often lies.
    """
    beside = np.full(kept.shape, 0)
    beside[..., 1:] = np.where(kept[..., :-1], -1, 0)
    beside[..., :-1] = np.where(kept[..., 1:], 1, beside[..., :-1])
    index = np.nonzero(~kept & (beside != 0))
    if not len(index[0]):
        return places, index
    outside, inside = places[index], places[(*index[:-1], index[-1] + beside[index])]
    for _ in range(HALVINGS):
        middle = (outside + inside) / 2
        counts = keep(middle)[:, None]
        outside, inside = np.where(counts, outside, middle), np.where(counts, middle, inside)
    moved = places.copy()
    moved[index] = inside
    return moved, index


def _lowest(places: Array, field: Array) -> Array:
    """The BASINS lowest places, (k, 2), of a field (n, m) whose first index goes round, none above a neighbour."""
    n, m = field.shape
    around = np.pad(np.pad(field, ((1, 1), (0, 0)), mode="wrap"), ((0, 0), (1, 1)), constant_values=np.inf)
    beside = np.min([around[i : i + n, j : j + m] for i in range(3) for j in range(3)], axis=0)
    order = np.argsort(np.where(field <= beside, field, np.inf), axis=None)
    return places.reshape(-1, 2)[order[:BASINS]]


def _to_sheet(rulings: Rulings, knots: Array, points: Array, place: Array) -> Array:
    """Distances (n,) of points (n, 3) to a sheet, from places (n,) among its knots near which the least ones lie."""
    turn, both = len(knots) - 1, np.concatenate([points, points])
    turns = np.arange(turn + 1)

    def apart(at: Array, points: Array) -> Array:
        return _to_rulings(rulings(np.interp(at % turn, turns, knots)), points)

    least, width = apart(place, points), 1.0
    for _ in range(10):
        sides = np.stack([place - width, place + width])
        for side, found in zip(sides, apart(sides.ravel(), both).reshape(2, -1), strict=True):
            nearer = found < least
            place, least = np.where(nearer, side, place), np.where(nearer, found, least)
        width /= 2
    return least


def _to_rulings(rings: Array, points: Array) -> Array:
    """Distance from each point (n, 3) to its own ruling, which runs through (sections, n, 3)."""
    rise, away = rings[1:] - rings[:-1], points - rings[:-1]
    share = np.einsum("pnk,pnk->pn", away, rise) / np.maximum(np.einsum("pnk,pnk->pn", rise, rise), 1e-18)
    away -= np.minimum(np.maximum(share, 0), 1)[..., None] * rise
    apart: Array = np.sqrt(np.einsum("pnk,pnk->pn", away, away).min(axis=0))
    return apart


def _knots(sheet: Sheet) -> Array:
    """Values of `along` from 0 to the number of spans, spread evenly by length; at least one a span."""
    long = [max(section.outline.spans[k].length for section in sheet.sections) for k in range(sheet.spans)]
    counts = [max(1, ceil(length / SPREAD[0])) for length in long]
    return np.append(np.concatenate([k + np.arange(n) / n for k, n in enumerate(counts)]), sheet.spans)


def _rows(sheet: Sheet) -> Array:
    """Values of `up` from the first section to the last, spread evenly by the length of the longest rulings."""
    rings = _rulings(sheet)(np.arange(0, sheet.spans, 0.125))
    long = [float(np.linalg.norm(high - low, axis=1).max()) for low, high in pairwise(rings)]
    counts = [max(1, ceil(length / SPREAD[1])) for length in long]
    return np.append(np.concatenate([k + np.arange(n) / n for k, n in enumerate(counts)]), len(long))


def _between(rings: Array, up: Array) -> Array:
    """Points (n, 3) at `up` (n,) on rulings that meet the sections in (sections, n, 3)."""
    low = np.minimum(np.maximum(up.astype(int), 0), len(rings) - 2)
    rest, index = (up - low)[:, None], np.arange(len(up))
    points: Array = rings[low, index] * (1 - rest) + rings[low + 1, index] * rest
    return points


def _rulings(sheet: Sheet) -> Rulings:
    """Where rulings meet the sections, as a function of `along`: every section's spans told as numbers once."""
    rows = np.array([[_row(span) for span in section.outline.spans] for section in sheet.sections])
    columns = np.ascontiguousarray(np.moveaxis(rows, -1, 0))  # so that each number of many spans lies together
    axes = np.array([section.frame.axes for section in sheet.sections])[:, None]
    origins = np.array([section.frame.origin for section in sheet.sections])[:, None]
    across, up = axes[..., 0], axes[..., 1]
    straight, turns = columns[:5], columns[5:]
    if np.ptp(turns, axis=1).max() == 0:  # spans that belong together turn alike, so that one section tells of all
        turns = turns[:, :1]

    def rulings(along: Array) -> Array:
        k = np.minimum(np.maximum(along.astype(int), 0), sheet.spans - 1)
        f, (x, y, dx, dy, half), (begin, sweep) = along - k, straight.take(k, 2), turns.take(k, 2)
        turn = np.radians(begin + sweep * f)
        u, v = x + f * dx + half * np.cos(turn), y + f * dy + half * np.sin(turn)
        met: Array = origins + u[..., None] * across + v[..., None] * up
        return met

    return rulings


def _row(span: Span) -> tuple[float, ...]:
    """A span as numbers: where it starts from, how far it goes straight on, half diameter, begin and sweep."""
    if isinstance(span, Line):
        (x0, y0), (x1, y1) = span.start, span.end
        return (x0, y0, x1 - x0, y1 - y0, 0.0, 0.0, 0.0)
    return (*span.centre, 0.0, 0.0, span.diameter / 2, span.begin, span.sweep)
