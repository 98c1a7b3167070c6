"""Ruled surfaces through matched sections as functions of two numbers: points, normals, and least gaps between two."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array
from mounts.geometry.outline import Line, Span
from mounts.shape.primitives import Section


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
        rings = np.stack([_on_section(section, along) for section in self.sections])
        low = np.clip(np.floor(up).astype(int), 0, len(self.sections) - 2)
        rest = (up - low)[:, None]
        index = np.arange(len(along))
        points: Array = rings[low, index] * (1 - rest) + rings[low + 1, index] * rest
        return points

    def normal(self, along: Array, up: Array) -> Array:
        """Outward unit normals, (n, 3) float, by central differences within the span and strip."""
        step = 1e-5
        ahead = self.at(along + step, up) - self.at(along - step, up)
        above = self.at(along, up + step) - self.at(along, up - step)
        found = np.cross(ahead, above)
        unit: Array = found / np.linalg.norm(found, axis=1, keepdims=True)
        return unit


Keep = Callable[[Array], NDArray[np.bool_]]


def _all(points: Array) -> NDArray[np.bool_]:
    return np.ones(len(points), dtype=bool)


def least_gap(one: Sheet, other: Sheet, keep: Keep = _all) -> float:
    """Least distance between two sheets in mm.

    A grid finds the neighbourhood, then ever finer grids about the best pair find the place; good to 1e-4.

    Args:
        one, other: the sheets.
        keep: tells for (n, 3) points of `other` whether they count.
    """
    a, b = _grid(one), _grid(other)
    pa, pb = one.at(*a), other.at(*b)
    counted = keep(pb)
    b, pb = (b[0][counted], b[1][counted]), pb[counted]
    apart = np.linalg.norm(pa[:, None, :] - pb[None, :, :], axis=2)
    best = np.inf
    for flat in np.argsort(apart.min(axis=1))[:3]:
        near = int(apart[flat].argmin())
        best = min(best, _refined(one, other, (a[0][flat], a[1][flat], b[0][near], b[1][near]), keep))
    return best


def least_on(sheet: Sheet, cost: Callable[[Array], Array]) -> float:
    """Least value that a cost of points (n, 3) → (n,) takes on a sheet; grids about the best, ever finer."""
    top = len(sheet.sections) - 1
    best, centre, step = np.inf, np.array([sheet.spans / 2, top / 2]), np.array([sheet.spans / 2, top / 2])
    cells = np.stack(np.meshgrid(np.linspace(-1, 1, 97), np.linspace(-1, 1, 25)), axis=-1).reshape(-1, 2)
    for _ in range(8):
        tries = centre + cells * step
        tries[:, 0] %= sheet.spans
        tries[:, 1] = np.clip(tries[:, 1], 0, top)
        found = cost(sheet.at(tries[:, 0], tries[:, 1]))
        least = int(found.argmin())
        if found[least] < best:
            best, centre = float(found[least]), tries[least]
        step = step * 0.2
    return best


def _on_section(section: Section, along: Array) -> Array:
    spans = section.outline.spans
    k = np.clip(along.astype(int), 0, len(spans) - 1)
    f = (along - k)[:, None]
    table = np.array([_row(span) for span in spans])[k]
    turn = np.radians(table[:, 5] + table[:, 6] * f[:, 0])
    flat = table[:, :2] + f * table[:, 2:4] + table[:, 4:5] * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return section.frame.out(np.column_stack([flat, np.zeros(len(flat))]))


def _row(span: Span) -> tuple[float, ...]:
    """A span as numbers: where it starts from, how far it goes straight on, half diameter, begin and sweep."""
    if isinstance(span, Line):
        (x0, y0), (x1, y1) = span.start, span.end
        return (x0, y0, x1 - x0, y1 - y0, 0.0, 0.0, 0.0)
    return (*span.centre, 0.0, 0.0, span.diameter / 2, span.begin, span.sweep)


def _grid(sheet: Sheet) -> tuple[Array, Array]:
    per_span = max(4, 96 // sheet.spans)
    along, up = np.meshgrid(
        np.linspace(0, sheet.spans, per_span * sheet.spans + 1)[:-1],
        np.linspace(0, len(sheet.sections) - 1, 6 * (len(sheet.sections) - 1) + 1),
    )
    return along.ravel(), up.ravel()


def _refined(one: Sheet, other: Sheet, at: tuple[float, float, float, float], keep: Keep) -> float:
    best, place, step = np.inf, np.array(at), np.array([0.2, 0.2, 0.2, 0.2])
    limits = np.array([one.spans, len(one.sections) - 1, other.spans, len(other.sections) - 1], dtype=float)
    offsets = np.stack(np.meshgrid(*[np.linspace(-1, 1, 5)] * 4), axis=-1).reshape(-1, 4)
    for _ in range(24):
        tries = place + offsets * step
        tries[:, [0, 2]] %= limits[[0, 2]]
        tries[:, [1, 3]] = np.clip(tries[:, [1, 3]], 0, limits[[1, 3]])
        pb = other.at(tries[:, 2], tries[:, 3])
        apart = np.linalg.norm(one.at(tries[:, 0], tries[:, 1]) - pb, axis=1)
        apart = np.where(keep(pb), apart, np.inf)
        nearest = int(apart.argmin())
        if apart[nearest] < best:
            best, place = float(apart[nearest]), tries[nearest]
        step = step * 0.6
    return best
