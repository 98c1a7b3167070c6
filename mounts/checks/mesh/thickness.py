"""Least walls of a finished mesh: rays into the material find them, distances between triangles measure them.

A wall is nominal when the surfaces at its two ends oppose each other within 30°. So edges broken at 45° are none, and a
part with sharp edges has no wall of no thickness. Surfaces that fold to a sharper edge are a knife edge.

Third step of measuring walls: from the chords of round faces to the faces that they approximate.

A kernel's triangles span a round face with their corners on it, so a wall between two of them is off by their sag. The
normals at a triangle's corners tell how the face bulges over it, to the second order: half of the mean of the places'
projections onto the corners' tangent planes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import dist

import numpy as np

from mounts.checks.mesh.nearest import Near, least_by, least_walls
from mounts.checks.mesh.skin import Sights, Skin, sights
from mounts.geometry.apart import TOUCH, corner_shares
from mounts.geometry.facets import Whole, normalize
from mounts.geometry.frames import Array, Vector, as_vector
from mounts.geometry.ties import sort_with_ties
from mounts.identity import Pair
from mounts.kernels.part import Part

BEND = float(np.cos(np.radians(25)))  # facets that turn more at a corner are not one round face
NOMINAL, ANYWHERE = 0.87, 0.69  # cosines of 30 degrees, and of 46: with the edges broken at 45
LIKELY = (1.3, 0.15)  # walls up to so many times the least, plus so many mm, may be the least once measured exactly
MOST = 200  # walls measured exactly at most, thinnest first
SAME_PLACE = 3.0  # mm: walls of one feature and one face nearer to each other than this are one
EQUAL, LEVEL = 1e-5, 0.01  # mm: walls that differ by no more are equal, and places lie level with each other
CHORDS = 0.15  # mm: at most, by which the wall of a true surface may differ from that of its triangles


def onto_round_faces(skin: Skin, triangles: Whole, places: Array) -> Array:
    """Return places (k, 3) on triangles (k,) moved onto the round faces that the triangles approximate, (k, 3)."""
    corners = skin.corners[triangles]
    shares = corner_shares(corners, places)
    normals = _corner_normals(skin, triangles)
    tall = np.einsum("kci,kci->kc", corners - places[:, None], normals)
    bulge: Array = 0.5 * np.einsum("kc,kc,kci->ki", shares, tall, normals)
    return places + bulge


def _corner_normals(skin: Skin, triangles: Whole) -> Array:
    """Return normals at corners (k, 3, 3): the angle-weighted mean of what meets there smoothly."""
    vertex = skin.part.triangles[triangles].ravel()
    beside, owner = skin.at_vertices(vertex)
    here = np.repeat(triangles, 3)[owner]
    smooth = np.einsum("ij,ij->i", skin.normals[beside], skin.normals[here]) > BEND
    smooth &= skin.part.face[beside] == skin.part.face[here]
    owner, beside = owner[smooth], beside[smooth]
    weight = _angles(skin.corners[beside], skin.part.triangles[beside] == vertex[owner][:, None])
    pull = (weight[:, None] * skin.normals[beside]).T
    added: Array = np.stack([np.bincount(owner, along, len(vertex)) for along in pull], axis=1).astype(float)
    return normalize(added).reshape(-1, 3, 3)


def _angles(corners: Array, at: Array) -> Array:
    """Return the angle of each triangle (k, 3, 3) at the one corner that `at` (k, 3) marks, rad."""
    k = at.argmax(axis=1)
    index = np.arange(len(corners))
    middle = corners[index, k]
    one, other = (normalize(corners[index, (k + step) % 3] - middle) for step in (1, 2))
    angles: Array = np.arccos(np.clip(np.einsum("ij,ij->i", one, other), -1, 1))
    return angles


@dataclass(frozen=True, slots=True)
class ThinPlace:
    """Material between two surfaces of a part.

    Attributes:
        thickness: mm; 0 at a knife's edge.
        at: the middle of it, in the panel frame.
        between: the two features.
        faces: the two faces, numbered as in `Part.face`.
    """

    thickness: float
    at: Vector
    between: Pair
    faces: tuple[int, int]


def thin_places(
    part: Part, below: float, *, opposed: float = NOMINAL, exact: bool = True, skin: Skin | None = None
) -> tuple[ThinPlace, ...]:
    """Return walls thinner than `below`, thinnest first: one for two features, or for a place within one.

    Lettering is left out, for its corners are knives' edges; what lies behind it counts.

    Args:
        part: closed and oriented.
        below: mm.
        opposed: least cosine between a wall's way and the normals at its ends; ANYWHERE lets edges count that are
            broken at 45 degrees.
        exact: whether the thinnest are measured on the B-rep's own faces where there are any.
        skin: the part's, when it is at hand.
    """
    skin = skin or Skin.of(part)
    seen = sights(skin, opposed)
    group = _by_faces_within(skin, seen, _by_features(skin, seen))
    walls = _walls(skin, seen, likely_groups(seen, group, below), opposed)
    places = named_places(skin, walls)
    if exact and part.solid is not None:
        places = _exactly(skin, walls, places, below, opposed)
    return _apart(thinnest_first(place for place in places.values() if place.thickness < below))


def least_place(skin: Skin, opposed: float = NOMINAL) -> ThinPlace | None:
    """Return the thinnest wall of all, lettering aside; None if no ray meets an opposing surface.

    Args:
        skin: the part's.
        opposed: least cosine between a wall's way and the normals at its ends; ANYWHERE gives the least material
            anywhere, edges broken at 45 degrees included.
    """
    seen = sights(skin, opposed)
    plain = ~skin.lettering[seen.source] & ~skin.lettering[seen.target]
    group = np.where(plain, _by_faces_within(skin, seen, _by_features(skin, seen)), -1)
    group = likely_groups(seen, group, float(seen.length[plain].min(initial=np.inf)))
    walls = _walls(skin, seen, group, opposed)
    return next(iter(thinnest_first(named_places(skin, walls).values())), None)


def _walls(skin: Skin, seen: Sights, group: Whole, opposed: float) -> dict[int, Near]:
    """Return the least wall of each group of rays between features."""
    return least_walls(skin, seen, group, np.full(int(group.max(initial=-1)) + 1, opposed), skin.part.feature)


def likely_groups(seen: Sights, group: Whole, below: float) -> Whole:
    """Return the groups of rays whose least wall may be thinner than `below`, MOST at most; −1 for all others."""
    counted = group >= 0
    least = least_by(group[counted], seen.beneath[counted], int(group.max(initial=-1)) + 1)
    worth = np.flatnonzero(least <= LIKELY[0] * below + LIKELY[1])
    kept = np.zeros(len(least) + 1, dtype=bool)  # the last is that of −1
    kept[worth[np.argsort(least[worth], kind="stable")[:MOST]]] = True
    return np.where(kept[group], group, -1)


def named_places(skin: Skin, walls: Mapping[int, Near]) -> dict[int, ThinPlace]:
    """Return walls with the names of their features; on a kernel's part measured between the round faces."""
    if not walls:
        return {}
    near = list(walls.values())
    triangles = np.array([(wall.one, wall.other) for wall in near])
    ends = np.array([(wall.start, wall.end) for wall in near])
    distance = np.array([wall.distance for wall in near])
    if skin.part.kernel in ("brep", "mesh"):
        smooth = onto_round_faces(skin, triangles.ravel(), ends.reshape(-1, 3)).reshape(-1, 2, 3)
        round_distance = np.linalg.norm(smooth[:, 1] - smooth[:, 0], axis=1)
        counts = np.array([wall.settled for wall in near]) & (distance > TOUCH)
        distance = np.where(counts, round_distance, distance)
    return {
        number: _place(skin.part, float(wide), triangle, end.mean(axis=0))
        for number, wide, triangle, end in zip(walls, distance, triangles, ends, strict=True)
    }


