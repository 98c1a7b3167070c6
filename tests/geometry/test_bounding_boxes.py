"""Boxes of turned points against the rotation itself."""

from __future__ import annotations

import numpy as np
import pytest

from mounts.geometry.bounding_boxes import TURNS, project_turned, projected_box_sizes, turned_box_sizes


def test_as_the_points_turned_one_by_one() -> None:
    rng = np.random.default_rng(3)
    points, some = rng.uniform(-80, 80, (40, 2)), rng.random(40) < 0.5
    projected = project_turned(points)
    for of, found in ((points, turned_box_sizes(points)), (points[some], projected_box_sizes(projected, some))):
        for turn, size in zip(np.radians(TURNS), found, strict=True):
            turned = of @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
            assert size == pytest.approx(np.ptp(turned, axis=0), abs=1e-10)
