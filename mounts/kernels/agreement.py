"""Comparison of the two kernels' parts of one recipe, and of both with the plan.

Valid is not enough: a solid that lost a pocket or counted one twice calls itself valid. The mesh kernel's volume is
extrapolated to infinitely many segments: its error falls with their square, so V512 + (V512 − V256) / 3.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mounts.errors import KernelError
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.shape.recipe import Recipe

COARSE, FINE = 256, 512  # segments
MOST_PPM = 10.0
MOST_SHIFT = 0.01  # mm


@dataclass(frozen=True, slots=True, eq=False)
class MeshFigures:
    """Figures of the mesh kernel for a recipe.

    Attributes:
        coarse_volume, fine_volume: at 256 and 512 segments, mm³.
        centroid: extrapolated to infinitely many segments, (3,) float, mm.
        solids, shells, genus: at 512 segments.
    """

    coarse_volume: float
    fine_volume: float
    centroid: NDArray[np.float64]
    solids: int
    shells: int
    genus: int

    @property
    def volume(self) -> float:
        """Volume extrapolated to infinitely many segments, mm³."""
        return self.fine_volume + (self.fine_volume - self.coarse_volume) / 3


@dataclass(frozen=True, slots=True)
class Agreement:
    """Figures of both kernels for one part.

    Attributes:
        part: the part's name.
        volume: of the B-rep kernel, mm³.
        coarse_volume, fine_volume: of the mesh kernel at 256 and 512 segments, mm³.
        mesh_volume: of the mesh kernel, extrapolated, mm³.
        difference_ppm: relative difference of the B-rep's volume from that one, in millionths.
        shift: distance between the centroids, mm.
        genus: through holes as the plan states them.
        brep_genus, mesh_genus: as each kernel finds them.
        solids, mesh_solids, shells, mesh_shells: how many each kernel has made.
    """

    part: str
    volume: float
    coarse_volume: float
    fine_volume: float
    mesh_volume: float
    difference_ppm: float
    shift: float
    genus: int
    brep_genus: int
    mesh_genus: int
    solids: int
    mesh_solids: int
    shells: int
    mesh_shells: int


def mesh_figures(recipe: Recipe) -> MeshFigures:
    """Return the mesh kernel's figures for a recipe.

    Raises:
        KernelError: if it cannot draw it.
    """
    coarse, fine = mesh.build(recipe, COARSE), mesh.build(recipe, FINE)
    return MeshFigures(
        coarse_volume=coarse.volume,
        fine_volume=fine.volume,
        centroid=fine.centroid + (fine.centroid - coarse.centroid) / 3,
        solids=fine.solids,
        shells=fine.shells,
        genus=fine.genus,
    )


def check_agreement(brep: Part, recipe: Recipe, figures: MeshFigures | None = None) -> Agreement:
    """Compare a part of the B-rep kernel with the recipe drawn by the mesh kernel.

    Args:
        brep: the part.
        recipe: what it was made of.
        figures: the mesh kernel's figures, when they are already known.

    Raises:
        KernelError: if the mesh kernel cannot draw it.
    """
    figures = figures or mesh_figures(recipe)
    return Agreement(
        part=recipe.name,
        volume=brep.volume,
        coarse_volume=figures.coarse_volume,
        fine_volume=figures.fine_volume,
        mesh_volume=figures.volume,
        difference_ppm=(brep.volume / figures.volume - 1) * 1e6,
        shift=float(np.linalg.norm(brep.centroid - figures.centroid)),
        genus=recipe.genus,
        brep_genus=brep.genus,
        mesh_genus=figures.genus,
        solids=brep.solids,
        mesh_solids=figures.solids,
        shells=brep.shells,
        mesh_shells=figures.shells,
    )


def require_agreement(found: Agreement) -> Agreement:
    """Return the same agreement if the kernels agree.

    Raises:
        KernelError: at the first difference; it names the part, what was expected, and both values.
    """
    counts = (
        ("solid", 1, found.solids, found.mesh_solids),
        ("shell", 1, found.shells, found.mesh_shells),
        ("through hole", found.genus, found.brep_genus, found.mesh_genus),
    )
    for what, expected, *values in counts:
        if values != [expected, expected]:
            raise _disagreement(found, f"{expected} {what}{'s' * (expected != 1)}", str(values[0]), str(values[1]))
    if abs(found.difference_ppm) > MOST_PPM:
        volumes = (f"{found.volume:.3f} mm³", f"{found.mesh_volume:.3f} mm³")
        raise _disagreement(found, f"volumes within {MOST_PPM:g} ppm", *volumes, f", {found.difference_ppm:+.1f} ppm")
    if found.shift > MOST_SHIFT:
        raise KernelError(
            f"part {found.part}: expected centroids within {MOST_SHIFT:g} mm, got {found.shift:.4f} mm "
            "between the B-rep kernel's and the mesh kernel's"
        )
    return found


def _disagreement(found: Agreement, expected: str, brep: str, mesh: str, more: str = "") -> KernelError:
    """Return the error for one difference."""
    return KernelError(
        f"part {found.part}: expected {expected}, got {brep} (B-rep kernel) and {mesh} (mesh kernel){more}"
    )
