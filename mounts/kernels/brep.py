"""The B-rep kernel: any recipe as the real part, exact, with the name of a feature on every face.

All bodies are exact solids that share nothing; the added ones are fused at once and all the others cut at once.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.errors import KernelError
from mounts.kernels.brep_bodies import solid
from mounts.kernels.brep_boolean import Owned, Way, together
from mounts.kernels.brep_triangles import faces_of, triangulated
from mounts.kernels.occ import OCP, cadquery, kernel_step
from mounts.kernels.part import Part
from mounts.shape.recipe import Recipe

# Relative error asked of the kernel's integrals. Without it they take few points a face, and a shallow cut into a curved
# face alone put a ring's volume wrong by 150 ppm.
EXACT = 1e-6


def build(recipe: Recipe, sag: float = 0.02, turn: float = 0.3) -> Part:
    """A recipe as the real part.

    Args:
        recipe: what to draw.
        sag: furthest that a triangle may lie from the true surface, mm.
        turn: greatest angle between neighbouring chords, rad.

    Raises:
        KernelError: if a body cannot be, nothing is left, or the kernel fails; it names part, step and values.
    """
    whole = realised(recipe)
    with kernel_step(recipe.name, "measure"):
        volume, centroid = _mass(whole.shape)
    shells = _count(whole.shape, OCP.TopAbs.TopAbs_SHELL)
    solids = _count(whole.shape, OCP.TopAbs.TopAbs_SOLID)
    if not solids or volume <= 0:
        raise KernelError(f"part {recipe.name}: nothing is left, expected one solid, got {solids} of {volume:.6g} mm³")
    with kernel_step(recipe.name, "triangulate", sag=sag, turn=turn):
        vertices, triangles, face = triangulated(whole.shape, sag, turn)
    return Part(
        name=recipe.name,
        kernel="brep",
        vertices=vertices,
        triangles=triangles,
        face=face,
        feature=_features(recipe, whole)[face],
        features=tuple(feature.name for feature in recipe.features),
        volume=volume,
        centroid=centroid,
        solids=solids,
        shells=shells,
        genus=shells - (len(vertices) - len(triangles) // 2) // 2,
        solid=cadquery.Shape.cast(_only(whole.shape)),
    )


def realised(recipe: Recipe, way: Way = together) -> Owned:
    """The exact shape of a recipe, with the feature that each face belongs to.

    Raises:
        KernelError: if a body cannot be, nothing is added, or the kernel fails.
    """
    if not any(feature.bodies for feature in recipe.added):
        raise KernelError(f"part {recipe.name}: no feature adds material")
    added, tools = (
        [_body(recipe, index, k) for index, feature in enumerate(recipe.features) if feature.cut is cut for k in range(len(feature.bodies))]
        for cut in (False, True)
    )
    with kernel_step(recipe.name, "boolean", added=len(added), tools=len(tools)):
        return way(added, tools)


def _body(recipe: Recipe, index: int, k: int) -> Owned:
    feature = recipe.features[index]
    step = f"feature {feature.name}, body {k}"
    with kernel_step(recipe.name, step):
        shape = solid(feature.bodies[k])
    volume = _mass(shape)[0]
    if volume <= 0:
        raise KernelError(f"part {recipe.name}, {step}: encloses {volume:.6g} mm³: {feature.bodies[k]}")
    faces = tuple(faces_of(shape))
    return Owned(shape, faces, (index,) * len(faces))


def _features(recipe: Recipe, whole: Owned) -> NDArray[np.int64]:
    """Index of the feature of every face, in the order in which the shape is explored."""
    known = OCP.TopTools.TopTools_IndexedMapOfShape()
    owners: dict[int, int] = {}
    for face, owner in zip(whole.faces, whole.owners, strict=True):
        owners.setdefault(known.Add(face), owner)
    found = [owners.get(known.FindIndex(face), -1) for face in faces_of(whole.shape)]
    if -1 in found:
        raise KernelError(f"part {recipe.name}: {found.count(-1)} of {len(found)} faces belong to no feature")
    return np.array(found, dtype=np.int64)


def _mass(shape: Any) -> tuple[float, NDArray[np.float64]]:
    """Volume in mm³ and centroid, (3,) float, mm."""
    properties = OCP.GProp.GProp_GProps()
    OCP.BRepGProp.BRepGProp.VolumeProperties_s(shape, properties, EXACT, True, False)
    centre = properties.CentreOfMass()
    return float(properties.Mass()), np.array([centre.X(), centre.Y(), centre.Z()])


def _count(shape: Any, kind: Any) -> int:
    found = OCP.TopTools.TopTools_IndexedMapOfShape()
    OCP.TopExp.TopExp.MapShapes_s(shape, kind, found)
    return int(found.Extent())


def _only(shape: Any) -> Any:
    """The one solid inside a compound; the compound itself when there are more."""
    explorer = OCP.TopExp.TopExp_Explorer(shape, OCP.TopAbs.TopAbs_SOLID)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found[0] if len(found) == 1 else shape
