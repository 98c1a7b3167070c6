"""Result of a fit to a rim, as a value without numpy."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mounts.geometry.outline import Outline, Point

Shape = Literal["circle", "oblong", "rectangle", "outline"]


@dataclass(frozen=True, slots=True)
class RimFit:
    """Closed outline fitted to points along a rim.

    Attributes:
        shape: what was fitted.
        centre: of the outline, mm, where the points were given; of a general outline its box's middle.
        sizes: (diameter,), (length, width) or (width, height, corner radius); of a general outline its box's sides, mm.
        turn: of the first size, degrees counter-clockwise from +x; 0 for a circle and a general outline.
        outline: about its centre, counter-clockwise.
        spread: variances xx, xy, yy of the centre for points read to 1 mm (one standard deviation), mm².
        size_sd: standard deviation of the sizes, the worst of them, for points read to 1 mm.
        rms: root mean square of the residuals, degrees of freedom taken off; 0 when no point is to spare, mm.
        worst, worst_at: the greatest residual, mm, and the index of its point.
    """

    shape: Shape
    centre: Point
    sizes: tuple[float, ...]
    turn: float
    outline: Outline
    spread: tuple[float, float, float]
    size_sd: float
    rms: float
    worst: float
    worst_at: int
