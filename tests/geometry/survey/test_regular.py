"""Nearly a bolt circle."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
import pytest

from mounts.geometry.survey.regular import Regularity, fit_bolt_circle


def holes(count: int, diameter: float, first: float = 20.0) -> list[tuple[float, float]]:
    turns = [radians(first + 360 * k / count) for k in range(count)]
    return [(diameter / 2 * sin(t) + 0.4, diameter / 2 * cos(t) - 0.3) for t in turns]


@pytest.mark.parametrize("count", [3, 4, 5, 8])
def test_a_regular_one_is(count):
    found = fit_bolt_circle(tuple(holes(count, 158.0)), np.eye(2 * count) * 0.25**2)
    assert found.verdict is Regularity.REGULAR
    assert (found.diameter, found.first) == pytest.approx((158.0, 20.0))
    assert found.centre == pytest.approx((0.4, -0.3))
    assert found.misfit == pytest.approx(0.0, abs=1e-9)


def test_just_and_just_not():
    """One hole of four off by d along the circle leaves chi squared of about d² / σ² / 2 (four of eight spent)."""
    at = holes(4, 158.0, 0.0)
    verdicts = []
    for off in (1.2, 1.4, 6.0, 9.0):
        moved = [(at[0][0] + off, at[0][1]), *at[1:]]
        verdicts.append(fit_bolt_circle(tuple(moved), np.eye(8) * 0.25**2).verdict)
    assert verdicts == [Regularity.REGULAR, Regularity.NEARLY, Regularity.NEARLY, Regularity.IRREGULAR]


def test_both_versions_differ_by_what_is_told():
    at = [*holes(4, 158.0)]
    at[2] = (at[2][0] + 2.0, at[2][1])
    found = fit_bolt_circle(tuple(at), np.eye(8) * 0.25**2)
    apart = [((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5 for (ax, ay), (bx, by) in zip(at, found.at, strict=True)]
    assert found.residuals == pytest.approx(apart)
