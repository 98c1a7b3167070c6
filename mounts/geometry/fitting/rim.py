"""Fit of the simplest outline that points along a rim allow."""

from __future__ import annotations

import numpy as np

from mounts.geometry.fitting.curve import FEWEST, fit_curve
from mounts.geometry.fitting.shapes import PARAMETERS, fit_circle, fit_oblong, fit_rectangle
from mounts.geometry.fitting.values import RimFit, Shape
from mounts.geometry.frames import Array

PASSES = 2.0  # standard deviations of a point: a shape whose rms is larger is not the rim's
REFUSED = 4.0  # standard deviations that a single point may lie off
TO_SPARE = 3  # points beyond what a shape takes, before it is thought of unasked
FINEST = 0.05  # mm: no rim is a better circle, slot or curve than this
SHAPES = {"circle": fit_circle, "oblong": fit_oblong, "rectangle": fit_rectangle}


def fit_rim(points: Array, sd: float, shape: Shape | None = None) -> RimFit:
    """Return the fit of one shape, or the simplest that fits: circle, oblong, rectangle, any smooth convex outline.

    Args:
        points: (n, 2) float, mm.
        sd: one standard deviation of a point, mm.
        shape: what the rim is known to be.

    Raises:
        ValueError: if the points are too few for the shape, lie on no such outline, or all in one line.
    """
    sd = max(sd, FINEST)
    across = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)[-1]
    if across < 2 * sd:
        raise ValueError("the points lie in one line; spread them all round the rim")
    found: list[RimFit] = []
    for word in [shape] if shape else [*SHAPES, "outline"]:
        fit = _fit_shape(points, sd, word, asked=shape is not None)
        if fit is not None and fit.rms <= PASSES * sd and fit.worst <= REFUSED * sd:
            return fit
        found += [fit] if fit is not None else []
    if not found:
        what = f"{len(points)} points follow no outline that bulges outward everywhere"
        raise ValueError(f"{what}; read more of them, all round the rim")
    best = min(found, key=lambda fit: fit.rms)
    what = f"point {best.worst_at + 1} lies {best.worst:.1f} off the {best.shape} that fits best"
    raise ValueError(f"{what}; read it again, read more points, or say what shape the rim has")


def _fit_shape(points: Array, sd: float, shape: Shape | str, *, asked: bool) -> RimFit | None:
    """Return one shape's fit; None where there are too few points to try a shape that was not asked for."""
    needed = PARAMETERS.get(shape, FEWEST) + (0 if asked or shape in ("circle", "outline") else TO_SPARE)
    if len(points) < needed:
        if asked:
            raise ValueError(f"{len(points)} points given; a rim of shape {shape} needs at least {needed}")
        return None
    return SHAPES[shape](points) if shape in SHAPES else fit_curve(points, sd)
