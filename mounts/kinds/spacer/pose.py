"""How a spacer stands: printed on its front, so that the lip lies on the bed and nothing hangs; the device along z."""

from __future__ import annotations

from mounts.findings.report import Pose
from mounts.geometry.frames import Frame
from mounts.kinds.spacer.values import SpacerPlan


def spacer_pose(plan: SpacerPlan) -> Pose:
    """Half a turn about x, and the front on the bed."""
    return ((1.0, 0.0, 0.0, 0.0), (0.0, -1.0, 0.0, 0.0), (0.0, 0.0, -1.0, plan.front), (0.0, 0.0, 0.0, 1.0))


def device_frame(plan: SpacerPlan) -> Frame:
    """The device's axis: level with the panel's z, where its front lies."""
    x0, y0, x1, y1 = plan.bore.device.box
    return Frame(((x0 + x1) / 2, (y0 + y1) / 2, plan.front))
