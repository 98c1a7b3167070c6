"""Whether the two kernels made the same part of a recipe, and the part that the plan states.

Valid is not enough: a solid that lost a pocket or counted one twice calls itself valid. The mesh kernel's volume is
drawn to what endless segments would give: its error falls with their square, so V512 + (V512 − V256) / 3.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mounts.errors import KernelError
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.shape.recipe import Recipe

COARSE, FINE = 256, 512  # segments
MOST_PPM = 10.0
MOST_SHIFT = 0.01  # mm


@dataclass(frozen=True, slots=True)
class Agreement:
    """What both kernels say of one part.

    Attributes:
        part: the part's name.
        volume: of the B-rep kernel, mm³.
        coarse_volume, fine_volume: of the mesh kernel at 256 and 512 segments, mm³.
        mesh_volume: of the mesh kernel at endless segments, mm³.
        difference_ppm: the B-rep's volume over that one, less one, in millionths.
        shift: distance between the centroids, mm.
        genus, brep_genus, mesh_genus: through holes as stated, and as found by each kernel.
        solids, shells: of the B-rep part.
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
    shells: int


def check_agreement(brep: Part, recipe: Recipe) -> Agreement:
    """Measures the B-rep part against the recipe drawn by the mesh kernel.

    Raises:
        KernelError: if the mesh kernel cannot draw it.
    """
    coarse, fine = mesh.build(recipe, COARSE), mesh.build(recipe, FINE)
    volume = fine.volume + (fine.volume - coarse.volume) / 3
    centroid = fine.centroid + (fine.centroid - coarse.centroid) / 3
    return Agreement(
        part=recipe.name,
        volume=brep.volume,
        coarse_volume=coarse.volume,
        fine_volume=fine.volume,
        mesh_volume=volume,
        difference_ppm=(brep.volume / volume - 1) * 1e6,
        shift=float(np.linalg.norm(brep.centroid - centroid)),
        genus=recipe.genus,
        brep_genus=brep.genus,
        mesh_genus=fine.genus,
        solids=brep.solids,
        shells=brep.shells,
    )


def require_agreement(found: Agreement) -> Agreement:
    """The same agreement, if it is one.

    Raises:
        KernelError: at the first thing that differs; it names the part, what was expected, and both values.
    """
    counts = (
        ("one solid", found.solids, 1),
        ("one shell", found.shells, 1),
        (f"{found.genus} through holes in the B-rep kernel", found.brep_genus, found.genus),
        (f"{found.genus} through holes in the mesh kernel", found.mesh_genus, found.genus),
    )
    for what, value, expected in counts:
        if value != expected:
            raise KernelError(f"part {found.part}: expected {what}, got {value}")
    if abs(found.difference_ppm) > MOST_PPM:
        raise KernelError(
            f"part {found.part}: expected volumes within {MOST_PPM:g} ppm, got {found.volume:.3f} mm³ (B-rep) and "
            f"{found.mesh_volume:.3f} mm³ (mesh), {found.difference_ppm:+.1f} ppm"
        )
    if found.shift > MOST_SHIFT:
        raise KernelError(
            f"part {found.part}: expected centroids within {MOST_SHIFT:g} mm, they lie {found.shift:.4f} mm apart"
        )
    return found


def agreed(brep: Part, recipe: Recipe) -> Agreement:
    """Both kernels' agreement on a part.

    Raises:
        KernelError: if there is none.
    """
    return require_agreement(check_agreement(brep, recipe))
