"""The B-rep kernel: any recipe as the real part, exact, with the name of a feature on every face.

All bodies are exact solids that share nothing. What stands alone in one face is set in there; of the rest, the added
bodies are fused at once and the others cut at once.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from mounts.errors import KernelError
from mounts.kernels.brep_bodies import solid
from mounts.kernels.brep_boolean import Owned, Way, in_turn, origins_of
from mounts.kernels.brep_graft import NoGraftError, grafted
from mounts.kernels.brep_grafts import grafts_of
from mounts.kernels.brep_mass import mass, roughly
from mounts.kernels.brep_triangles import count_of, faces_of, triangulated
from mounts.kernels.occ import OCP, kernel_step
from mounts.kernels.part import Part
from mounts.kernels.plugs import Key
from mounts.kernels.stacks import stacked
from mounts.shape.recipe import Recipe


def build(recipe: Recipe, sag: float = 0.02, turn: float = 0.3, *, way: Way = in_turn, graft: bool = True) -> Part:
    """A recipe as the real part.

    Args:
        recipe: what to draw.
        sag: furthest that a triangle may lie from the true surface, mm.
        turn: greatest angle between neighbouring chords, rad.
        way: how the booleans are made.
        graft: whether bodies that stand alone in one face are set in without a boolean.

    Raises:
        KernelError: if a body cannot be, nothing is left, or the kernel fails; it names part, step and values.
    """
    whole = realised(recipe, way, graft=graft)
    with kernel_step(recipe.name, "measure"):
        volume, centroid = mass(whole.shape)
    shells = count_of(whole.shape, OCP.TopAbs.TopAbs_SHELL)
    solids = count_of(whole.shape, OCP.TopAbs.TopAbs_SOLID)
    if not solids or volume <= 0:
        raise KernelError(f"part {recipe.name}: nothing is left, expected one solid, got {solids} of {volume:.6g} mm³")
    with kernel_step(recipe.name, "check", features=len(recipe.features)):
        if not OCP.BRepCheck.BRepCheck_Analyzer(whole.shape, True, True).IsValid():
            raise RuntimeError("the CAD kernel calls its own solid not valid")
    with kernel_step(recipe.name, "triangulate", sag=sag, turn=turn):
        vertices, triangles, face = triangulated(whole.shape, sag, turn)
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
        solids=solids,
        shells=shells,
        genus=shells - (len(vertices) - len(triangles) // 2) // 2,
        solid=_only(whole.shape),
    )


def realised(recipe: Recipe, way: Way = in_turn, *, graft: bool = True) -> Owned:
    """The exact shape of a recipe, with the origin of each face.

    Args:
        recipe: what to draw.
        way: how the booleans are made.
        graft: whether bodies that stand alone in one face are set in without a boolean.

    Raises:
        KernelError: if a body cannot be, nothing is added, or the kernel fails.
    """
    if not any(feature.bodies for feature in recipe.added):
        raise KernelError(f"part {recipe.name}: no feature adds material")
    recipe = stacked(recipe)
    bodies = {
        (f, b): _body(recipe, f, b) for f, feature in enumerate(recipe.features) for b in range(len(feature.bodies))
    }
    with kernel_step(recipe.name, "boolean", bodies=len(bodies)):
        grafts = grafts_of(recipe, bodies) if graft else []
        while True:
            whole = _booleans(recipe, bodies, way, {graft.origin[:2] for graft in grafts})
            try:
                return grafted(whole, grafts)
            except NoGraftError as error:  # what cannot be set in is cut like all the rest
                grafts = [graft for graft in grafts if graft not in error.grafts]


def _booleans(recipe: Recipe, bodies: dict[Key, Owned], way: Way, without: set[Key]) -> Owned:
    left = {key: body for key, body in bodies.items() if key not in without}
    added, tools = ([body for (f, _), body in left.items() if recipe.features[f].cut is cut] for cut in (False, True))
    return way(added, tools)


def _body(recipe: Recipe, f: int, b: int) -> Owned:
    step = f"feature {recipe.features[f].ident}, body {b}"
    with kernel_step(recipe.name, step):
        shape = solid(recipe.features[f].bodies[b])
    volume = roughly(shape)
    if volume <= 0:
        raise KernelError(f"part {recipe.name}, {step}: encloses {volume:.6g} mm³: {recipe.features[f].bodies[b]}")
    faces = tuple(faces_of(shape))
    return Owned(shape, faces, tuple((f, b, k) for k in range(len(faces))))


def _features(recipe: Recipe, whole: Owned) -> NDArray[np.int64]:
    """Index of the feature of every face, in the order in which the shape is explored."""
    origins = origins_of(whole)
    if None in origins:
        raise KernelError(f"part {recipe.name}: {origins.count(None)} of {len(origins)} faces belong to no feature")
    return np.array([origin[0] for origin in origins if origin], dtype=np.int64)


def _only(shape: Any) -> Any:
    """The one solid inside a compound; the compound itself when there are more."""
    explorer = OCP.TopExp.TopExp_Explorer(shape, OCP.TopAbs.TopAbs_SOLID)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found[0] if len(found) == 1 else shape
