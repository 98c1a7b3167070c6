"""Five sizes to take on the finished part with a caliper: what the plan says, and what is still good.

Holes are told as they come out: what the plan draws less what the printer is known to take from a hole. How far a size
may be off is what the printer does (two standard deviations, growing with the size as ISO 286-1's tolerances do), or,
between holes, what their play bears.
"""

from __future__ import annotations

from math import hypot

import numpy as np

from mounts.design.fits import Fit, has_measured_growth, spread
from mounts.geometry.frames import Array, Vector
from mounts.geometry.outline import Outline, Point
from mounts.load.models.job import Job
from mounts.made import Made
from mounts.papers.values import Check, Sign
from mounts.papers.wording import distance
from mounts.shape.primitives import Section

SMALLER = 0.2  # mm: a hole prints smaller by up to this where nobody measured it (print guides)
CUT = 0.5  # mm: how true a sheet is cut by router or saw along a line; common practice, no source


def caliper_checks(made: Made) -> tuple[Check, ...]:
    """Return the five sizes of a part."""
    return tuple(made.kind.review().papers.calipers(made.job, made.plan))


def outside_size(
    job: Job, what: str, how: str, value: float, ends: tuple[Vector, Vector], *, sign: Sign | None = None
) -> Check:
    """Return a size of the outside, as true as the printer is."""
    off = max(spread(value, job.printer), job.printer.layer)
    return Check(what, how, value, value - off, value + off, ends, sign)


def cut_size(
    job: Job, what: str, how: str, value: float, ends: tuple[Vector, Vector], *, sign: Sign | None = None
) -> Check:
    """Return a size of a sheet, as true as it is cut."""
    return Check(what, how, value, value - CUT, value + CUT, ends, sign)


def hole_size(
    job: Job, what: str, how: str, value: float, ends: tuple[Vector, Vector], *, sign: Sign | None = None
) -> Check:
    """Return a size of an inside, which comes out smaller where nobody measured by how much."""
    off = spread(value, job.printer)
    less = off if has_measured_growth(job.printer, job.material.name) else off + SMALLER
    return Check(what, how, value, value - less, value + off, ends, sign)


def fitted_size(
    what: str, how: str, value: float, fit: Fit, ends: tuple[Vector, Vector], *, sign: Sign | None = None
) -> Check:
    """Return a size that a fit hangs on: what the fit was planned to bear."""
    return Check(what, how, value, value - fit.tighter, value + fit.looser, ends, sign)


def lowest_and_highest(section: Section) -> tuple[Vector, Vector]:
    """Return the lowest and the highest point of a section's outline, panel frame."""
    points = _around(section)
    return as_vector(points[np.argmin(points[:, 2])]), as_vector(points[np.argmax(points[:, 2])])


def _around(section: Section) -> Array:
    flat = np.array(section.outline.points(1e-4, least=64))
    return section.frame.out(np.column_stack([flat, np.zeros(len(flat))]))


def widest(outline: Outline) -> tuple[Point, Point, float]:
    """Return where an outline is widest along x or y or, for a round one, along x: both ends and the width."""
    return max(_widths(outline), key=lambda found: found[2] - 1e-6 * abs(found[0][1] - found[1][1]))


def narrowest(outline: Outline) -> tuple[Point, Point, float]:
    """Return where an outline is narrowest along x or y."""
    return min(_widths(outline), key=lambda found: found[2] + 1e-6 * abs(found[0][1] - found[1][1]))


def _widths(outline: Outline) -> tuple[tuple[Point, Point, float], ...]:
    x0, y0, x1, y1 = outline.box
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    return (((x0, y), (x1, y), x1 - x0), ((x, y0), (x, y1), y1 - y0))


def extend(one: Point, other: Point, by: float) -> tuple[Point, Point]:
    """Return both places moved away from each other."""
    long = distance(one, other)
    ux, uy = (one[0] - other[0]) / long, (one[1] - other[1]) / long
    return (one[0] + ux * by, one[1] + uy * by), (other[0] - ux * by, other[1] - uy * by)


def as_vector(point: Array) -> Vector:
    """Return a point as a plain value."""
    x, y, z = (float(value) for value in point)
    return (x, y, z)


def above_face(point: Point, z: float = 0.0) -> Vector:
    """Return a point of the panel's plane at a height over the face."""
    return (*point, z)


def edge_of(at: Point, across: float) -> Point:
    """Return the place on a hole's edge that lies furthest out from the middle."""
    far = max(hypot(*at), 1e-9)
    return (at[0] * (1 + across / 2 / far), at[1] * (1 + across / 2 / far))
