"""Build of the real part, accepted once both kernels agree on it."""

from __future__ import annotations

from mounts.errors import KernelError
from mounts.kernels import brep
from mounts.kernels.agreement import Agreement, check_agreement, mesh_figures, require_agreement
from mounts.kernels.booleans import build_from_cells, fuse_then_cut
from mounts.kernels.part import Part
from mounts.shape.recipe import Recipe

# The CAD kernel's intersections seldom go astray, but they do, and call the result valid. The second figures tells, and
# another way through the same geometry is asked then.
ATTEMPTS = ((fuse_then_cut, True), (build_from_cells, False), (fuse_then_cut, False))


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
            part = brep.build(recipe, sag, turn, way=way, graft=graft)
            found = check_agreement(part, recipe, figures)
            return part, require_agreement(found)
        except KernelError as error:
            trouble = trouble or error
    assert trouble is not None
    raise trouble
