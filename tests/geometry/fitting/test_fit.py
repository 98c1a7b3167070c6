"""Outlines through points along a rim: the true ones come back, and doubtful points are named."""

from __future__ import annotations

import numpy as np
import pytest

from mounts.geometry.fitting.rim import fit_rim
from mounts.geometry.outline import Outline, circle, oblong, rectangle


def along(outline: Outline, count: int) -> np.ndarray:
    """Points evenly along an outline."""
    ends = np.cumsum([0.0, *(span.length for span in outline.spans)])
    places = np.linspace(0.0, ends[-1], count, endpoint=False) + 1.0
    found = []
    for place in places % ends[-1]:
        k = int(np.searchsorted(ends, place, side="right")) - 1
        found.append(outline.spans[k].at(float((place - ends[k]) / outline.spans[k].length)))
    return np.array(found)


@pytest.mark.parametrize(
    ("shape", "outline", "sizes", "turn"),
    [
        ("circle", circle(7.0), (7.0,), 0.0),
        ("circle", circle(120.0), (120.0,), 0.0),
        ("oblong", oblong(150.0, 110.0).turned(3.0), (150.0, 110.0), 3.0),
        ("oblong", oblong(110.0, 150.0), (150.0, 110.0), 90.0),
        ("rectangle", rectangle(150.0, 110.0, 20.0).turned(-4.0), (150.0, 110.0, 20.0), -4.0),
        ("rectangle", rectangle(100.0, 100.0, 10.0), (100.0, 100.0, 10.0), 0.0),
    ],
)
def test_the_plainest_shape_comes_back(shape, outline, sizes, turn):
    found = fit_rim(along(outline.moved(31.0, -7.0), 24), 0.01)
    assert found.shape == shape
    assert found.centre == pytest.approx((31.0, -7.0), abs=2e-3)
    assert found.sizes == pytest.approx(sizes, abs=0.02)
    assert abs((found.turn - turn + 90) % 180 - 90) < 0.01
    assert found.worst < 0.01
    assert found.outline.area == pytest.approx(outline.area, rel=2e-4)


def test_an_egg_is_a_general_outline():
    turns = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
    egg = np.column_stack([75 * np.cos(turns) + 3 * np.cos(2 * turns), 55 * np.sin(turns)])
    found = fit_rim(egg, 0.05)
    assert found.shape == "outline"
    assert found.worst < 0.1
    assert abs(found.outline.area) == pytest.approx(np.pi * 75 * 55, rel=2e-3)  # the second harmonic adds no area
    assert all(found.outline.moved(*found.centre).depth((x * 0.99, y * 0.99)) > 0 for x, y in egg)


def test_a_point_that_is_off_is_named():
    points = along(circle(120.0), 12)
    points[3] *= 1.05
    with pytest.raises(ValueError, match=r"^point 4 lies \d\.\d off the "):
        fit_rim(points, 0.25)
    points[3] *= 1.003 / 1.05
    assert fit_rim(points, 0.25).shape == "circle"


def test_too_few_or_in_a_line():
    with pytest.raises(ValueError, match="lie in one line"):
        fit_rim(np.array([(0.0, 0.0), (10.0, 10.0), (20.0, 20.0), (30.0, 30.1)]), 0.25)
    with pytest.raises(ValueError, match="shape oblong needs at least 5"):
        fit_rim(along(oblong(150.0, 110.0), 4), 0.25, "oblong")


def test_errors_are_the_formula_s():
    """n points all round: each coordinate of the centre has σ √(2/n), the diameter 2σ/√n (normal equations)."""
    found = fit_rim(along(circle(120.0), 16), 0.25)
    assert found.spread == pytest.approx((2 / 16, 0.0, 2 / 16), abs=1e-9)
    assert found.size_sd == pytest.approx(2 / 16**0.5)
