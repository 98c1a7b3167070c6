"""Entry of the cup in the table of kinds."""

from __future__ import annotations

from mounts.kinds.cup import speaker_kind
from mounts.kinds.cup.cautions import cup_cautions, cup_unread
from mounts.kinds.cup.plan import cup_pose, plan_cup
from mounts.kinds.cup.shape import draw_cup
from mounts.kinds.cup.sizes import cup_sizes
from mounts.kinds.cup.surroundings import surroundings
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.kind import Kind
from mounts.kinds.review import Review
from mounts.kinds.speaker_kind import seat_frame
from mounts.load.models.job_kinds import CupJob


def _review() -> Review[CupJob, CupPlan]:
    from mounts.kinds.cup.review import CUP

    return CUP


CUP = Kind(
    job=CupJob,
    name="Cup",
    plan=plan_cup,
    shape=draw_cup,
    surroundings=surroundings,
    axis=seat_frame,
    cautions=cup_cautions,
    unread=cup_unread,
    review=_review,
    pose=cup_pose,
    sizes=cup_sizes,
    holds=speaker_kind.CUP,
)
