"""Print pose of a spacer, on its front so that the lip lies on the bed and nothing overhangs; its device's frame."""

from __future__ import annotations

from mounts.findings.report import Pose
from mounts.geometry.frames import Frame
from mounts.kinds.spacer.values import SpacerPlan


def spacer_pose(plan: SpacerPlan) -> Pose:
    """Return the print pose: half a turn about x, with the front on the bed."""
    return ((1.0, 0.0, 0.0, 0.0), (0.0, -1.0, 0.0, 0.0), (0.0, 0.0, -1.0, plan.front), (0.0, 0.0, 0.0, 1.0))


def device_frame(plan: SpacerPlan) -> Frame:
    """Return the device's frame, level with the panel, its origin on the sleeve's front."""
    x0, y0, x1, y1 = plan.bore.device.box
    return Frame(((x0 + x1) / 2, (y0 + y1) / 2, plan.front))
