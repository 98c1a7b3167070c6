"""One part with everything that is known of it: what the pipeline makes, and what papers and kits are made of."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.findings.report import PartReport
from mounts.kernels.part import Part
from mounts.kinds.kind import J, P, Planned
from mounts.shape.recipe import Scene


@dataclass(frozen=True, slots=True)
class Made(Planned[J, P]):
    """One part with everything that is known of it."""

    scene: Scene
    part: Part
    report: PartReport
