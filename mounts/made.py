"""One part with everything that is known of it: what the pipeline makes, and what papers and kits are made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mounts.findings.report import PartReport
from mounts.kernels.part import Part
from mounts.kinds.kind import J, P, Planned
from mounts.shape.recipe import Scene

if TYPE_CHECKING:
    import cadquery
    import trimesh


@dataclass(frozen=True, slots=True)
class Made(Planned[J, P]):
    """One part with everything that is known of it.

    Attributes:
        scene: the part's recipe among the real things round it.
        part: the finished part.
        report: every finding.
    """

    scene: Scene
    part: Part
    report: PartReport

    @property
    def solid(self) -> cadquery.Solid:
        """The exact part, a `cadquery.Solid` in the panel's frame, mm."""
        return self.part.solid

    @property
    def mesh(self) -> trimesh.Trimesh:
        """The part's triangles as they are printed, a `trimesh.Trimesh` in the panel's frame, mm, for reading only.

        A `copy()` of it may be altered.
        """
        return self.part.mesh

    def assembly(self) -> cadquery.Assembly:
        """Return the part among the real things round it, a coloured `cadquery.Assembly` in the panel's frame.

        Its children are called part, speaker, panel, hardware, glass and so on; what was not measured is not there.
        """
        from mounts.kernels.brep_solids import build_assembly

        return build_assembly(self.solid, self.scene)
