"""One part with everything that is known of it: what the pipeline makes, and what papers and kits are made of."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.findings.report import PartReport
from mounts.kernels.part import Part
from mounts.kinds.kind import Plan
from mounts.load.models.resolved import AnyJob
from mounts.shape.recipe import Scene


@dataclass(frozen=True, slots=True)
class Made:
    """One part with everything that is known of it."""

    job: AnyJob
    plan: Plan
    scene: Scene
    part: Part
    report: PartReport
