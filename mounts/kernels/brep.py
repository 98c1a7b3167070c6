"""B-rep kernel: any recipe as the real part, exact, with the name of a feature on every face.

All bodies are exact solids that share nothing. The added ones are fused at once, and the others are cut at once, but
for letters that stand alone in one curved face, which are set in there (`grafting`). The part is accepted once both
kernels agree on it.

Coaxial cylinders of a feature, such as a stepped hole or post, are drawn as one body of revolution: a boolean costs a
third of the work so, and no coaxial circles are left to be intersected with each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from mounts.errors import KernelError
from mounts.geometry.frames import Frame
from mounts.kernels.agreement import Agreement, check_agreement, mesh_figures, require_agreement
from mounts.kernels.booleans import TrackedShape, Way, build_from_cells, fuse_then_cut
from mounts.kernels.brep_solids import solid
from mounts.kernels.cad import OCP, cq, kernel_step
from mounts.kernels.grafting import grafts_of
from mounts.kernels.grafting.graft import Graft, NoGraftError, apply_grafts
from mounts.kernels.grafting.plugs import Key
from mounts.kernels.part import Part
from mounts.kernels.tessellation import tessellate
from mounts.shape.primitives import Body, Prism, Revolved
from mounts.shape.recipe import Feature, Recipe

SAME = 1e-9  # mm, and of a direction
EXACT = 1e-8  # relative error asked of the kernel's integrals
# The CAD kernel's intersections seldom go astray, but they do, and call the result valid. The other kernel's figures
# show it; then another way through the same geometry is tried.
ATTEMPTS = ((fuse_then_cut, True), (build_from_cells, False), (fuse_then_cut, False))


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


def build(
    recipe: Recipe, sag: float = 0.02, turn: float = 0.3, *, way: Way = fuse_then_cut, graft: bool = True
) -> Part:
    """Return the real part of a recipe.

    Args:
        recipe: what to draw.
        sag: furthest that a triangle may lie from the true surface, mm.
        turn: greatest angle between neighbouring chords, rad.
        way: how the booleans are made.
        graft: whether letters that stand alone in one curved face are set in without a boolean.

    Raises:
        KernelError: if a body cannot be, nothing is left, or the kernel fails; it names part, step and values.
    """
    whole = build_shape(recipe, way, graft=graft)
    with kernel_step(recipe.name, "measure"):
        volume, centroid = volume_and_centroid(whole.shape)
    solids = whole.shape.Solids()
    if not solids or volume <= 0:
        raise KernelError(
            f"part {recipe.name}: nothing is left, expected one solid, got {len(solids)} of {volume:.6g} mm³"
        )
    with kernel_step(recipe.name, "check", features=len(recipe.features)):
        if not whole.shape.isValid():
            raise RuntimeError("the CAD kernel calls its own solid not valid")
    with kernel_step(recipe.name, "triangulate", sag=sag, turn=turn):
        vertices, triangles, face = tessellate(whole.shape, sag, turn)
    shells = len(whole.shape.Shells())
    return Part(
        name=recipe.name,
        kernel="brep",
        vertices=vertices,
        triangles=triangles,
        face=face,
        feature=_features(recipe, whole)[face],
        features=tuple(feature.ident for feature in recipe.features),
        volume=volume,
        centroid=centroid,
        solids=len(solids),
        shells=shells,
        genus=shells - (len(vertices) - len(triangles) // 2) // 2,
        solid=solids[0] if len(solids) == 1 else whole.shape,
    )


def build_shape(recipe: Recipe, way: Way = fuse_then_cut, *, graft: bool = True) -> TrackedShape:
    """Return the exact shape of a recipe, with the origin of each face.

    Args:
        recipe: what to draw.
        way: how the booleans are made.
        graft: whether letters that stand alone in one curved face are set in without a boolean.

    Raises:
        KernelError: if a body cannot be, nothing is added, or the kernel fails.
    """
    if not any(feature.bodies for feature in recipe.added):
        raise KernelError(f"part {recipe.name}: no feature adds material")
    recipe = merge_coaxial(recipe)
    drawn = [(f, b) for f, feature in enumerate(recipe.features) for b in range(len(feature.bodies))]
    added = {key: _body(recipe, *key) for key in drawn if not recipe.features[key[0]].cut}
    with kernel_step(recipe.name, "boolean", bodies=len(drawn)):
        grafts = grafts_of(recipe, added) if graft else []
        tools = {key: _body(recipe, *key) for key in drawn if key not in added and key not in {*map(_key, grafts)}}
        while True:
            whole = way([*added.values()], [*tools.values()])
            try:
                return apply_grafts(whole, grafts)
            except NoGraftError as error:  # what cannot be set in is cut like all the rest
                grafts = [one for one in grafts if one not in error.grafts]
                tools |= {key: _body(recipe, *key) for key in map(_key, error.grafts)}


def _key(graft: Graft) -> Key:
    """Return feature and body of a graft."""
    return graft.origin[:2]


def volume_and_centroid(shape: cq.Shape) -> tuple[float, NDArray[np.float64]]:
    """Return the volume of closed solids in mm³, and their centroid, (3,) float, mm.

    By raw bindings: cadquery's centre of mass takes no tolerance, and at the kernel's own, of a few points a face, a
    shallow cut into a curved face alone put a ring's volume wrong by 150 ppm.
    """
    found = OCP.GProp.GProp_GProps()
    OCP.BRepGProp.BRepGProp.VolumeProperties_s(shape.wrapped, found, EXACT, True, False)
    return float(found.Mass()), np.array(cq.Vector(found.CentreOfMass()).toTuple())


def _body(recipe: Recipe, f: int, b: int) -> TrackedShape:
    """Return the solid of one body of a feature, each face with its origin.

    Raises:
        KernelError: if the body encloses nothing; it names part, feature and body.
    """
    step = f"feature {recipe.features[f].ident}, body {b}"
    with kernel_step(recipe.name, step):
        shape = solid(recipe.features[f].bodies[b])
    volume = shape.Volume()
    if volume <= 0:
        raise KernelError(f"part {recipe.name}, {step}: encloses {volume:.6g} mm³: {recipe.features[f].bodies[b]}")
    return TrackedShape(shape, {face: (f, b, k) for k, face in enumerate(shape.Faces())})


def _features(recipe: Recipe, whole: TrackedShape) -> NDArray[np.int64]:
    """Return the index of the feature of every face, in the order of `Shape.Faces`."""
    origins = [whole.origins.get(face) for face in whole.shape.Faces()]
    if None in origins:
        raise KernelError(f"part {recipe.name}: {origins.count(None)} of {len(origins)} faces belong to no feature")
    return np.array([origin[0] for origin in origins if origin], dtype=np.int64)


def build_verified(recipe: Recipe, sag: float = 0.02, turn: float = 0.3) -> tuple[Part, Agreement]:
    """Return the part of the B-rep kernel, and its agreement with the mesh kernel and with what the plan states.

    Args:
        recipe: what to draw.
        sag: furthest that a triangle may lie from the true surface, mm.
        turn: greatest angle between neighbouring chords, rad.

    Raises:
        KernelError: if no attempt agrees; the text is that of the first one.
    """
    figures = mesh_figures(recipe)
    trouble: KernelError | None = None
    for way, graft in ATTEMPTS:
        try:
            part = build(recipe, sag, turn, way=way, graft=graft)
            found = check_agreement(part, recipe, figures)
            return part, require_agreement(found)
        except KernelError as error:
            trouble = trouble or error
    assert trouble is not None
    raise trouble
