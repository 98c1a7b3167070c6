"""Test of a pattern for a regular bolt circle; one that is only nearly regular is how wrong mounts are made."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist

import numpy as np

from mounts.geometry.fitting.shapes import fit_circle
from mounts.geometry.frames import Array
from mounts.geometry.outline import Point

NEARLY = 0.025  # of the diameter: a pattern whose holes are all this near to regular is taken for it by eye
ALARMS = 0.01  # share of truly regular patterns that are called irregular


class Regularity(StrEnum):
    """Classification of a pattern."""

    REGULAR = "regular"  # within what the readings can tell
    NEARLY = "nearly regular"
    IRREGULAR = "irregular"


@dataclass(frozen=True, slots=True)
class BoltCircleFit:
    """Regular bolt circle nearest to a pattern.

    Attributes:
        verdict: whether the pattern is regular.
        diameter: of the circle through the hole centres, mm.
        diameter_sd: its standard deviation.
        centre: of the circle from the opening's, mm.
        first: clock direction of the first hole from that centre, degrees.
        at: its holes, in the pattern's order.
        residuals: distance of each hole of the pattern from it, mm.
        misfit: chi squared of the residuals, with the pattern's own covariance.
        allowed: the greatest misfit of a regular pattern in 99 of 100 cases.
        through: diameter of the circle that fits the holes best, whatever their spacing.
        off_circle: residual of the worst of them on that circle, mm.
    """

    verdict: Regularity
    diameter: float
    diameter_sd: float
    centre: Point
    first: float
    at: tuple[Point, ...]
    residuals: tuple[float, ...]
    misfit: float
    allowed: float
    through: float
    off_circle: float


def fit_bolt_circle(points: tuple[Point, ...], covariance: Array) -> BoltCircleFit:
    """Return the regular bolt circle nearest to a pattern of 3 holes or more.

    The circle returned is nearest in mm. Whether the pattern can be regular is judged by generalised least squares with
    the pattern's covariance: places are linear in the centre and in the first hole's place about it.

    Args:
        points: centres, in any order.
        covariance: (2n, 2n) mm², of x, y of each in turn.
    """
    at = np.array(points)
    count = len(at)
    away = at - at.mean(axis=0)
    order = np.argsort(np.degrees(np.arctan2(away[:, 0], away[:, 1])) % 360, kind="stable")
    step = np.empty(count)
    step[order] = np.arange(count)
    turn = 2 * np.pi * step / count  # clockwise from the first
    design = np.zeros((2 * count, 4))
    design[0::2, 0] = design[1::2, 1] = 1.0
    design[0::2, 2], design[0::2, 3] = np.cos(turn), np.sin(turn)
    design[1::2, 2], design[1::2, 3] = -np.sin(turn), np.cos(turn)
    weight = np.linalg.inv(covariance + 1e-6 * np.eye(2 * count))
    spread = np.linalg.inv(design.T @ weight @ design)
    likely = spread @ design.T @ weight @ at.ravel()
    left = at.ravel() - design @ likely
    misfit, allowed = float(left @ weight @ left), chi_squared_limit(2 * count - 4)
    nearest = np.linalg.lstsq(design, at.ravel())[0]  # centre, and the first hole's place about it
    regular = (design @ nearest).reshape(-1, 2)
    apart, radius = np.hypot(*(at - regular).T), float(np.hypot(*nearest[2:]))
    slope = np.array([0.0, 0.0, *likely[2:]]) / np.hypot(*likely[2:])
    ring = fit_circle(at)
    verdict = (
        Regularity.REGULAR
        if misfit <= allowed
        else Regularity.NEARLY
        if apart.max() <= NEARLY * 2 * radius
        else Regularity.IRREGULAR
    )
    return BoltCircleFit(
        verdict=verdict,
        diameter=2 * radius,
        diameter_sd=2 * float(slope @ spread @ slope) ** 0.5,
        centre=(float(nearest[0]), float(nearest[1])),
        first=float(np.degrees(np.arctan2(nearest[2], nearest[3]))) % 360,
        at=tuple((float(a), float(b)) for a, b in regular),
        residuals=tuple(float(a) for a in apart),
        misfit=misfit,
        allowed=allowed,
        through=ring.sizes[0],
        off_circle=ring.worst,
    )


def chi_squared_limit(freedoms: int) -> float:
    """Return the chi squared that is exceeded in one case of a hundred (Wilson and Hilferty, 1931, within 1 %).

    >>> round(chi_squared_limit(4), 1)
    13.3
    """
    share = 2 / (9 * freedoms)
    return float(freedoms * (1 - share + NormalDist().inv_cdf(1 - ALARMS) * share**0.5) ** 3)
