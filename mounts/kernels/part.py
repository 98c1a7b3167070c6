"""Finished part as triangles with names, whichever kernel made it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from mounts.identity import Ident

if TYPE_CHECKING:
    import cadquery
    import trimesh


@dataclass(frozen=True, eq=False)
class Part:
    """Solid in the panel frame.

    Attributes:
        name: the recipe's name.
        kernel: "brep" or "mesh".
        vertices: (n, 3) float, mm, each place once.
        triangles: (m, 3) int, counter-clockwise seen from outside.
        face: (m,) int, number of the smooth face that each triangle lies on.
        feature: (m,) int, index into `features` of the feature whose surface each triangle shows.
        features: identities of the recipe's features.
        volume: mm³, the kernel's own figure: exact for "brep", of the triangles for "mesh".
        centroid: (3,) float, mm.
        solids, shells, genus: how many pieces, closed surfaces and through holes it has.
        solid: the kernel's own shape, for the writer of STEP; None in the mesh kernel.
    """

    name: str
    kernel: str
    vertices: NDArray[np.float64]
    triangles: NDArray[np.int64]
    face: NDArray[np.int64]
    feature: NDArray[np.int64]
    features: tuple[Ident, ...]
    volume: float
    centroid: NDArray[np.float64]
    solids: int
    shells: int
    genus: int
    solid: cadquery.Solid | None = None

    @cached_property
    def mesh(self) -> trimesh.Trimesh:
        """The triangles as a `trimesh.Trimesh` in the panel frame, mm, made at first use and not to be altered.

        It is made without trimesh's merging of vertices, so that its vertices and faces are numbered as the part's. A
        `copy()` of it may be altered.
        """
        import trimesh

        mesh = trimesh.Trimesh(self.vertices, self.triangles, process=False)
        mesh.mutable = False
        return mesh
