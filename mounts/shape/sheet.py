"""Ruled surfaces through matched sections as functions of two numbers: points, normals, and least gaps between two."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import ceil, inf

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import PANEL, Array, Frame
from mounts.geometry.outline import Line, Span
from mounts.shape.primitives import Section

Mask = NDArray[np.bool_]
Numbers = NDArray[np.intp]
SPREAD = (4.0, 1.5)  # mm between the places that are tried first, along the spans and up the rulings
BASINS = 6  # low places near which the least value is looked for
FINER, FINEST, ROUNDS = 0.25, 4.0**-6, 40  # how a window narrows, to what of the first width; rounds at most
SLACK = 12.0  # mm by which a place may lie over the lowest, a width of looking: no distance falls faster than the way
SIDES = np.linspace(-1, 1, 9)
WINDOW = np.stack(np.meshgrid(SIDES, SIDES, indexing="ij"), axis=-1).reshape(-1, 2)
MIDDLE = len(WINDOW) // 2
HALVINGS = 6  # of the way to the edge of what counts; each round begins where the last one ended
LOWER = 1e-7  # mm: what is lower by less is as low
NEAR = 4.0  # mm over the least bound, within which two rulings are measured exactly
STEEP = 3.0  # rulings of one sheet that lie beside one of another at most


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
        between = np.minimum(np.maximum(up.astype(int), 0), len(self.sections) - 2)
        low, high = _rulings_of(self).ends(along, between)
        points: Array = low + (up - between)[:, None] * (high - low)
        return points

    def at_height(self, along: Array, z: float) -> Array:
        """Points in which rulings that all rise pass a height, (n, 3) float; of one that does not, its nearer end."""
        rulings, found = _rulings_of(self), self.at(along, np.zeros(len(along)))
        for piece in range(len(self.sections) - 1):
            low, high = rulings.ends(along, np.full(len(along), piece))
            rise = np.maximum(high[:, 2:] - low[:, 2:], 1e-12)
            found = np.where(z > low[:, 2:], low + np.minimum((z - low[:, 2:]) / rise, 1) * (high - low), found)
        return found

    def normal(self, along: Array, up: Array) -> Array:
        """Outward unit normals, (n, 3) float, by central differences."""
        step = 1e-5
        ahead = self.at(along + step, up) - self.at(along - step, up)
        above = self.at(along, up + step) - self.at(along, up - step)
        found = np.cross(ahead, above)
        unit: Array = found / np.linalg.norm(found, axis=1, keepdims=True)
        return unit


@dataclass(frozen=True, slots=True)
class Half:
    """Half of space: points p with axis · p ≥ least."""

    axis: tuple[float, float, float]
    least: float


Keep = tuple[Half, ...]
Costs = Callable[[Array, Numbers], Array]


def over(level: float, frame: Frame = PANEL) -> Half:
    """Return what lies over a level of a frame; what lies at it does not."""
    x, y, z = frame.z
    return Half(frame.z, level + x * frame.origin[0] + y * frame.origin[1] + z * frame.origin[2] + 1e-9)


def under(level: float, frame: Frame = PANEL) -> Half:
    """Return what lies under a level of a frame; what lies at it does not."""
    half = over(level, frame)
    x, y, z = half.axis
    return Half((-x, -y, -z), 2e-9 - half.least)


def least_on(sheet: Sheet, cost: Callable[[Array], Array], keep: Keep = ()) -> float:
    """Return the least value that a cost of points (n, 3) → (n,) takes on a sheet; inf if nothing of it counts.

    Args:
        sheet: where.
        cost: of points; inf for those that do not count. It changes by no more than the way between two points.
        keep: only what lies in all of these counts.
    """
    return float(least_on_each(sheet, lambda points, _: cost(points), 1, keep)[0])


def least_on_each(sheet: Sheet, costs: Costs, count: int, keep: Keep = ()) -> Array:
    """Return the least value of each of some costs on a sheet, (count,); inf if nothing of it counts.

    Places evenly spread find where a cost is low, then ever finer grids about the lowest of them the least.

    Args:
        sheet, keep: as of `least_on`.
        costs: of points (n, 3) and the numbers of the costs that are asked for, (n,), → (n,).
        count: how many costs.
    """
    rulings = _rulings_of(sheet)
    turn, rows = len(rulings.knots) - 1, rulings.rows
    columns = np.repeat(np.arange(len(rows)), rows + 1)
    steps = np.concatenate([np.arange(n + 1) for n in rows])

    def field(turns: Array, steps: Array, pieces: Numbers, which: Numbers) -> Array:
        """Costs at steps (n, w) on rulings (n,) of pieces (n,), (n, w)."""
        low, high, counted = _kept(*rulings.ends(rulings.along(turns), pieces), keep)
        tried = low[:, None] + (steps / rows[pieces][:, None])[..., None] * (high - low)[:, None]
        found = np.full(steps.shape, inf)
        each = np.repeat(which[counted], steps.shape[1])
        found[counted] = costs(tried[counted].reshape(-1, 3), each).reshape(-1, steps.shape[1])
        return found

    low, high, counted = (one.reshape(turn, len(rows), -1)[:, columns] for one in _kept(*rulings.pieces(), keep))
    tried, counted = (low + (steps / rows[columns])[:, None] * (high - low)).reshape(-1, 3), counted.ravel()
    each = np.repeat(np.arange(count), counted.sum())
    found = np.full((count, len(tried)), inf)
    found[:, counted] = costs(np.tile(tried[counted], (count, 1)), each).reshape(count, -1)
    fields: Array = found.reshape(count, turn, len(columns))
    owner, *at = _lowest(fields)
    pieces = columns[at[1]]

    def look(tries: Array, of: Numbers) -> tuple[Array, Array]:
        tries[..., 1] = np.clip(tries[..., 1], 0, rows[pieces[of]][:, None])
        rows_of, each = tries.reshape(-1, len(SIDES), 2), np.repeat(of, len(SIDES))
        told = field(rows_of[:, 0, 0], rows_of[..., 1], pieces[each], owner[each]).reshape(tries.shape[:2])
        if np.isfinite(told).all():
            return tries, told

        def one_by_one(places: Array, at: Numbers) -> Array:
            return field(places[:, 0], places[:, 1:], pieces[of[at]], owner[of[at]])[:, 0]

        return _drawn_in(tries, told, one_by_one)

    best, starts = fields.min(axis=(1, 2)), np.column_stack([at[0], steps[at[1]]]).astype(float)
    return _lowest_near(starts, fields[owner, at[0], at[1]], owner, best, look)


def _lowest_near(
    starts: Array, value: Array, owner: Numbers, best: Array, look: Callable[[Array, Numbers], tuple[Array, Array]]
) -> Array:
    """Return the least values (m,) that ever finer windows about starts of two numbers find.

    Args:
        starts: (n, 2), in numbers by one of which the places differ that were tried before.
        value: what is found at each, (n,).
        owner: to which of the values each start belongs, (n,).
        best: least values so far, (m,).
        look: windows of places (k, w, 2) about some starts, and which of them (k,) → the places, perhaps moved, and
            what is found there (k, w).
    """
    best, width, of = best.copy(), np.ones(len(value)), np.arange(len(value))
    for _ in range(ROUNDS):
        alive = (value <= best[owner[of]] + SLACK * width) & (width > FINEST)
        if not alive.any():
            break
        starts, value, width, of = starts[alive], value[alive], width[alive], of[alive]
        tries, told = look(starts[:, None] + WINDOW * width[:, None, None], of)
        each = np.arange(len(of))
        lowest = told.argmin(axis=1)
        lower = told[each, lowest] < value - LOWER
        value = np.where(lower, told[each, lowest], value)
        moved = np.where(lower[:, None], tries[each, lowest] - starts, 0.0)
        starts = starts + moved
        np.minimum.at(best, owner[of], value)
        on_edge = (np.abs(moved) > width[:, None] * 0.999).any(axis=1)  # there the way goes on, as along a valley
        width = np.where(on_edge, width, width * FINER)
    return best


def _kept(low: Array, high: Array, keep: Keep) -> tuple[Array, Array, Mask]:
    """Segments (n, 3) to (n, 3) cut off where they leave what counts, and whether anything of each is left."""
    first, last = np.zeros(len(low)), np.ones(len(low))
    for half in keep:
        begin, end = low @ np.array(half.axis) - half.least, high @ np.array(half.axis) - half.least
        rise = end - begin
        level = np.abs(rise) < 1e-12
        share = np.where(level, np.where(begin >= 0, -inf, inf), -begin / np.where(level, 1.0, rise))
        first = np.where(level | (rise > 0), np.maximum(first, share), first)
        last = np.where(~level & (rise < 0), np.minimum(last, share), last)
    counted = first <= last
    if not keep:
        return low, high, counted
    first, last = (np.where(counted, share, 0.0)[:, None] for share in (first, last))
    return low + first * (high - low), low + last * (high - low), counted


def _drawn_in(places: Array, found: Array, field: Callable[[Array, Numbers], Array]) -> tuple[Array, Array]:
    """Windows of places (n, window, 2), none beyond the edge of what counts that can be on it, and their values.

    One that does not count beside one in its column that does is moved to the edge between them, which is where the
    least value often lies.
    """
    side = len(SIDES)
    places, found = places.reshape(-1, side, side, 2), found.reshape(-1, side, side)
    kept = np.isfinite(found)
    beside = np.zeros(kept.shape, dtype=int)
    beside[..., 1:] = np.where(kept[..., :-1], -1, 0)
    beside[..., :-1] = np.where(kept[..., 1:], 1, beside[..., :-1])
    index = np.nonzero(~kept & (beside != 0))
    outside, inside = places[index], places[(*index[:-1], index[-1] + beside[index])]
    least = found[(*index[:-1], index[-1] + beside[index])]
    for _ in range(HALVINGS if len(outside) else 0):
        middle = (outside + inside) / 2
        value = field(middle, index[0])
        counts = np.isfinite(value)
        outside, inside = np.where(counts[:, None], outside, middle), np.where(counts[:, None], middle, inside)
        least = np.where(counts, value, least)
    places, found = places.copy(), found.copy()
    places[index], found[index] = inside, least
    return places.reshape(len(places), -1, 2), found.reshape(len(found), -1)


def _lowest(found: Array) -> tuple[Numbers, ...]:
    """Return the BASINS lowest places of each field (count, n, m), whose n goes round, none above a neighbour.

    Of neighbours that are equally low only those at an end count, else all basins lie in one span of no length.
    """
    count, n, m = found.shape
    around = np.pad(np.pad(found, ((0, 0), (1, 1), (0, 0)), mode="wrap"), ((0, 0), (0, 0), (1, 1)), constant_values=inf)
    near = {(i, j): around[:, 1 + i : 1 + i + n, 1 + j : 1 + j + m] for i, j in product((-1, 0, 1), repeat=2)}
    with np.errstate(invalid="ignore"):  # where two do not count
        level = {at: np.abs(one - found) < LOWER for at, one in near.items()}
    lowest = found <= np.min(list(near.values()), axis=0) + LOWER
    ends = lowest & ~(level[-1, 0] & level[1, 0]) & ~(level[0, -1] & level[0, 1])
    lowest = np.where(ends.any(axis=(1, 2), keepdims=True), ends, lowest)
    flat = np.where(lowest, found, inf).reshape(count, -1)
    order = np.argsort(flat, axis=1, kind="stable")[:, :BASINS]
    owner = np.repeat(np.arange(count), order.shape[1])
    place = order.ravel()
    finite = np.isfinite(flat[owner, place])
    return (owner[finite], *np.unravel_index(place[finite], (n, m)))


@lru_cache(maxsize=256)  # most of a plan's sheets are as they were once a single value of its job was edited
def least_gap(one: Sheet, other: Sheet, keep: Keep = ()) -> float:
    """Return the least distance between two sheets in mm; inf if nothing of `other` counts.

    Good to 1e-3, and to 5e-3 where the sheets cross, which gives 0. Rulings are straight, so the distance of two is a
    closed form; the search is over pairs of rulings.

    Args:
        one, other: the sheets.
        keep: only what of `other` lies in all of these counts.
    """
    mine, its = _rulings_of(one), _rulings_of(other)
    first, second = len(mine.knots) - 1, len(its.knots) - 1
    low, high, counted = _kept(*its.pieces(), keep)
    if not counted.any():
        return inf
    found = _distances_of_near(*mine.pieces(), low, high, counted)
    found = found.reshape(second, len(its.rows), first, -1).transpose(1, 3, 0, 2).reshape(-1, second, first)
    pairs = np.array(list(np.ndindex(len(its.rows), len(mine.rows))))

    def gap(between: Numbers, turns: Array) -> Array:
        """Distances (n, w) of rulings (n, w, 2), those of the other sheet first, one in each row, on pieces (n, 2)."""
        low, high, counted = _kept(*its.ends(its.along(turns[:, 0, 0]), between[:, 0]), keep)
        ends = mine.ends(mine.along(turns[..., 1].ravel()), np.repeat(between[:, 1], turns.shape[1]))
        my_low, my_high = (end.reshape(*turns.shape[:2], 3) for end in ends)
        return np.where(counted[:, None], _between(my_low, my_high, low[:, None], high[:, None]), inf)

    nearest, value = found.argmin(axis=2).astype(float), found.min(axis=2)
    pair, place = np.nonzero(np.isfinite(value))
    turns = np.column_stack([place, nearest[pair, place]])
    for width in (1.0, 0.25):  # what is nearest lies between two rulings, and would hide where the sheets come near
        tries = np.repeat(turns[:, None], len(SIDES), axis=1)
        tries[..., 1] += width * SIDES
        told = gap(pairs[pair], tries)
        turns = tries[np.arange(len(turns)), told.argmin(axis=1)]
    nearest[pair, place], value[pair, place] = turns[:, 1], told.min(axis=1)
    pair, place, _ = _lowest(value[:, :, None])
    step = nearest[pair, (place + 1) % second] - nearest[pair, place - 1]
    slopes = np.clip(((step + first / 2) % first - first / 2) / 2, -STEEP, STEEP)
    starts, between, value = np.column_stack([place, nearest[pair, place]]), pairs[pair], value[pair, place]

    def look(tries: Array, of: Numbers) -> tuple[Array, Array]:
        tries[..., 1] += slopes[of, None] * (tries[..., 0] - tries[:, [MIDDLE], 0])
        told = gap(np.repeat(between[of], len(SIDES), axis=0), tries.reshape(-1, len(SIDES), 2))
        return tries, told.reshape(tries.shape[:2])

    return float(_lowest_near(starts, value, np.zeros(len(value), dtype=int), value.min(keepdims=True), look)[0])


def _distances_of_near(low: Array, high: Array, its_low: Array, its_high: Array, counted: Mask) -> Array:
    """Distances (m, n) of m segments from n others, inf where bounds tell that they are far from the least.

    Two segments are no nearer than their middles less half of either.
    """
    middle, half = (low + high) / 2, np.linalg.norm(high - low, axis=1) / 2
    its_middle, its_half = (its_low + its_high) / 2, np.linalg.norm(its_high - its_low, axis=1) / 2
    square = np.einsum("nk,nk->n", its_middle, its_middle)[:, None] + np.einsum("nk,nk->n", middle, middle)
    apart = np.sqrt(np.maximum(square - 2 * its_middle @ middle.T, 0))
    bound = np.where(counted[:, None], apart - its_half[:, None] - half, inf)
    nearest = bound.argmin(axis=1)
    most = float(_between(low[nearest], high[nearest], its_low, its_high)[counted].min())
    its, mine = np.nonzero(bound <= most + NEAR)
    found = np.full(bound.shape, inf)
    found[its, mine] = _between(low[mine], high[mine], its_low[its], its_high[its])
    return found


def _between(low: Array, high: Array, its_low: Array, its_high: Array) -> Array:
    """Distances (…) of segments (…, 3) to (…, 3) from others; C. Ericson, Real-Time Collision Detection, 5.1.9."""
    way, its_way, away = high - low, its_high - its_low, low - its_low
    a, e = np.maximum(_dot(way, way), 1e-18), np.maximum(_dot(its_way, its_way), 1e-18)
    b, c, f = _dot(way, its_way), _dot(way, away), _dot(its_way, away)
    across = a * e - b * b
    share = np.clip(np.where(across > 1e-12 * a * e, (b * f - c * e) / np.maximum(across, 1e-300), 0.0), 0, 1)
    its_share = np.clip((b * share + f) / e, 0, 1)
    share = np.clip((b * its_share - c) / a, 0, 1)
    apart = away + share[..., None] * way - its_share[..., None] * its_way
    found: Array = np.sqrt(_dot(apart, apart))
    return found


def _dot(one: Array, other: Array) -> Array:
    """Scalar products (…) of vectors (…, 3)."""
    found: Array = one[..., 0] * other[..., 0] + one[..., 1] * other[..., 1] + one[..., 2] * other[..., 2]
    return found


class _Rulings:
    """The rulings of a sheet, every section's spans told as numbers once.

    Attributes:
        knots: values of `along` from 0 to the number of spans, spread evenly by length; at least one a span.
        rows: into how many steps the longest ruling between two sections falls, a number for each two.
    """

    def __init__(self, sheet: Sheet) -> None:
        told = np.array([[_row(span) for span in section.outline.spans] for section in sheet.sections])
        axes = np.array([section.frame.axes for section in sheet.sections])[:, None]
        origins = np.array([section.frame.origin for section in sheet.sections])[:, None]
        across, up = axes[..., 0], axes[..., 1]
        x, y, dx, dy, half = (told[..., k, None] for k in range(5))
        terms = np.stack([origins + x * across + y * up, dx * across + dy * up, half * across, half * up], axis=2)
        self._terms = np.stack([terms[:-1], terms[1:]], axis=3)  # (pieces, spans, terms, ends, 3)
        turns = np.radians(told[..., 5:])
        self._turns = np.stack([turns[:-1], turns[1:]], axis=2)  # (pieces, spans, ends, begin and sweep)
        self._spans = sheet.spans
        long = np.max([[span.length for span in section.outline.spans] for section in sheet.sections], axis=0)
        counts = [max(1, ceil(length / SPREAD[0])) for length in long]
        self.knots = np.append(np.concatenate([k + np.arange(n) / n for k, n in enumerate(counts)]), sheet.spans)
        eighths, pieces = np.arange(0, sheet.spans, 0.125), len(sheet.sections) - 1
        low, high = self.ends(np.tile(eighths, pieces), np.repeat(np.arange(pieces), len(eighths)))
        rulings = np.linalg.norm(high - low, axis=1).reshape(pieces, -1)
        self.rows = np.array([max(1, ceil(length / SPREAD[1])) for length in rulings.max(axis=1)])

    def pieces(self) -> tuple[Array, Array]:
        """Return the ends (n, 3) and (n, 3) of all rulings at the knots, piece by piece of each."""
        turns, count = self.knots[:-1], len(self.rows)
        return self.ends(np.repeat(turns, count), np.tile(np.arange(count), len(turns)))

    def along(self, turns: Array) -> Array:
        """Return `along` of numbers of rulings, (n,), those between two knots told by fractions."""
        count = len(self.knots) - 1
        turns = turns % count
        index = np.minimum(turns.astype(int), count - 1)
        found: Array = self.knots[index] + (turns - index) * (self.knots[index + 1] - self.knots[index])
        return found

    def ends(self, along: Array, between: Numbers) -> tuple[Array, Array]:
        """Return where rulings at `along` (n,) meet the sections before and behind the pieces (n,), each (n, 3)."""
        span = np.minimum(np.maximum(along.astype(int), 0), self._spans - 1)
        share = (along - span)[:, None]
        turns = self._turns[between, span]
        angle = turns[..., 0] + turns[..., 1] * share
        terms = self._terms[between, span]
        middle, way, across, up = terms[:, 0], terms[:, 1], terms[:, 2], terms[:, 3]
        met = middle + share[..., None] * way + np.cos(angle)[..., None] * across + np.sin(angle)[..., None] * up
        return met[:, 0], met[:, 1]


_rulings_of = lru_cache(maxsize=64)(_Rulings)  # one plan asks for the same few sheets hundreds of times


def _row(span: Span) -> tuple[float, ...]:
    """Return a span as numbers: where it starts, how far it goes straight on, half diameter, begin and sweep."""
    if isinstance(span, Line):
        (x0, y0), (x1, y1) = span.start, span.end
        return (x0, y0, x1 - x0, y1 - y0, 0.0, 0.0, 0.0)
    return (*span.centre, 0.0, 0.0, span.diameter / 2, span.begin, span.sweep)
