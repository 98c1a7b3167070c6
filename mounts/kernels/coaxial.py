"""Union of coaxial cylinders of a feature, such as a stepped hole or post, into one body of revolution.

A fixing is drawn as a clearance hole, a tool path and a recess; as one body it costs a boolean a third of the work, and
no coaxial circles are left to be intersected with each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from mounts.geometry.frames import Frame
from mounts.shape.primitives import Body, Prism, Revolved
from mounts.shape.recipe import Feature, Recipe

SAME = 1e-9  # mm, and of a direction


@dataclass(frozen=True, slots=True)
class _Cylinder:
    """Cylinder from `low` to `high` along the z of a frame on its axis, mm."""

    frame: Frame  # on its axis
    low: float
    high: float
    diameter: float


def merge_coaxial(recipe: Recipe) -> Recipe:
    """Return the same part with the touching coaxial cylinders of each feature drawn as one body."""
    return replace(recipe, features=tuple(_merge_in_feature(feature) for feature in recipe.features))


def _merge_in_feature(feature: Feature) -> Feature:
    """Return a feature with its touching coaxial cylinders merged."""
    bodies: list[Body] = []
    left = list(feature.bodies)
    while left:
        body = left.pop(0)
        first = _as_cylinder(body)
        stack = [(other, c) for other in left if first and (c := _in_frame_of(first, other)) is not None]
        whole = _coaxial_union(first, [c for _, c in stack]) if first and stack else None
        if whole is None:
            bodies.append(body)
        else:
            bodies.append(whole)
            left = [other for other in left if all(other is not member for member, _ in stack)]
    return replace(feature, bodies=tuple(bodies))


def _as_cylinder(body: Body) -> _Cylinder | None:
    """Return a body as a cylinder; None if it is another shape."""
    if not isinstance(body, Prism) or body.islands or not body.outline.is_circle or body.high <= body.low:
        return None
    arc = body.outline.arcs[0]
    return _Cylinder(body.frame.shifted(*arc.centre), body.low, body.high, arc.diameter)


def _in_frame_of(first: _Cylinder, body: Body) -> _Cylinder | None:
    """Return a body as a cylinder in another one's frame, if it is coaxial and the same way up; else None."""
    other = _as_cylinder(body)
    if other is None or np.abs(np.subtract(first.frame.z, other.frame.z)).max() > SAME:
        return None
    x, y, z = (float(value) for value in first.frame.into(other.frame.origin))
    return replace(other, frame=first.frame, low=other.low + z, high=other.high + z) if abs(x) + abs(y) < SAME else None


def _coaxial_union(first: _Cylinder, others: Sequence[_Cylinder]) -> Revolved | None:
    """Return the union of cylinders about one axis; None when there is a gap between them."""
    every = [first, *others]
    places = sorted({end for cylinder in every for end in (cylinder.low, cylinder.high)})
    profile: list[tuple[float, float]] = []
    for low, high in pairwise(places):
        if high - low > SAME:
            widest = max((c.diameter for c in every if c.low <= low + SAME and c.high >= high - SAME), default=0.0)
            if widest <= 0:
                return None
            profile += [(low, widest), (high, widest)]
    return Revolved(first.frame, tuple(profile))
