"""The chance that a part goes on: all its holes over all their pins at once, the part free to shift and turn.

Fixed and floating fasteners of ASME Y14.5 appendix B and ISO 5458, as a probability instead of a worst case:
every position is off by errors of measuring, printing and setting, and the part goes on when one rigid motion brings
every pin into its hole. Pins stand for screws, studs or moulded posts alike.

Assembly fit of pins in holes: the least overlap when the part is moved as well as it can be, for many cases at once.

The least overlap over all rigid motions is a convex problem in three unknowns, as the pins' distances from their holes
are convex in a small motion. It is solved by its dual: weights on the pins, under which the best motion has a closed
form, grow where a pin misses (Lawson's minimax algorithm). Every round gives two certified bounds: a motion that brings
every pin so near, and forces on the pins in equilibrium, so that no motion does better.

Within, a point x, y is the number x + iy: a turn by a small angle a adds a times i times the arm to it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array
from mounts.geometry.outline import Point
from mounts.load.models.workshop import EXACT, Material, Printer, Spread

ROUNDS = 1000  # at most; one case in some thousands takes more than a hundred
TINY = 1e-9
SLOW = 0.3  # least factor in a round, so that a pin which slides freely for once is not forgotten

Plane = NDArray[np.complex128]
SAMPLES = 2000  # cases that size a hole
JUDGED = 4000  # others, by which it is judged: the chance is known to about one in two hundred
SEED = 20261120
FINE = 1e-3  # mm to which a gap is found
SAME = 1e-3  # mm: points that stray less from a line lie on it
DIGITS = 9  # that points and covariances are told apart by, so that mirror images are the same case

Slot = tuple[float, float, float]  # direction (x, y) and free way along it, each side
Matrix = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True, eq=False)
class PinHoles:
    """Holes of the part.

    Attributes:
        at: their middles, (n, 2) mm.
        gaps: of a pin in its hole, a side, (n,) mm, or (m, n) where they differ from case to case.
        along: unit vector along each slot, (n, 2); any for a round hole.
        ways: free way along each slot, each side, (n,) mm; 0 for a round hole.
    """

    at: Array
    gaps: Array
    along: Array
    ways: Array


@dataclass(frozen=True, slots=True, eq=False)
class FitBounds:
    """Bounds of the least overlap of each case, mm, and the contact forces where one does not go on.

    Attributes:
        least, most: (m,) mm; a case goes on when `most` is 0 or less, it does not when `least` is more.
        force_shares: (m, n) share of the force on each pin, 0 to 1.
    """

    least: Array
    most: Array
    force_shares: Array


def fit_assembly(holes: PinHoles, errors: Array) -> FitBounds:
    """Return bounds of the least overlap, each case carried on until it is known whether it goes on.

    Args:
        holes: of the part.
        errors: of each pin from its hole's middle, (m, n, 2) mm.
    """
    at, along, off = (_as_complex(one) for one in (holes.at, holes.along, errors))
    least, most, pressing = np.full(len(off), -np.inf), np.full(len(off), np.inf), np.zeros(off.shape)
    gaps, ways = np.broadcast_to(holes.gaps, off.shape), holes.ways if holes.ways.any() else None
    room = np.maximum(gaps, TINY)
    weights, open_ = 1 / room**2, np.arange(len(off))
    slid = np.zeros(off.shape) if ways is None else _slot_positions(off, along, ways)
    for _ in range(ROUNDS):
        if not len(open_):
            break
        weights = weights / weights.sum(axis=1, keepdims=True)
        left = _residuals(at, off if ways is None else off - slid * along, weights)
        if ways is not None:
            apart = left + slid * along
            slid = _slot_positions(apart, along, ways)
        missed = np.abs(left if ways is None else apart - slid * along)
        forces = weights * left
        size = np.abs(forces)
        most[open_] = np.minimum(most[open_], (missed - gaps).max(axis=1))
        # forces in balance do no work by any motion, so what they do by the errors, less the gaps, is left to miss
        work = (forces.conj() * off).real.sum(axis=1) - (size * gaps).sum(axis=1)
        if ways is not None:
            work = work - (np.abs((forces.conj() * along).real) * ways).sum(axis=1)
        least[open_] = np.maximum(least[open_], work / np.maximum(size.sum(axis=1), 1e-300))
        pressing[open_] = size
        keep = (most[open_] > 0) & (least[open_] <= 0)
        open_, off, slid = open_[keep], off[keep], slid[keep]
        gaps, room = gaps[keep], room[keep]
        weights = weights[keep] * np.maximum(missed[keep] / room, SLOW)
    return FitBounds(least, most, pressing / np.maximum(pressing.sum(axis=1, keepdims=True), TINY))


def _residuals(at: Plane, off: Plane, weights: Array) -> Plane:
    """Return what is left of errors after the motion of least weighted squares, (m, n)."""
    arms = at - (weights * at).sum(axis=1, keepdims=True)
    held = off - (weights * off).sum(axis=1, keepdims=True)
    turn = -(weights * (arms.conj() * held).imag).sum(axis=1)
    turn = turn / np.maximum((weights * np.abs(arms) ** 2).sum(axis=1), TINY)
    left: Plane = held + (1j * turn)[:, None] * arms
    return left


def _slot_positions(apart: Plane, along: Plane, ways: Array) -> Array:
    """Return the place of each pin along its slot, (m, n) mm from its middle."""
    found: Array = np.clip((apart * along.conj()).real, -ways, ways)
    return found


def _as_complex(points: Array) -> Plane:
    """Return points (…, 2) as complex numbers."""
    found: Plane = points[..., 0] + 1j * points[..., 1]
    return found


@dataclass(frozen=True, slots=True)
class Errors:
    """Errors that keep a pin from standing where its hole is.

    Attributes:
        read: covariance of the pins' positions as read, (2n, 2n) mm², in the order x, y of each in turn.
        made: one standard deviation of a hole's place in the part, in x and in y, mm.
        plays: how much wider each hole in the panel is than what is set into it, anywhere in it, mm; none when empty.
        off: how far each pin is known to stand from its hole's middle, mm; none when empty.
        shrink: of the whole part, per cent.
        narrower: by how much all its holes come out narrower, mm.
    """

    read: Matrix
    made: float = 0.0
    plays: tuple[float, ...] = ()
    off: tuple[Point, ...] = ()
    shrink: Spread = EXACT
    narrower: Spread = EXACT

    @property
    def calibrated(self) -> Errors:
        """Errors that are left once printer and slicer are set to what a coupon shows."""
        return replace(self, shrink=EXACT, narrower=EXACT)


@dataclass(frozen=True, slots=True)
class ReadHoles:
    """Holes in a panel as they were read, and the errors between them and the screws of a mount.

    Attributes:
        instrument: that read them; empty where only its error is known.
        sd: one standard deviation of its readings, mm.
        at: their places by their names, mm.
        errors: of the mount on its panel.
    """

    instrument: str
    sd: float
    at: Mapping[str, Point]
    errors: Errors


def same_errors(count: int, sd: float, made: float = 0.0) -> Errors:
    """Return the errors of pins that were all read to the same standard deviation in x and in y, mm, each by itself."""
    square = np.eye(2 * count) * sd**2
    return Errors(tuple(tuple(float(value) for value in row) for row in square), made)


def add_printer(errors: Errors, printer: Printer, material: Material) -> Errors:
    """Return the errors with what a printer does to a part of a material."""
    shrink, narrower = printer.shrink(material), printer.growth_error(material)
    return replace(errors, made=printer.error, shrink=shrink, narrower=narrower)


def known_errors(errors: Errors, pin: int) -> Errors:
    """Return the errors that are left once the place of one pin is known exactly."""
    read = np.array(errors.read)
    own = [2 * pin, 2 * pin + 1]
    with_it = read[:, own]
    rest = read - with_it @ np.linalg.pinv(read[np.ix_(own, own)]) @ with_it.T
    rest[own, :] = rest[:, own] = 0.0
    return replace(errors, read=_round_up(rest))


def refine(errors: Errors, times: float) -> Errors:
    """Return the errors when all is read so many times as finely."""
    return replace(errors, read=_round_up(np.array(errors.read) / times**2))


def chance(
    points: Sequence[Point],
    gaps: Sequence[float],
    errors: Errors,
    slots: Sequence[Slot | None] = (),
    *,
    sizes: bool = False,
) -> float:
    """Return the share of all cases in which the part goes on, 0 to 1.

    Args:
        points: where the pins are, mm.
        gaps: gap of each pin in its hole, a side, mm.
        errors: errors of pins and holes.
        slots: for each hole its slot, None for a round one.
        sizes: whether by the cases that size holes, by which none is judged.
    """
    case, ways = _case(points, errors, slots)
    return _chance(case, tuple(gaps), ways, SAMPLES if sizes else JUDGED)


def raise_share(sure: float) -> float:
    """Return the share of the cases which size a hole, two standard errors more than is wanted, so that others hold."""
    return min(1.0, sure + 2 * float(np.sqrt(sure * (1 - sure) / SAMPLES)))


def needed_gap(points: Sequence[Point], more: Sequence[float], errors: Errors, sure: float) -> float:
    """Return least gap a side, the same for all holes, with which the part goes on in the wanted share of cases, mm.

    Args:
        points: where the pins are, mm.
        more: what each pin has in addition, a side, mm.
        errors: errors of pins and holes.
        sure: wanted chance, 0 to 1.
    """
    return _needed_gap(_case(points, errors, ())[0], tuple(more), sure)


def pressing(points: Sequence[Point], gaps: Sequence[float], errors: Errors) -> tuple[float, ...]:
    """Return each pin's share of the force that keeps the part from going on, over the cases in which it does not."""
    case, ways = _case(points, errors, ())
    found = _fitted(case, gaps, ways, JUDGED)
    jams = found.force_shares[found.most > 0]
    return tuple(float(share) for share in jams.mean(axis=0)) if len(jams) else (0.0,) * len(points)


