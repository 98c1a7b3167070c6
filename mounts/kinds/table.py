"""Every mount kind that can be made, by the words of a job: (kind, make)."""

from __future__ import annotations

from mounts.kinds.board.feet import draw_foot, plan_foot
from mounts.kinds.board.plan import board_pose, plan_board
from mounts.kinds.board.shape import draw_board
from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.cup.pose import cup_pose
from mounts.kinds.cup.shape import draw_cup
from mounts.kinds.kind import Kind
from mounts.kinds.ring.flat import draw_flat, plan_flat
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_first_check, draw_ring
from mounts.kinds.spacer.plan import plan_spacer
from mounts.kinds.spacer.pose import spacer_pose
from mounts.kinds.spacer.shape import draw_spacer, draw_spacer_check

KINDS: dict[tuple[str, str], Kind] = {
    ("ring", "print"): Kind(plan_ring, draw_ring, draw_first_check),
    ("ring", "cut"): Kind(plan_flat, draw_flat, None),
    ("cup", "print"): Kind(plan_cup, draw_cup, None, cup_pose),
    ("spacer", "print"): Kind(plan_spacer, draw_spacer, draw_spacer_check, spacer_pose),
    ("board", "cut"): Kind(plan_board, draw_board, None, board_pose),
    ("board", "print"): Kind(plan_board, draw_board, None, board_pose),
    ("foot", "print"): Kind(plan_foot, draw_foot, None),
}
