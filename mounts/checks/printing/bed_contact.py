"""Standing of a part on the printer's bed: its pose, its first layer, and its stability."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import hypot

import numpy as np
from manifold3d import CrossSection, Manifold

from mounts.checks.printing.overhangs import ON_BED
from mounts.findings.compare import Said, at_least, state, within
from mounts.findings.report import Finding, Verdict
from mounts.geometry.facets import triangle_cross
from mounts.geometry.frames import Array
from mounts.kernels.mesh import centroid
from mounts.kernels.part import Part
from mounts.lengths import Units
from mounts.load.models.workshop import Printer

PRACTICE = "common practice, no source"
FLOATS = 0.1  # of a layer: as far as the lowest point may be off the bed
RIGID = 1e-6  # as far as a pose may be off a turn and a shift
SHARE = 25.0  # per cent of the footprint that touches the bed
HOLD = 100.0  # mm² that hold a part to the bed without a brim
STEADY = 0.25  # of the height of the centre of mass: its way to the edge of what stands on the bed


def pose_findings(points: Array, pose: Array, printer: Printer, units: Units = Units.MM) -> Iterator[Finding]:
    """Yield whether the pose only turns and shifts, and sets the lowest point on the bed; points (n, 3) in it."""
    turn = pose[:3, :3]
    off = float(np.abs(turn.T @ turn - np.eye(3)).max()) + 2.0 * float(np.linalg.det(turn) < 0)
    if off > RIGID:
        how = "mirrors" if np.linalg.det(turn) < 0 else "stretches"
        advice = f"the print pose {how} the part; a pose only turns and shifts"
        said: Said = {"unit": "1", "source": PRACTICE, "advice": advice}
        yield state("print.pose", Verdict.FAIL, "print pose", 0.0, RIGID, measured=off, **said)
    lowest, limit = float(points[:, 2].min()), FLOATS * printer.layer
    where = "floats above" if lowest > 0 else "reaches below"
    advice = f"it {where} the bed by {units(abs(lowest), 2)}; set it on the bed"
    what = "lowest point of the part over the bed"
    yield within("print.pose", lowest, 0.0, limit, what, unit="mm", source="a tenth of a layer", advice=advice)


def contact_findings(part: Part, points: Array, solid: Manifold | None) -> Iterator[Finding]:
    """Yield the contact area, its share of the footprint, and the distance of the weight from tipping.

    Args:
        part: for its triangles.
        points: (n, 3) float, its vertices in print pose, mm.
        solid: the same as a solid, None where the triangles close none.
    """
    corners = points[part.triangles]
    across = triangle_cross(corners)
    standing = (corners[:, :, 2].max(axis=1) < ON_BED) & (across[:, 2] < 0)
    area = float(-across[standing, 2].sum()) / 2
    footprint = solid.project().area() if solid else CrossSection([convex_hull(points[:, :2])]).area()
    brim = "print it with a brim"
    yield _enough("first layer's area on the bed", area, HOLD, "mm²", brim)
    yield _enough(f"first layer on the bed, {area:.0f} mm², of the footprint", 100 * area / footprint, SHARE, "%", brim)
    if area > 0:
        x, y, z = (float(v) for v in centroid(points, part.triangles))
        way = _depth(convex_hull(corners[standing, :, :2].reshape(-1, 2)), (x, y))
        advice = f"{brim} or a support, or lay it down"
        what = "centre of mass to the edge of what stands on the bed"
        if way < 0:
            yield _enough(what, way, STEADY * z, "mm", "it falls over; lay it down", missed=Verdict.FAIL)
        else:
            yield _enough(what, way, STEADY * z, "mm", advice)


def _enough(
    what: str, value: float, limit: float, unit: str, advice: str, *, missed: Verdict = Verdict.WARN
) -> Finding:
    said: Said = {"unit": unit, "source": PRACTICE, "advice": advice}
    return at_least("print.contact", None, limit, what, measured=value, missed=missed, **said)


def convex_hull(points: Array) -> Array:
    """Return the convex hull of points (n, 2), counter-clockwise, (k, 2)."""
    contours = CrossSection.hull_points(points).to_polygons()
    return np.asarray(contours[0], dtype=float) if contours else points[:1]


def _depth(hull: Array, at: tuple[float, float]) -> float:
    """Return how far inside a counter-clockwise convex polygon a point lies, mm; negative outside."""
    ends = pairwise([*hull, hull[0]])
    return min(
        float((b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0])) / max(hypot(*(b - a)), 1e-12)
        for a, b in ends
    )