@dataclass(frozen=True, slots=True)
class _Case:
    """Pins and errors in axes of their own, alike for mirror images."""

    at: tuple[Point, ...]
    errors: Errors


def _case(
    points: Sequence[Point], errors: Errors, slots: Sequence[Slot | None]
) -> tuple[_Case, tuple[Slot | None, ...]]:
    own = _own_axes(points)
    at = (np.asarray(points, dtype=float) - points[0]) @ own
    both = np.kron(np.eye(len(at)), own)
    off = tuple(_point(np.asarray(one) @ own) for one in errors.off)
    told = replace(errors, read=_round_up(both.T @ np.array(errors.read) @ both), off=off)
    ways = tuple(None if way is None else (*_point(np.asarray(way[:2]) @ own), way[2]) for way in slots)
    return _Case(tuple(_point(one) for one in at - at.mean(axis=0)), told), ways or (None,) * len(at)


def _own_axes(points: Sequence[Point]) -> Array:
    """Return axes as columns: along the first two points, with the next point that strays on their left."""
    first, second = np.asarray(points[0], dtype=float), np.asarray(points[1], dtype=float)
    x = (second - first) / np.hypot(*(second - first))
    y = np.array([-x[1], x[0]])
    off = [float((np.asarray(p) - first) @ y) for p in points[2:]]
    side = next((o for o in off if abs(o) > SAME), 1.0)
    return np.column_stack([x, y if side > 0 else -y])