def _place(part: Part, thickness: float, triangles: Whole, middle: Array) -> ThinPlace:
    (one, face), (other, other_face) = sorted((int(part.feature[t]), int(part.face[t])) for t in triangles)
    return ThinPlace(thickness, as_vector(middle), (part.features[one], part.features[other]), (face, other_face))


def _by_features(skin: Skin, seen: Sights) -> Whole:
    """Return the number of the two features that each ray runs between; −1 where both are lettering."""
    one, other = skin.part.feature[seen.source], skin.part.feature[seen.target]
    number = np.minimum(one, other) * len(skin.part.features) + np.maximum(one, other)
    return np.where(skin.lettering[seen.source] & skin.lettering[seen.target], -1, number)


def _by_faces_within(skin: Skin, seen: Sights, group: Whole) -> Whole:
    """Return the groups numbered 0, 1, 2…; rays within one feature make a group for each two faces."""
    one, other = skin.part.face[seen.source], skin.part.face[seen.target]
    faces = np.minimum(one, other) * (int(skin.part.face.max(initial=0)) + 1) + np.maximum(one, other)
    within = skin.part.feature[seen.source] == skin.part.feature[seen.target]
    keys = np.stack([group, np.where(within, faces, -1)], axis=1)
    number: Whole = np.unique(keys, axis=0, return_inverse=True)[1].reshape(-1)
    return np.where(group < 0, -1, number)


