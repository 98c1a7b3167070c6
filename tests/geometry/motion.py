"""The least-squares motion between paired points, which `find_registrations` refines pairs with."""

from __future__ import annotations

from collections.abc import Sequence

from mounts.geometry.registration import Motion, Point, _as_complex, _fit_motion, _motion


def nearest_motion(points: Sequence[Point], onto: Sequence[Point], *, mirrored: bool = False) -> Motion:
    """The motion that brings points nearest to their partners, by least squares.

    Args:
        points: (n) points.
        onto: their partners, in the same order.
        mirrored: whether the points are mirrored first.
    """
    here, there = _as_complex(points, mirrored=mirrored), _as_complex(onto)
    return _motion(*_fit_motion(here, there), mirrored=mirrored)
