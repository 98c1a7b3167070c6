"""Points laid on others by turning, shifting and, where wanted, growing them: never by mirroring.

Source: S. Umeyama, IEEE PAMI 13 (1991) 376. In a plane the problem is linear in scale·cos and scale·sin.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mounts.geometry.frames import Array


@dataclass(frozen=True, slots=True, eq=False)
class Registration:
    """How points are laid on others: target ≈ scale · turned(source) + shift.

    Attributes:
        scale: 1 where growing was not allowed.
        turn: degrees counter-clockwise, above −180 up to 180.
        shift: (2,) float, mm.
        left: (n, 2) float, target less what the source becomes.
    """

    scale: float
    turn: float
    shift: Array
    left: Array

    @property
    def mean_square(self) -> float:
        """Mean of the squared distances left, mm²."""
        return float((self.left**2).sum(axis=1).mean())


def registered(source: Array, target: Array, *, growing: bool = False) -> Registration:
    """The least-squares way of laying points (n, 2) on as many others.

    Args:
        source: what is moved.
        target: where to.
        growing: whether the source may also change its size.
    """
    here, there = source.mean(axis=0), target.mean(axis=0)
    a, b = source - here, target - there
    along = float((a * b).sum())
    across = float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum())
    size = float((a**2).sum())
    turn = float(np.arctan2(across, along))
    scale = float(np.hypot(along, across)) / max(size, 1e-12) if growing else 1.0
    c, s = scale * np.cos(turn), scale * np.sin(turn)
    matrix = np.array([[c, -s], [s, c]])
    shift = there - matrix @ here
    return Registration(scale, float(np.degrees(turn)), shift, target - source @ matrix.T - shift)
