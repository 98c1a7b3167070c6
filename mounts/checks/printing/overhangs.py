"""Overhangs of a part as printed: patches that face down too steeply, and how they are held.

A patch is held at its edges where material goes on below. A roof is laid across from one held edge to another; its
span is the shortest such way through a point, greatest over the roof. A hole in a roof is bridged over: its edge hangs
on the lines beside it. What juts out by no more than two lines from a held edge sags less than a layer.

        wall │        │ wall            wall │        ╲
             │ roof   │                      │ slope   ╲
             └────────┘  held on both sides  └──────────  held on one: it hangs

Spans across a patch seen from above, from one held edge to another: how far a roof has to be bridged.

All is in the plane of the bed. A patch is given by its rim: straight pieces, each held by material below or not.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from mounts.geometry.facets import Edges, Mask, Whole, connected_groups, normalize, triangle_cross
from mounts.geometry.frames import Array, Vector
from mounts.geometry.ties import first_most, keeps, sort_with_ties
from mounts.identity import UNNAMED, Ident
from mounts.kernels.part import Part
from mounts.load.models.workshop import Printer

AROUND = 12  # directions looked in through each place
AT_ONCE = 2_000_000  # crossings looked at in one go
ROUNDS = 8  # of looking for the widest place
ANY_WAY = np.array([1.0, 0.0])  # a direction where none is better than another
FACET = 1.0  # degrees: the facets of a curved face waver by so much
ON_BED = 0.01  # mm
LEVEL = 70.0  # degrees from vertical: what is flatter is a roof, to be bridged or supported (reference: print guides)
BRIDGED = 60.0  # mm: no printer claims a longer bridge (reference: print guides)
ARCH = 8.0  # mm: between its 45-degree lines a round passage closes by itself up to this width
CREASE, SMOOTH = 1.0, 20.0  # degrees that two faces turn by: an edge from here on; one face up to here
LINES = 2  # lines that may jut out from what holds them
FEW, MANY = 6, 32  # places on a patch, at least and at most, about
FINER = 8  # grids that are tried until so many places lie on it
ASIDE = 0.01  # mm: patches are sorted by their places, of which nearer ones are level
AS_STEEP = 0.01  # degrees
STEPS = np.array([0.7548776662466927, 0.5698402909980532])  # of the plane's evenest sequence


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
        return np.full(len(at), inf), np.broadcast_to(ANY_WAY, (len(at), 2))
    square = np.maximum(np.einsum("ej,ej->e", along, along), 1e-18)
    away = at[:, None] - start
    place = np.clip(np.einsum("nej,ej->ne", away, along) / square, 0, 1)
    off = place[:, :, None] * along - away
    distance = np.sqrt(np.einsum("nej,nej->ne", off, off))
    every, best = np.arange(len(at)), distance.argmin(axis=1)
    near = distance[every, best]
    return near, normalize(np.where(near[:, None] > 1e-9, off[every, best], ANY_WAY))


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


@dataclass(frozen=True, slots=True)
class Overhang:
    """A patch that faces down more steeply than the printer's limit.

    Attributes:
        feature: that shows most of it.
        area: mm².
        loose: mm² of it that no edge holds, to a thirtieth.
        rise: from its lowest to its highest point, mm.
        span: greatest way that bridged lines go across it, mm; 0 where none does.
        span_at: where that is, print pose.
        steepest: of what no edge holds, degrees from vertical; None when all of it is held.
        loose_at: where that is, print pose; `span_at` when all of it is held.
    """

    feature: Ident
    area: float
    loose: float
    rise: float
    span: float
    span_at: Vector
    steepest: float | None
    loose_at: Vector


@dataclass(frozen=True, slots=True, eq=False)
class _Faces:
    """Triangles of a part in print pose: corners (m, 3, 3), normals (m, 3), area and slope from vertical (m,)."""

    triangles: Whole
    corners: Array
    normals: Array
    area: Array
    slope: Array

    @staticmethod
    def of(triangles: Whole, points: Array) -> _Faces:
        corners = points[triangles]
        across = triangle_cross(corners)
        area, normals = np.sqrt(np.einsum("ij,ij->i", across, across)) / 2, normalize(across)
        slope = np.degrees(np.arcsin(np.clip(-normals[:, 2], -1, 1)))
        return _Faces(triangles, corners, normals, area, slope)


def find_overhangs(part: Part, printer: Printer, points: Array) -> tuple[Overhang, ...]:
    """Return the patches of a part that face down more steeply than the printer prints cleanly.

    Patches of one feature are sorted by their places: from left to right, then from front to back.

    Args:
        part: for its triangles and the names of their features.
        printer: its steepest clean overhang and its line width.
        points: (n, 3) float, the part's vertices in print pose, mm.
    """
    faces = _Faces.of(part.triangles, points)
    steep = (faces.slope > printer.overhang + FACET) & (faces.corners[:, :, 2].max(axis=1) > ON_BED)
    one, other = Edges(part.triangles).pairs
    both = steep[one // 3] & steep[other // 3]
    number = connected_groups(len(steep), one[both] // 3, other[both] // 3)
    inner, outer = np.concatenate([one, other]), np.concatenate([other, one])
    ends = steep[inner // 3] & ~steep[outer // 3]
    inner, outer = inner[ends], outer[ends]
    members, borders = _grouped(number, np.flatnonzero(steep)), _grouped(number[inner // 3], np.arange(len(inner)))
    found = []
    for patch, mine in members.items():
        if faces.area[mine].sum() > printer.nozzle**2:
            border = borders.get(patch, np.arange(0))
            rim = _rim(faces, inner[border], outer[border])
            found.append(_overhang_of(part, faces, mine, rim, LINES * printer.nozzle))
    along = ((lambda one, axis=axis: one.loose_at[axis], ASIDE) for axis in range(3))
    return tuple(sorted(sort_with_ties(found, *along), key=lambda one: one.feature.id))


def steepest_clean(part: Part, printer: Printer, points: Array) -> float:
    """Return the steepest slope that still prints cleanly, degrees from vertical; 0 without any."""
    faces = _Faces.of(part.triangles, points)
    clean = (faces.slope <= printer.overhang + FACET) & (faces.area > 0)
    return float(np.max(faces.slope[clean], initial=0.0))


def _grouped(number: Whole, things: Whole) -> dict[int, Whole]:
    """Group things by their number."""
    if not len(things):
        return {}
    order = things[np.argsort(number[things], kind="stable")]
    starts = np.flatnonzero(np.diff(number[order], prepend=-1))
    return {int(number[part[0]]): part for part in np.split(order, starts[1:])}


def _overhang_of(part: Part, faces: _Faces, mine: Whole, rim: Rim, ledge: float) -> Overhang:
    area = float(faces.area[mine].sum())
    at, triangle = _places(faces, mine)
    step = (area / len(at)) ** 0.5 / 2
    beyond = distance_to_held(at, rim)[0] > ledge
    at, slope = at[beyond], faces.slope[triangle[beyond]]
    span, bridged = spans(at, rim), np.where(slope >= LEVEL, BRIDGED, ARCH)
    roof = (slope >= LEVEL) & (span <= BRIDGED)
    loose = np.flatnonzero(span > bridged)
    loose = loose[~_beside(at[loose], bridged[loose], rim, ledge)]
    worst = loose[first_most(slope[loose], AS_STEEP)] if len(loose) else None
    most, where = widest_span(at[roof], span[roof], rim, step, BRIDGED)
    shown = first_most(np.bincount(part.feature[mine] + 1, faces.area[mine])) - 1
    return Overhang(
        feature=part.features[shown] if shown >= 0 else UNNAMED,
        area=area,
        loose=area * len(loose) / len(beyond),
        rise=float(np.ptp(faces.corners[mine, :, 2])),
        span=most,
        span_at=_on(faces, mine, where),
        steepest=None if worst is None else float(slope[worst]),
        loose_at=_on(faces, mine, where if worst is None else at[worst]),
    )


def _beside(at: Array, bridged: Array, rim: Rim, ledge: float) -> Mask:
    """Return whether a place lies within a ledge of one that is bridged."""
    turn = np.pi / 4 * np.arange(8)
    around = (at[:, None] + ledge * np.stack([np.cos(turn), np.sin(turn)], axis=1)).reshape(-1, 2)
    return np.asarray((spans(around, rim).reshape(-1, 8) <= bridged[:, None]).any(axis=1))


def _rim(faces: _Faces, inner: Whole, outer: Whole) -> Rim:
    """Return the boundary of a patch, without the holes in it that nothing holds.

    Args:
        faces: of the part.
        inner, outer: (e,) sides of the patch's triangles and of those beyond that meet there; 3 · triangle + side.
    """
    triangle, side = inner // 3, inner % 3
    start, end = faces.corners[triangle, side], faces.corners[triangle, (side + 1) % 3]
    held = _holds(faces, inner, outer)
    loop = _loops(faces.triangles[triangle, side], faces.triangles[triangle, (side + 1) % 3])
    turned = np.bincount(loop, start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0])
    # what faces down runs clockwise seen from above, and its holes the other way
    kept = ((turned <= 0) | (np.bincount(loop, held) > 0))[loop]
    return Rim(start[kept, :2], end[kept, :2], held[kept])


def _holds(faces: _Faces, inner: Whole, outer: Whole) -> Mask:
    """Return whether material below holds an edge: it lies on the bed, or the face beyond it goes down from it.

    That is where the two make a hollow corner; and where one smooth face goes on, where it goes on downward.
    """
    triangle, side = inner // 3, inner % 3
    start, end = faces.corners[triangle, side], faces.corners[triangle, (side + 1) % 3]
    apex, normal = faces.corners[outer // 3, (outer + 2) % 3], faces.normals[triangle]
    below = np.einsum("ij,ij->i", apex - start, normal)
    aside = np.linalg.norm(np.cross(normalize(end - start), apex - start), axis=1)
    smooth = np.einsum("ij,ij->i", normal, faces.normals[outer // 3]) > np.cos(np.radians(SMOOTH))
    lower = apex[:, 2] < np.minimum(start[:, 2], end[:, 2]) - 1e-6
    on_bed = np.maximum(start[:, 2], end[:, 2]) < ON_BED
    held: Mask = on_bed | (below > np.sin(np.radians(CREASE)) * aside) | (smooth & lower)
    return held


def _loops(start: Whole, end: Whole) -> Whole:
    """Return the number of the loop that each boundary edge belongs to, by the vertices that edges share."""
    names, flat = np.unique(np.concatenate([start, end]), return_inverse=True)
    return connected_groups(len(names), flat[: len(start)], flat[len(start) :])[flat[: len(start)]]


def _places(faces: _Faces, mine: Whole) -> tuple[Array, Whole]:
    """Return places spread over a patch, (n, 2) seen from above, and the triangle over each.

    They lie on a grid, so that they are the same however the patch is cut into triangles and in whatever order.
    """
    a, b, c = (faces.corners[mine, k, :2] for k in range(3))
    low, high = (func(faces.corners[mine, :, :2].reshape(-1, 2), axis=0) for func in (np.min, np.max))
    seen = np.abs(_turned(b - a, c - a))
    wanted = int(np.clip(seen.sum(), FEW, MANY))
    side = (seen.sum() / wanted) ** 0.5
    for _ in range(FINER):
        at = low + side * _grid(*np.ceil((high - low) / side).astype(int))
        parts = [_turned(q - p, at[:, None] - p) for p, q in ((a, b), (b, c), (c, a))]
        place, triangle = np.nonzero((np.minimum.reduce(parts) >= 0) | (np.maximum.reduce(parts) <= 0))
        if len(place) >= wanted / 2:
            break
        side /= 2**0.5
    if not len(place):  # a sliver that the grid misses
        return (a + b + c) / 3, mine
    return at[place], mine[triangle]


def _grid(columns: int, rows: int) -> Array:
    """Return the places of a grid of unit squares, each row shifted against the last, (n, 2)."""
    row, column = (one.ravel() for one in np.indices((rows + 1, columns + 1)))
    return np.stack([column - 1 + (STEPS[0] * (row + 1)) % 1, row - 1 + STEPS[1]], axis=1)


def _turned(one: Array, other: Array) -> Array:
    turned: Array = one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]
    return turned


def _on(faces: _Faces, mine: Whole, at: Array) -> Vector:
    """Return the place over a point seen from above, at the height of the patch's nearest triangle."""
    middle = faces.corners[mine].mean(axis=1)
    near = middle[np.hypot(*(middle[:, :2] - at).T).argmin()]
    return (float(at[0]), float(at[1]), float(near[2]))
