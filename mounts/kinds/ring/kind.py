"""Entries of the ring in the table of kinds: printed, and cut from sheet."""

from __future__ import annotations

from mounts.kinds.kind import Kind
from mounts.kinds.review import Review
from mounts.kinds.ring import speaker_kind
from mounts.kinds.ring.cautions import ring_cautions, ring_unread
from mounts.kinds.ring.dummy_shape import dummy_of
from mounts.kinds.ring.flat import draw_flat, plan_flat
from mounts.kinds.ring.halves.plan import half_pose, parts_of, plan_part
from mounts.kinds.ring.shape import draw_first_check, draw_ring, draw_whole
from mounts.kinds.ring.sizes import flat_sizes, ring_sizes
from mounts.kinds.ring.surroundings import flat_surroundings, surroundings
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.kinds.speaker_kind import seat_frame
from mounts.load.models.job_kinds import RingJob


def _ring_review() -> Review[RingJob, RingPlan]:
    from mounts.kinds.ring.review import RING

    return RING


def _flat_review() -> Review[RingJob, FlatPlan]:
    from mounts.kinds.ring.review import FLAT

    return FLAT


RING = Kind(
    job=RingJob,
    name="Mount",
    plan=plan_part,
    shape=draw_ring,
    surroundings=surroundings,
    axis=seat_frame,
    cautions=ring_cautions,
    unread=ring_unread,
    review=_ring_review,
    pose=half_pose,
    sizes=ring_sizes,
    holds=speaker_kind.RING,
    slice=draw_first_check,
    slice_pose=half_pose,
    dummy=dummy_of,
    parts=parts_of,
    whole=draw_whole,
)
FLAT = Kind(
    job=RingJob,
    name="Mount",
    plan=plan_flat,
    shape=draw_flat,
    surroundings=flat_surroundings,
    axis=seat_frame,
    cautions=ring_cautions,
    unread=ring_unread,
    review=_flat_review,
    sizes=flat_sizes,
    holds=speaker_kind.FLAT,
)
