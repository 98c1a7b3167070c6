"""Mesh kernel: any recipe as triangles, in milliseconds, for the preview and as an independent check.

It shares nothing with the B-rep kernel but the primitives, so what both give alike is likely to be right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import manifold3d
import numpy as np
from manifold3d import Manifold
from numpy.typing import NDArray

from mounts.errors import KernelError
from mounts.kernels.nets import net
from mounts.kernels.part import Part
from mounts.shape.primitives import Body
from mounts.shape.recipe import Feature, Recipe

NO_VOLUME = 1e-6  # mm³


@dataclass(frozen=True, slots=True, eq=False)
class MeshSolid:
    """Solid of a recipe in manifold3d, before it is taken apart into triangles.

    Attributes:
        whole: the solid.
        owner: feature's index by the original id of each body in it.
    """

    whole: Manifold
    owner: dict[int, int]


def build(recipe: Recipe, segments: int = 256) -> Part:
    """Return a recipe as a part of triangles.

    Args:
        recipe: what to draw.
        segments: chords of a full circle; arcs take their share, and small circles fewer, since they bulge less.

    Raises:
        KernelError: if a body encloses nothing, or nothing is left.
    """
    made = build_solid(recipe, segments)
    mesh = made.whole.to_mesh64()
    vertices = np.array(mesh.vert_properties[:, :3])
    triangles = np.asarray(mesh.tri_verts, dtype=np.int64)
    ids = body_ids(mesh)
    lumps = [lump.volume() for lump in made.whole.decompose()]
    return Part(
        name=recipe.name,
        kernel="mesh",
        vertices=vertices,
        triangles=triangles,
        face=_face_numbers(ids, np.asarray(mesh.face_id, dtype=np.int64)),
        feature=np.array([made.owner.get(i, -1) for i in range(ids.max() + 1)])[ids],
        features=tuple(feature.ident for feature in recipe.features),
        volume=made.whole.volume(),
        centroid=centroid(vertices, triangles),
        solids=sum(volume > 0 for volume in lumps),
        shells=len(lumps),
        genus=made.whole.genus() + len(lumps) - 1,
    )


def build_solid(recipe: Recipe, segments: int) -> MeshSolid:
    """Return the union of a recipe's added bodies less the union of its cut ones.

    Raises:
        KernelError: if a body encloses nothing, nothing is added, or nothing is left.
    """
    if not any(feature.bodies for feature in recipe.added):
        raise KernelError(f"part {recipe.name}: no feature adds material")
    owner: dict[int, int] = {}
    solids: dict[bool, list[Manifold]] = {False: [], True: []}
    for index, feature in enumerate(recipe.features):
        for number, made in _feature_solids(recipe, feature, segments):
            owner[number] = index
            solids[feature.cut].append(made)
    added = Manifold.batch_boolean(solids[False], manifold3d.OpType.Add)
    whole = Manifold.batch_boolean([added, *solids[True]], manifold3d.OpType.Subtract)
    _check_solid(whole, f"part {recipe.name}, {len(owner)} bodies at {segments} segments")
    return MeshSolid(whole, owner)


def solid(body: Body, segments: int = 256) -> Manifold:
    """Return one primitive as a solid, `segments` chords to a full circle.

    Raises:
        KernelError: if it encloses nothing.
    """
    return numbered_solid(body, segments)[1]


def union(bodies: Sequence[Body], segments: int = 256) -> Manifold:
    """Return several primitives as one solid, as the space that a thing takes.

    Raises:
        KernelError: if one of them encloses nothing.
    """
    return Manifold.batch_boolean([solid(body, segments) for body in bodies], manifold3d.OpType.Add)


def centroid(vertices: NDArray[np.float64], triangles: NDArray[np.int64]) -> NDArray[np.float64]:
    """Return the centre of the volume inside closed triangles, (3,) float, mm."""
    a, b, c = (vertices[triangles[:, k]] for k in range(3))
    sixfold = np.einsum("ij,ij->i", a, np.cross(b, c))
    middle: NDArray[np.float64] = (a + b + c).T @ sixfold / (4 * sixfold.sum())
    return middle


def body_ids(mesh: manifold3d.Mesh64) -> NDArray[np.int64]:
    """Return the original id of the body that each triangle comes from, (m,) int."""
    starts: NDArray[np.int64] = np.asarray(mesh.run_index, dtype=np.int64) // 3
    return np.repeat(np.asarray(mesh.run_original_id, dtype=np.int64), starts[1:] - starts[:-1])


def _feature_solids(recipe: Recipe, feature: Feature, segments: int) -> list[tuple[int, Manifold]]:
    """Return the solids of a feature's bodies, each with its original id.

    Raises:
        KernelError: if one encloses nothing; it names part and feature.
    """
    try:
        return [numbered_solid(body, segments) for body in feature.bodies]
    except KernelError as error:
        raise KernelError(f"part {recipe.name}, feature {feature.ident}: {error}") from error


def numbered_solid(body: Body, segments: int) -> tuple[int, Manifold]:
    """Return a primitive as a solid with numbered smooth faces, after its original id.

    Raises:
        KernelError: if it encloses nothing.
    """
    number = Manifold.reserve_ids(1)
    try:
        drawn = net(body, segments)
    except ValueError as error:
        raise KernelError(f"mesh kernel: {error}") from error
    made = Manifold(
        manifold3d.Mesh64(
            drawn.points,
            drawn.triangles.astype(np.uint64),
            run_index=np.array([0, drawn.triangles.size], dtype=np.uint64),
            run_original_id=np.array([number], dtype=np.uint32),
            face_id=drawn.face.astype(np.uint64),
        )
    )
    _check_solid(made, f"{type(body).__name__.lower()} at {segments} segments")
    return number, made


def _check_solid(made: Manifold, what: str) -> None:
    """Check that a solid is valid and encloses a volume.

    Raises:
        KernelError: if it does not; `what` names it.
    """
    if made.status() != manifold3d.Error.NoError:
        raise KernelError(f"mesh kernel: {what}: {made.status().name}")
    if made.volume() < NO_VOLUME:
        raise KernelError(f"mesh kernel: {what}: encloses {made.volume():.6g} mm³")


def _face_numbers(ids: NDArray[np.int64], faces: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the numbers 0, 1, 2 … of the smooth faces, distinct by body and by face of that body."""
    keys = ids * (int(faces.max(initial=0)) + 1) + faces
    number: NDArray[np.int64] = np.unique(keys, return_inverse=True)[1].reshape(-1)
    return number
