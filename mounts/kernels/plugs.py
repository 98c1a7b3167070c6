"""Which bodies stand alone in one smooth face of a part, so that a kernel may set them in there without a boolean.

A label's letter, an insert's pocket or a gasket's groove goes through one face of one added body, and meets no other.
Whether it does is asked of coarse solids of the mesh kernel, with the plug swollen by more than their chords can err.
That only admits it: the B-rep kernel weighs what it has set in, and in the end the two kernels must agree.
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

from mounts.geometry.frames import Frame
from mounts.kernels.chords import contour
from mounts.kernels.mesh import body_ids, numbered
from mounts.kernels.nets import net
from mounts.shape.primitives import Body, Prism, Revolved, Ruled
from mounts.shape.recipe import Recipe

SEGMENTS = 64
SPARE = 0.1  # mm: a plug stays this far, and twice the chords' error, from anything else
Key = tuple[int, int]  # index of a feature, and of a body in it


@dataclass(frozen=True, slots=True)
class Plug:
    """A body that stands alone in one face of another.

    Attributes:
        key: its feature and body.
        host: feature and body of the added body through whose face it goes.
        cut: whether it takes material away.
        drawn: the body as a prism or a body of revolution.
        outward: whether the end outside the host is the higher one along its frame's z.
    """

    key: Key
    host: Key
    cut: bool
    drawn: Prism | Revolved
    outward: bool


def plugs(recipe: Recipe) -> tuple[Plug, ...]:
    """The bodies of a recipe that stand alone in one face of an added one.

    Raises:
        KernelError: if a body encloses nothing.
    """
    bodies = {(f, b): body for f, feature in enumerate(recipe.features) for b, body in enumerate(feature.bodies)}
    cut = {key: recipe.features[key[0]].cut for key in bodies}
    points = [net(body, SEGMENTS).points for body in bodies.values()]
    boxes = np.array([(every.min(axis=0), every.max(axis=0)) for every in points])
    margin = SPARE + max(map(_diameter, bodies.values())) * (1 - cos(pi / SEGMENTS))

    @cache
    def solid(key: Key) -> tuple[int, Manifold]:
        return numbered(bodies[key], SEGMENTS)

    found = []
    for key, body in bodies.items():
        form = _form(body)
        if form is None:
            continue
        swollen = _swollen(form, margin)
        low, high = np.array(swollen.bounding_box()).reshape(2, 3)
        near = np.all((boxes[:, 0] <= high) & (boxes[:, 1] >= low), axis=1)
        others = [other for other, close in zip(bodies, near, strict=True) if close and other != key]
        host = _only(swollen, sorted(others, key=lambda other: not cut[other]), solid)
        outward = _goes_through(swollen, form, margin, *solid(host)) if host and not cut[host] else None
        if host and outward is not None:
            found.append(Plug(key, host, cut[key], form, outward))
    hosts = {plug.host for plug in found}
    return tuple(plug for plug in found if plug.key not in hosts)


def _diameter(body: Body) -> float:
    """Diameter of a body's largest arc, 0 when it has none."""
    if isinstance(body, Revolved):
        return max(diameter for _, diameter in body.profile)
    outlines = [s.outline for s in body.sections] if isinstance(body, Ruled) else [body.outline, *body.islands]
    return max((arc.diameter for outline in outlines for arc in outline.arcs), default=0.0)


def _form(body: Body) -> Prism | Revolved | None:
    """A body as a prism or a body of revolution, if it is one."""
    if not isinstance(body, Ruled):
        return body
    frames = [section.frame for section in body.sections]
    outlines = [section.outline for section in body.sections]
    places = [frames[0].into(frame.origin) for frame in frames]
    upright = all(frame.x == frames[0].x and frame.z == frames[0].z for frame in frames)
    if not upright or any(abs(x) > 0 or abs(y) > 0 for x, y, _ in places):
        return None
    heights = [float(place[2]) for place in places]
    if not body.ring and len(set(outlines)) == 1:
        return Prism(outlines[0], heights[0], heights[-1], frames[0])
    if not body.ring or outlines[:4:2] != outlines[1::2] or heights[:2] != heights[:1:-1]:
        return None
    return Prism(outlines[0], heights[0], heights[1], frames[0], (outlines[2],))


def _swollen(form: Prism | Revolved, margin: float) -> Manifold:
    """The plug grown all round by a margin, and longer by as much at both ends."""
    if isinstance(form, Prism):
        rings = [contour(form.outline, SEGMENTS), *(contour(island, SEGMENTS)[::-1] for island in form.islands)]
        grown = CrossSection(rings).offset(margin, manifold3d.JoinType.Miter)
        made = Manifold.extrude(grown, form.high - form.low + 2 * margin).translate((0.0, 0.0, form.low - margin))
    else:
        (low, first), *_, (high, last) = form.profile
        profile = [(low - margin, first), *form.profile, (high + margin, last)]
        right = [(diameter / 2 + margin, z) for z, diameter in profile]
        made = Manifold.revolve(CrossSection([[(0.0, low - margin), *right, (0.0, high + margin)]]), SEGMENTS)
    return made.transform(_matrix(form.frame))


def _only(swollen: Manifold, others: Iterable[Key], solid: Callable[[Key], tuple[int, Manifold]]) -> Key | None:
    """The one body that a swollen plug meets; None when it meets several, or none."""
    met: Key | None = None
    for key in others:
        if not (swollen ^ solid(key)[1]).is_empty():
            if met is not None:
                return None
            met = key
    return met


def _goes_through(swollen: Manifold, form: Prism | Revolved, margin: float, number: int, host: Manifold) -> bool | None:
    """Whether the higher end is outside; None unless one end is, and the host shows one smooth face inside the plug."""
    shared = (swollen ^ host).to_mesh64()
    ids = body_ids(shared)
    faces = np.asarray(shared.face_id, dtype=np.int64)[ids == number]
    if len(faces) == 0 or np.any(faces != faces[0]):
        return None
    corners = form.frame.into(np.asarray(shared.vert_properties)[:, :3])[np.asarray(shared.tri_verts, dtype=np.int64)]
    own = corners[ids != number]
    low, high = (form.low, form.high) if isinstance(form, Prism) else (form.profile[0][0], form.profile[-1][0])
    ends = [_area(own[np.all(np.abs(own[:, :, 2] - end) < 1e-6, axis=1)]) for end in (low - margin, high + margin)]
    shown = corners[ids == number][:, :, 2]
    if shown.min() <= low or shown.max() >= high:  # the face must leave the plug at its sides only
        return None
    return None if (ends[0] > 0) == (ends[1] > 0) else ends[0] > 0


def _area(triangles: NDArray[np.float64]) -> float:
    a, b, c = (triangles[:, k] for k in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)


def _matrix(frame: Frame) -> NDArray[np.float64]:
    """Rows and columns (3, 4) that carry a frame's points into the panel frame."""
    return np.column_stack([frame.axes, frame.origin])
