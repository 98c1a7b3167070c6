"""Entries of the board and of its printed foot in the table of kinds."""

from __future__ import annotations

from mounts.kinds.board.cautions import board_cautions, board_unread, foot_cautions, foot_unread
from mounts.kinds.board.feet import draw_foot, plan_foot
from mounts.kinds.board.plan import board_pose, plan_board
from mounts.kinds.board.shape import draw_board
from mounts.kinds.board.surroundings import board_frame, foot_frame, foot_surroundings, surroundings
from mounts.kinds.board.values import BoardPlan, FootPlan
from mounts.kinds.kind import Kind
from mounts.kinds.review import Review
from mounts.load.models.job_kinds import BoardJob, FootJob


def _board_review() -> Review[BoardJob, BoardPlan]:
    from mounts.kinds.board.review import BOARD

    return BOARD


def _foot_review() -> Review[FootJob, FootPlan]:
    from mounts.kinds.board.review import FOOT

    return FOOT


BOARD = Kind(
    job=BoardJob,
    name="Board",
    plan=plan_board,
    shape=draw_board,
    surroundings=surroundings,
    axis=board_frame,
    cautions=board_cautions,
    unread=board_unread,
    review=_board_review,
    pose=board_pose,
)
FOOT = Kind(
    job=FootJob,
    name="Foot",
    plan=plan_foot,
    shape=draw_foot,
    surroundings=foot_surroundings,
    axis=foot_frame,
    cautions=foot_cautions,
    unread=foot_unread,
    review=_foot_review,
)
