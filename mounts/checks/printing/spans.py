"""Spans across a patch seen from above, from one held edge to another: how far a roof has to be bridged.

All is in the plane of the bed. A patch is given by its rim: straight pieces, each held by material below or not.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from mounts.geometry.facets import Mask, normalize
from mounts.geometry.frames import Array
from mounts.geometry.ties import first_most, keeps

AROUND = 12  # directions looked in through each place
AT_ONCE = 2_000_000  # crossings looked at in one go
ROUNDS = 8  # of looking for the widest place
ASIDE = np.array([1.0, 0.0])  # a direction where none is better than another


@dataclass(frozen=True, slots=True, eq=False)
class Rim:
    """Boundary of a patch.

    Attributes:
        start, end: (e, 2) float, ends of each piece, mm.
        held: (e,) whether material goes on below it.
    """

    start: Array
    end: Array
    held: Mask


def distance_to_held(at: Array, rim: Rim) -> tuple[Array, Array]:
    """Return each place's distance to the nearest held edge, (n,) mm, inf without any; and the way, (n, 2) unit."""
    start, along = rim.start[rim.held], (rim.end - rim.start)[rim.held]
    if not len(start):
        return np.full(len(at), inf), np.broadcast_to(ASIDE, (len(at), 2))
    square = np.maximum(np.einsum("ej,ej->e", along, along), 1e-18)
    away = at[:, None] - start
    place = np.clip(np.einsum("nej,ej->ne", away, along) / square, 0, 1)
    off = place[:, :, None] * along - away
    distance = np.sqrt(np.einsum("nej,nej->ne", off, off))
    every, best = np.arange(len(at)), distance.argmin(axis=1)
    near = distance[every, best]
    return near, normalize(np.where(near[:, None] > 1e-9, off[every, best], ASIDE))


def spans(at: Array, rim: Rim) -> Array:
    """Return the shortest way through each place (n, 2) between held edges, (n,) mm; inf where there is none.

    Directions are spread all round, and the one to the nearest held edge is among them: across a straight or a round
    roof it is the shortest.
    """
    if not len(at) or not len(rim.start):
        return np.full(len(at), inf)
    turn = np.pi / AROUND * np.arange(AROUND)
    fixed = np.broadcast_to(np.stack([np.cos(turn), np.sin(turn)], axis=1), (len(at), AROUND, 2))
    ways = np.concatenate([distance_to_held(at, rim)[1][:, None], fixed], axis=1)
    chunk = max(1, AT_ONCE // (ways.shape[1] * len(rim.start)))
    parts = [_shortest(at[k : k + chunk], ways[k : k + chunk], rim) for k in range(0, len(at), chunk)]
    return np.concatenate(parts)


def widest_span(at: Array, span: Array, rim: Rim, step: float, most: float) -> tuple[float, Array]:
    """Return the greatest span of a roof, mm, and its place, (2,), by climbing from the widest; 0 without any.

    Args:
        at, span: (n, 2) places, and (n,) the span through each, none infinite.
        rim: of the roof.
        step: mm, of the first step.
        most: mm; what is wider is no roof.
    """
    if not len(at):
        return 0.0, np.zeros(2)
    best, found = at[first_most(span)], float(span.max())
    turn = np.pi / 4 * np.arange(8)
    around = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    for _ in range(ROUNDS):
        there = best + step * around
        wide = spans(there, rim)
        wide[wide > most] = 0.0
        if not keeps(wide.max(), found):
            best, found = there[first_most(wide)], float(wide.max())
        else:
            step /= 2
    return found, best


def _shortest(at: Array, ways: Array, rim: Rim) -> Array:
    """Return `spans` along the given directions (n, k, 2)."""
    edge, away = rim.end - rim.start, rim.start - at[:, None]
    slant = ways[:, :, 0, None] * edge[:, 1] - ways[:, :, 1, None] * edge[:, 0]
    crossed = ((_side(at, ways, rim.start) >= 0) != (_side(at, ways, rim.end) >= 0)) & (slant != 0)
    reach = (away[:, :, 0] * edge[:, 1] - away[:, :, 1] * edge[:, 0])[:, None] / np.where(crossed, slant, 1.0)
    ahead, held_ahead = _first(reach, crossed, rim.held)
    behind, held_behind = _first(-reach, crossed, rim.held)
    within = (crossed & (reach > 0)).sum(axis=2) % 2 == 1
    shortest: Array = np.where(within & held_ahead & held_behind, ahead + behind, inf).min(axis=1)
    return shortest


def _side(at: Array, ways: Array, ends: Array) -> Array:
    """Return on which side of each line through a place each end lies, (n, k, e)."""
    away = (ends - at[:, None])[:, None]
    side: Array = ways[:, :, 0, None] * away[..., 1] - ways[:, :, 1, None] * away[..., 0]
    return side


def _first(reach: Array, crossed: Mask, held: Mask) -> tuple[Array, Mask]:
    """Return the distance to the first edge that each line meets, (n, k), and whether it is held."""
    ahead = np.where(crossed & (reach > 0), reach, inf)
    nearest = ahead.argmin(axis=2)
    return np.take_along_axis(ahead, nearest[:, :, None], axis=2)[:, :, 0], held[nearest]
