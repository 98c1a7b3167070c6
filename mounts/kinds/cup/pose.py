"""How a cup is printed: as it hangs behind the panel, its back on the bed."""

from __future__ import annotations

from mounts.findings.report import Pose
from mounts.kinds.cup.values import CupPlan


def cup_pose(plan: CupPlan) -> Pose:
    """Return the print pose: as it hangs behind the panel, lifted by its depth so that its back is on the bed."""
    return ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, plan.depth), (0.0, 0.0, 0.0, 1.0))
