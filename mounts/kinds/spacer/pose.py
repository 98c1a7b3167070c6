"""How a spacer is printed: standing on its front, so that the lip lies on the bed and nothing hangs."""

from __future__ import annotations

from mounts.findings.report import Pose
from mounts.kinds.spacer.values import SpacerPlan


def spacer_pose(plan: SpacerPlan) -> Pose:
    """Half a turn about x, and the front on the bed."""
    return ((1.0, 0.0, 0.0, 0.0), (0.0, -1.0, 0.0, 0.0), (0.0, 0.0, -1.0, plan.front), (0.0, 0.0, 0.0, 1.0))
