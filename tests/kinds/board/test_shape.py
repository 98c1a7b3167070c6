"""The board drawn, by both kernels: volumes against closed forms, genus, and how it stands on the bed."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from mounts import pipeline
from mounts.kinds.board.feet import draw_foot, plan_foot
from mounts.kinds.board.plan import board_pose, plan_board
from mounts.kinds.board.shape import draw_board
from tests.boards import CUT, board, foot


def test_a_cut_board_is_its_outline_less_its_holes_times_its_thickness(tmp_path):
    slot = {"loom": {"at": [0, -55], "slot": [40, 12], "turn": 10}}
    plan = plan_board(board(tmp_path, CUT, passages=slot))
    part, agreement = pipeline.build(draw_board(plan))
    whole = 170 * 150 - (4 - pi) * 10**2
    cut = 28 * 12 + pi * 6**2 + 4 * pi * 1.6**2 + 4 * pi * 3.0**2  # slot, pilots of 3.2, holes of 6 for M5
    assert part.volume == pytest.approx((whole - cut) * 12, rel=1e-9)
    assert part.genus == plan.genus == 9
    assert abs(agreement.difference_ppm) < 1


def test_a_printed_board_has_its_feet_on_and_lies_on_its_top(tmp_path):
    plan = plan_board(board(tmp_path, passages={"loom": {"at": [0, -55], "slot": [40, 12]}}))
    part, agreement = pipeline.build(draw_board(plan))
    assert (part.genus, part.solids, part.shells) == (5, 1, 1)
    assert abs(agreement.difference_ppm) < 1
    matrix = np.asarray(board_pose(plan))
    points = part.vertices @ matrix[:3, :3].T + matrix[:3, 3]
    assert points[:, 2].min() == pytest.approx(0, abs=1e-9)
    assert points[:, 2].max() == pytest.approx(20)
    lying = part.feature[np.ptp(points[part.triangles][:, :, 2], axis=1) + points[part.triangles][:, 0, 2] < 1e-6]
    assert {part.features[k].label for k in lying} == {"plate"}


def test_a_foot_is_a_disc_with_broken_edges_and_a_blind_hole(tmp_path):
    plan = plan_foot(foot(tmp_path))
    part, _ = pipeline.build(draw_foot(plan))
    ends = 2 * pi * 0.5 / 3 * (20**2 + 20 * 19.5 + 19.5**2)  # two frustums
    assert part.volume == pytest.approx(pi * 20**2 * 14 + ends - pi * 3.2**2 * 10.3, rel=1e-9)
    assert part.genus == 0