def _exactly(
    skin: Skin, walls: Mapping[int, Near], places: dict[int, ThinPlace], below: float, opposed: float
) -> dict[int, ThinPlace]:
    """Return the places, those that may be the least measured on the B-rep's own faces."""
    least = min((place.thickness for place in places.values()), default=0.0)
    most = min(LIKELY[0] * least, LIKELY[0] * below) + LIKELY[1]
    chosen = {number: place for number, place in places.items() if place.thickness <= most and walls[number].settled}
    return places | {number: measure_exactly(skin, walls[number], place, opposed) for number, place in chosen.items()}


def measure_exactly(skin: Skin, wall: Near, place: ThinPlace, opposed: float) -> ThinPlace:
    """Return a place measured on the B-rep's own faces, unless their least distance is not along both normals."""
    from mounts.kernels.readback import face_distance

    one, other = int(skin.part.face[wall.one]), int(skin.part.face[wall.other])
    if place.thickness < TOUCH or one == other:
        return place
    found = face_distance(skin.part.name, skin.exact_faces, one, other)
    way = (found.end - found.start) / max(found.distance, TOUCH)
    along = (-way @ skin.normals[wall.one], way @ skin.normals[wall.other])
    if min(along) < opposed or abs(found.distance - place.thickness) > CHORDS:
        return place
    return replace(place, thickness=found.distance, at=as_vector((found.start + found.end) / 2))


def thinnest_first(places: Iterable[ThinPlace]) -> list[ThinPlace]:
    """Return places sorted by thickness, equal walls by where they are: by x, y and z."""
    along = ((lambda place, axis=axis: place.at[axis], LEVEL) for axis in range(3))
    return sort_with_ties(places, (lambda place: place.thickness, EQUAL), *along)


def _apart(places: Sequence[ThinPlace]) -> tuple[ThinPlace, ...]:
    """Return the places without those that lie beside a thinner one on a face of its own within one feature."""
    kept: list[ThinPlace] = []
    for place in places:
        within = [other for other in kept if other.between == place.between and place.between[0] == place.between[1]]
        beside = [other for other in within if {*place.faces} & {*other.faces}]
        if all(dist(place.at, other.at) > SAME_PLACE for other in beside):
            kept.append(place)
    return tuple(kept)
