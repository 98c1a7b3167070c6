"""Flat faces and round holes of a finished mesh, found without a plan."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from mounts.geometry.facets import Mask, Whole, normalize, triangle_cross
from mounts.geometry.frames import PANEL, Array, Frame, Vector
from mounts.geometry.ties import first_most, sort_with_ties
from mounts.identity import UNNAMED, Ident
from mounts.kernels.part import Part

FLAT = 0.9998  # of a face's area that its normals add up to when it is flat: they lie within a degree
ALONG = 0.03  # a round wall's facets may lean so much from its axis where its ends are slanted
ROUND = 0.5  # of a wall's area that its normals add up to at most when it goes all the way round
GAP = 45.0  # degrees: no facet of such a wall is wider
EVEN = 0.02  # mm: a round wall's facets lie no further than this from one circle
ROUNDS = 12  # of fitting a circle
AS_LARGE, LEVEL = 1e-3, 0.01  # mm² and mm: areas and places that differ by no more are equal


@dataclass(frozen=True, slots=True)
class FlatPatch:
    """A flat face.

    Attributes:
        face: its number in the part.
        feature: that shows it.
        middle: centre of its area, panel frame.
        normal: unit, outward, of the plane through its corners by least squares.
        area: mm².
        flatness: distance between the two parallel planes that hold all its corners, mm.
    """

    face: int
    feature: Ident
    middle: Vector
    normal: Vector
    area: float
    flatness: float


@dataclass(frozen=True, slots=True)
class RoundHole:
    """A round hole's wall that goes all the way round, in the frame in which it was looked for.

    Attributes:
        feature: that shows it.
        at: centre in the frame's plane.
        diameter: mm.
        low, high: from where to where it goes along the frame's z.
    """

    feature: Ident
    at: tuple[float, float]
    diameter: float
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class Surface:
    """Triangles of a part, and the sums over its faces.

    Attributes:
        part: the part, panel frame.
    """

    part: Part

    @cached_property
    def corners(self) -> Array:
        """Corners of the triangles, (m, 3, 3) mm."""
        corners: Array = self.part.vertices[self.part.triangles]
        return corners

    @cached_property
    def across(self) -> Array:
        """Area of each triangle along its outward normal, (m, 3) mm²."""
        return triangle_cross(self.corners) / 2

    @cached_property
    def area(self) -> Array:
        """Area of each triangle, (m,) mm²."""
        area: Array = np.sqrt(np.einsum("ij,ij->i", self.across, self.across))
        return area

    @cached_property
    def faces(self) -> Array:
        """Area of each face, and its area along x, y and z, (f, 4) mm²."""
        columns = (self.area, *self.across.T)
        faces: Array = np.stack([np.bincount(self.part.face, column) for column in columns], axis=1)
        return faces

    def feature_of(self, triangle: int) -> Ident:
        """Return the identity of the feature that shows a triangle."""
        index = int(self.part.feature[triangle])
        return self.part.features[index] if index >= 0 else UNNAMED

    def vertices_of(self, triangles: Whole | Mask) -> Array:
        """Return the corners of some triangles, each once, (n, 3) mm."""
        places: Array = self.part.vertices[np.unique(self.part.triangles[triangles])]
        return places


def find_flats(surface: Surface, least: float) -> tuple[FlatPatch, ...]:
    """Return the flat faces of at least so many mm², the largest first, equal ones by place."""
    area = surface.faces[:, 0]
    summed = np.linalg.norm(surface.faces[:, 1:], axis=1)
    chosen = np.flatnonzero((area >= least) & (summed > FLAT * area))
    found = [_flat(surface, int(face)) for face in chosen]
    along = ((lambda one, axis=axis: one.middle[axis], LEVEL) for axis in range(3))
    return tuple(sort_with_ties(found, (lambda one: -one.area, AS_LARGE), *along))


def find_round_holes(surface: Surface, frame: Frame = PANEL) -> tuple[RoundHole, ...]:
    """Return the walls of round holes along the z of a frame that go all the way round."""
    face, area = surface.part.face, np.maximum(surface.faces[:, 0], 1e-12)
    lean = np.zeros(len(area))
    np.maximum.at(lean, face, np.abs(normalize(surface.across) @ np.asarray(frame.z)))
    summed = np.linalg.norm(surface.faces[:, 1:], axis=1)
    chosen = (lean < ALONG) & (summed < ROUND * area) & (surface.faces[:, 0] > 0)
    order = np.flatnonzero(chosen[face])
    order = order[np.argsort(face[order], kind="stable")]
    groups = np.split(order, np.flatnonzero(np.diff(face[order])) + 1) if len(order) else []
    found = (_bore(surface, group, frame) for group in groups)
    return tuple(one for one in found if one)


def plane_of_points(points: Array) -> tuple[Array, Array]:
    """Return centroid and unit normal of the plane nearest to points (n, 3), by orthogonal least squares."""
    middle = points.mean(axis=0)
    return middle, np.linalg.svd(points - middle, full_matrices=False)[2][2]


def circle_of_points(points: Array) -> tuple[float, float, float]:
    """Return centre (x, y) and diameter of the circle nearest to points (n, 2), by orthogonal least squares.

    It starts from the algebraic fit and minimises the distances themselves by Gauss and Newton.
    """
    middle = points.mean(axis=0)
    x, y = (points - middle).T
    cx, cy, c = np.linalg.lstsq(np.stack([2 * x, 2 * y, np.ones(len(x))], axis=1), x * x + y * y, rcond=None)[0]
    found = np.array([cx, cy, np.sqrt(max(c + cx * cx + cy * cy, 0.0))])
    for _ in range(ROUNDS):
        away = np.stack([x - found[0], y - found[1]], axis=1)
        distance = np.maximum(np.hypot(*away.T), 1e-12)
        slopes = np.column_stack([-away / distance[:, None], -np.ones(len(x))])
        step = np.linalg.lstsq(slopes, found[2] - distance, rcond=None)[0]
        found = found + step
        if np.abs(step).max() < 1e-12:
            break
    return float(found[0] + middle[0]), float(found[1] + middle[1]), float(2 * found[2])


def _flat(surface: Surface, face: int) -> FlatPatch:
    mine = np.flatnonzero(surface.part.face == face)
    middle, normal = plane_of_points(surface.vertices_of(mine))
    outward = normal if normal @ surface.faces[face, 1:] > 0 else -normal
    off = (surface.vertices_of(mine) - middle) @ outward
    weight = surface.area[mine]
    centre = (surface.corners[mine].mean(axis=1) * weight[:, None]).sum(axis=0) / weight.sum()
    centre = centre - ((centre - middle) @ outward) * outward
    return FlatPatch(
        face=face,
        feature=surface.feature_of(int(mine[first_most(weight)])),
        middle=_vector(centre),
        normal=_vector(outward),
        area=float(weight.sum()),
        flatness=float(np.ptp(off)),
    )


def _bore(surface: Surface, mine: Whole, frame: Frame) -> RoundHole | None:
    """Return the hole whose wall some triangles are; None for a round pin, or what is not round."""
    places = frame.into(surface.vertices_of(mine))
    if len(places) < 12:
        return None
    x, y, diameter = circle_of_points(places[:, :2])
    away = places[:, :2] - (x, y)
    turn = np.sort(np.degrees(np.arctan2(away[:, 1], away[:, 0])))
    if np.abs(np.hypot(*away.T) - diameter / 2).max() > EVEN or np.diff(turn, append=turn[0] + 360).max() > GAP:
        return None
    middle = frame.into(surface.corners[mine].mean(axis=1))[:, :2] - (x, y)
    inward = np.einsum("ij,ij->", surface.across[mine] @ frame.axes[:, :2], middle) < 0
    if not inward:
        return None
    feature = surface.feature_of(int(mine[0]))
    return RoundHole(feature, (x, y), diameter, float(places[:, 2].min()), float(places[:, 2].max()))


def _vector(values: Array) -> Vector:
    a, b, c = (float(value) for value in values)
    return (a, b, c)
