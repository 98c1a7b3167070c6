"""All findings on a printed spacer."""

from __future__ import annotations

from mounts.checks.heat import heat_finding
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.walls import wall_findings
from mounts.checks.printing.findings import printing_findings
from mounts.checks.spacer.fit import fit_findings
from mounts.checks.spacer.hold import hold_findings
from mounts.checks.spacer.room import room_findings
from mounts.checks.spacer.sizes import size_findings
from mounts.checks.spacer.strain import strain_findings
from mounts.findings.report import Finding
from mounts.kernels.part import Part
from mounts.kinds.spacer.plan import spacer_pose
from mounts.kinds.spacer.values import SpacerPlan
from mounts.load.models.job_kinds import SpacerJob


def spacer_findings(job: SpacerJob, plan: SpacerPlan, part: Part) -> tuple[Finding, ...]:
    """Return all findings on a spacer, or on one half of it.

    Args:
        job: what was measured and wanted.
        plan: of the spacer.
        part: in the panel frame, with the recipe's names on its features.
    """
    skin = Skin.of(part)
    return (
        *room_findings(job, plan),
        *fit_findings(job, plan),
        *size_findings(plan, part),
        *hold_findings(job, plan),
        *strain_findings(job, plan),
        *([heat_finding(job.material, job.port.place, job.limits)] if job.port.place else []),
        *wall_findings(part, plan.walls, skin=skin, units=job.units),
        *printing_findings(part, job.printer, spacer_pose(plan), units=job.units),
    )
