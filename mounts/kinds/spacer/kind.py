"""Entry of the spacer in the table of kinds."""

from __future__ import annotations

from mounts.kinds.kind import Kind
from mounts.kinds.review import Review
from mounts.kinds.spacer.cautions import spacer_cautions, spacer_unread
from mounts.kinds.spacer.plan import device_frame, plan_spacer, spacer_pose
from mounts.kinds.spacer.shape import draw_spacer, draw_spacer_check
from mounts.kinds.spacer.surroundings import surroundings
from mounts.kinds.spacer.values import SpacerPlan
from mounts.load.models.job_kinds import SpacerJob


def _review() -> Review[SpacerJob, SpacerPlan]:
    from mounts.kinds.spacer.review import SPACER

    return SPACER


SPACER = Kind(
    job=SpacerJob,
    name="Spacer",
    plan=plan_spacer,
    shape=draw_spacer,
    surroundings=surroundings,
    axis=device_frame,
    cautions=spacer_cautions,
    unread=spacer_unread,
    review=_review,
    pose=spacer_pose,
    slice=draw_spacer_check,
)