@lru_cache(maxsize=256)
def _chance(case: _Case, gaps: tuple[float, ...], ways: tuple[Slot | None, ...], count: int) -> float:
    return float((_fitted(case, gaps, ways, count).most <= 0).mean())


def _fitted(case: _Case, gaps: Sequence[float], ways: Sequence[Slot | None], count: int) -> FitBounds:
    errors, narrower = _samples(case, count)
    return fit_assembly(_holes(case, np.array(gaps) - narrower, ways), errors)


@lru_cache(maxsize=64)
def _needed_gap(case: _Case, more: tuple[float, ...], sure: float) -> float:
    """Return the needed gap, bracketed for every case and ever more narrowly for those that decide the wanted share."""
    samples, narrower = _samples(case, SAMPLES)
    rank = max(int(np.ceil(raise_share(sure) * SAMPLES - 1e-9)) - 1, 0)
    low, high, open_ = np.full(SAMPLES, -np.inf), np.full(SAMPLES, np.inf), np.ones(SAMPLES, dtype=bool)
    gap = float(2 * np.sqrt(np.mean(samples**2)))
    while True:
        room = np.array(more) + gap - narrower[open_]
        found = fit_assembly(_holes(case, room, (None,) * len(more)), samples[open_])
        low[open_] = np.maximum(low[open_], gap + found.least)
        high[open_] = np.minimum(high[open_], gap + found.most)
        least, most = float(np.partition(low, rank)[rank]), float(np.partition(high, rank)[rank])
        if most - least <= FINE or most <= 0:
            return max(most, 0.0)
        gap = (max(least, 0.0) + most) / 2
        open_ = (low <= gap) & (high > gap)


def _holes(case: _Case, gaps: Sequence[float] | Array, ways: Sequence[Slot | None]) -> PinHoles:
    along = np.array([(1.0, 0.0) if way is None else way[:2] for way in ways])
    free = np.array([0.0 if way is None else way[2] for way in ways])
    return PinHoles(np.array(case.at), np.asarray(gaps, dtype=float), along, free)


@lru_cache(maxsize=8)
def _samples(case: _Case, cases: int) -> tuple[Array, Array]:
    """Return the errors of pins from their holes, (cases, n, 2) mm, and what each hole lacks a side, (cases, 1) mm.

    The same numbers are drawn every time, others for each number of cases.
    """
    errors, count = case.errors, len(case.at)
    drawn = np.random.default_rng(SEED + (cases != SAMPLES))
    spread = np.array(errors.read) + np.eye(2 * count) * errors.made**2
    values, vectors = np.linalg.eigh(spread)
    root = (vectors * np.sqrt(np.maximum(values, 0.0))) @ vectors.T
    found: Array = (drawn.normal(size=(cases, 2 * count)) @ root).reshape(cases, count, 2)
    if any(errors.plays):
        reach = np.sqrt(drawn.random((cases, count))) * np.array(errors.plays) / 2
        turn = drawn.random((cases, count)) * 2 * np.pi
        found = found + reach[:, :, None] * np.stack([np.cos(turn), np.sin(turn)], axis=2)
    even, bell = drawn.random((2, cases)), drawn.normal(size=(2, cases))
    low, high, sd = np.array([errors.shrink, errors.narrower]).T[:, :, None]
    shrink, narrower = low + (high - low) * even + sd * bell
    found = found + shrink[:, None, None] / 100 * np.array(case.at)  # holes that shrank inward lie inside their pins
    return (found + np.array(errors.off) if errors.off else found), narrower[:, None] / 2


def _point(place: Array) -> Point:
    x, y = (round(float(value), DIGITS) for value in place)
    return (x, y)


def _round_up(matrix: Array) -> Matrix:
    return tuple(tuple(round(float(value), DIGITS + 3) for value in row) for row in matrix)
