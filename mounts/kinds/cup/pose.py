"""How a cup is printed: as it hangs behind the panel, its back on the bed."""

from __future__ import annotations

from mounts.findings.report import Pose
from mounts.kinds.cup.values import CupPlan


def cup_pose(plan: CupPlan) -> Pose:
    """Lifted by its depth."""
    return ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, plan.depth), (0.0, 0.0, 0.0, 1.0))
