"""Letters that stand alone in one smooth face of a part, so that they may be set in there without a boolean.

A plug is a straight prism with a polygon for an outline that is cut through one face of one added body and meets no
other body. This is tested on coarse solids of the mesh kernel, with the plug dilated by more than their chords can err.
The test only admits it: the volume of what is set in is checked, and in the end the two kernels must agree.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache
from math import cos, pi

import manifold3d
import numpy as np
from manifold3d import CrossSection, Manifold
from numpy.typing import NDArray

from mounts.kernels.mesh import body_ids, numbered_solid
from mounts.kernels.nets import SAME, contour, net
from mounts.shape.primitives import Body, Prism, Revolved, Ruled
from mounts.shape.recipe import Recipe

SEGMENTS = 64
SPARE = 0.1  # mm: a plug stays this far, and twice the chords' error, from anything else
Key = tuple[int, int]  # index of a feature, and of a body in it


@dataclass(frozen=True, slots=True)
class Plug:
    """Prism to be cut that stands alone in one face of another body, its higher end outside.

    Attributes:
        key: its feature and body.
        host: feature and body of the added body through whose face it goes.
        prism: the prism.
    """

    key: Key
    host: Key
    prism: Prism


def find_plugs(recipe: Recipe) -> tuple[Plug, ...]:
    """Return the plugs of a recipe.

    Raises:
        KernelError: if a body encloses nothing.
    """
    bodies = {(f, b): body for f, feature in enumerate(recipe.features) for b, body in enumerate(feature.bodies)}
    cut = {key: recipe.features[key[0]].cut for key in bodies}
    letters = {key: body for key, body in bodies.items() if isinstance(body, Prism) and cut[key] and _is_straight(body)}
    if not letters:
        return ()
    try:
        points = [net(body, SEGMENTS).points for body in bodies.values()]
    except ValueError:  # a body that cannot be: whoever draws it says so, by its name
        return ()
    boxes = np.array([(every.min(axis=0), every.max(axis=0)) for every in points])
    margin = SPARE + max(map(_diameter, bodies.values())) * (1 - cos(pi / SEGMENTS))

    @cache
    def solid(key: Key) -> tuple[int, Manifold]:
        return numbered_solid(bodies[key], SEGMENTS)

    found = []
    for key, letter in letters.items():
        swollen = _dilate(letter, margin)
        low, high = np.array(swollen.bounding_box()).reshape(2, 3)
        near = np.all((boxes[:, 0] <= high) & (boxes[:, 1] >= low), axis=1)
        others = [other for other, close in zip(bodies, near, strict=True) if close and other != key]
        host = _single_host(swollen, sorted(others, key=lambda other: not cut[other]), solid)
        if host and not cut[host] and _pierces_one_face(swollen, letter, margin, *solid(host)):
            found.append(Plug(key, host, letter))
    return tuple(found)


def _is_straight(body: Prism) -> bool:
    """Return whether a prism has plane sides only."""
    return not any(arc.length > SAME for outline in (body.outline, *body.islands) for arc in outline.arcs)


def _diameter(body: Body) -> float:
    """Return the diameter of a body's largest arc, 0 when it has none."""
    if isinstance(body, Revolved):
        return max(diameter for _, diameter in body.profile)
    outlines = [s.outline for s in body.sections] if isinstance(body, Ruled) else [body.outline, *body.islands]
    return max((arc.diameter for outline in outlines for arc in outline.arcs), default=0.0)


def _dilate(letter: Prism, margin: float) -> Manifold:
    """Return the plug offset all round by a margin, and longer by as much at both ends."""
    rings = [contour(letter.outline, SEGMENTS), *(contour(island, SEGMENTS)[::-1] for island in letter.islands)]
    grown = CrossSection(rings).offset(margin, manifold3d.JoinType.Miter)
    made = Manifold.extrude(grown, letter.high - letter.low + 2 * margin).translate((0.0, 0.0, letter.low - margin))
    return made.transform(np.column_stack([letter.frame.axes, letter.frame.origin]))


def _single_host(swollen: Manifold, others: Iterable[Key], solid: Callable[[Key], tuple[int, Manifold]]) -> Key | None:
    """Return the one body that a dilated plug meets; None when it meets several, or none."""
    met: Key | None = None
    for key in others:
        if not (swollen ^ solid(key)[1]).is_empty():
            if met is not None:
                return None
            met = key
    return met


def _pierces_one_face(swollen: Manifold, letter: Prism, margin: float, number: int, host: Manifold) -> bool:
    """Return whether the higher end alone is outside, and the host has one smooth face inside the plug."""
    shared = (swollen ^ host).to_mesh64()
    ids = body_ids(shared)
    faces = np.asarray(shared.face_id, dtype=np.int64)[ids == number]
    if len(faces) == 0 or np.any(faces != faces[0]):
        return False
    corners = letter.frame.into(np.asarray(shared.vert_properties)[:, :3])[np.asarray(shared.tri_verts, dtype=np.int64)]
    own, shown = corners[ids != number], corners[ids == number][:, :, 2]
    low, high = (
        _area(own[np.all(np.abs(own[:, :, 2] - end) < 1e-6, axis=1)])
        for end in (letter.low - margin, letter.high + margin)
    )
    # the face must leave the plug at its sides only
    return low > 0 and high == 0 and shown.min() > letter.low and shown.max() < letter.high


def _area(triangles: NDArray[np.float64]) -> float:
    """Return the area of triangles (m, 3, 3), mm²."""
    a, b, c = (triangles[:, k] for k in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)
