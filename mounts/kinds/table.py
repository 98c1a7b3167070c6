"""Every mount kind that can be made, by the words of a job: (kind, make)."""

from __future__ import annotations

from collections.abc import Iterable

from mounts.kinds.board.feet import draw_foot, plan_foot
from mounts.kinds.board.plan import board_pose, plan_board
from mounts.kinds.board.shape import draw_board
from mounts.kinds.board.surroundings import board_frame, foot_frame
from mounts.kinds.board.surroundings import foot_surroundings as round_foot
from mounts.kinds.board.surroundings import surroundings as round_board
from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.cup.pose import cup_pose
from mounts.kinds.cup.shape import draw_cup
from mounts.kinds.cup.surroundings import surroundings as round_cup
from mounts.kinds.kind import Kind
from mounts.kinds.ring.dummy_shape import dummy_of
from mounts.kinds.ring.flat import draw_flat, plan_flat
from mounts.kinds.ring.shape import draw_first_check, draw_ring, draw_whole
from mounts.kinds.ring.split import half_pose, parts_of, plan_part
from mounts.kinds.ring.surroundings import flat_surroundings as round_flat
from mounts.kinds.ring.surroundings import surroundings as round_ring
from mounts.kinds.spacer.plan import plan_spacer
from mounts.kinds.spacer.pose import device_frame, spacer_pose
from mounts.kinds.spacer.shape import draw_spacer, draw_spacer_check
from mounts.kinds.spacer.surroundings import surroundings as round_spacer
from mounts.load.models.resolved import AnyJob

RING = Kind(
    plan_part,
    draw_ring,
    draw_first_check,
    round_ring,
    half_pose,
    dummy=dummy_of,
    parts=parts_of,
    whole=draw_whole,
    slice_pose=half_pose,
)
KINDS: dict[tuple[str, str], Kind] = {
    ("ring", "print"): RING,
    ("ring", "cut"): Kind(plan_flat, draw_flat, None, round_flat),
    ("cup", "print"): Kind(plan_cup, draw_cup, None, round_cup, cup_pose),
    ("spacer", "print"): Kind(plan_spacer, draw_spacer, draw_spacer_check, round_spacer, spacer_pose, device_frame),
    ("board", "cut"): Kind(plan_board, draw_board, None, round_board, board_pose, board_frame),
    ("board", "print"): Kind(plan_board, draw_board, None, round_board, board_pose, board_frame),
    ("foot", "print"): Kind(plan_foot, draw_foot, None, round_foot, axis=foot_frame),
}


def parts(jobs: Iterable[AnyJob]) -> tuple[AnyJob, ...]:
    """One job a part: a mount that its printer's bed does not hold comes in two where its plan allows it."""
    return tuple(part for job in jobs for part in KINDS[job.kind, job.make].parts(job))
