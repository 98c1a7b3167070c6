"""Findings on the printing of a part as it stands on the bed: pose, overhangs, bridges, first layer, least feature.

All of it is read off the finished mesh in print pose: z up, the lowest point at 0. Limits are those of print guides
(overhang 45 degrees clean, beyond 70 only with support; bridges to 20 clean; two lines at least, three as a rule) or
common practice, as each finding says.

Standing of a part on the printer's bed: its pose, its first layer, and its stability.

Check that a printer's shrinkage of holes is known.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from math import hypot

import numpy as np
from manifold3d import CrossSection, Manifold
from numpy.typing import ArrayLike

from mounts.checks.printing.least_feature import features_at, manifold_of, narrowest_material, stroke_width
from mounts.checks.printing.overhangs import AS_STEEP, FACET, LEVEL, ON_BED, Overhang, find_overhangs, steepest_clean
from mounts.design.fits import has_measured_growth
from mounts.design.lettering import Label
from mounts.findings.compare import Said, at_least, at_most, state, within
from mounts.findings.report import Finding, Verdict
from mounts.geometry.bounding_boxes import TURNS, turned_box_sizes
from mounts.geometry.facets import triangle_cross
from mounts.geometry.frames import Array, Vector
from mounts.geometry.ties import first_most, most_of, step_of
from mounts.identity import Ident
from mounts.kernels.mesh import centroid
from mounts.kernels.part import Part
from mounts.lengths import Units
from mounts.load.models.workshop import Material, Printer

PRACTICE = "common practice, no source"
FLOATS = 0.1  # of a layer: as far as the lowest point may be off the bed
RIGID = 1e-6  # as far as a pose may be off a turn and a shift
SHARE = 25.0  # per cent of the footprint that touches the bed
HOLD = 100.0  # mm² that hold a part to the bed without a brim
CONTACT = {"area": "mm²", "share": "%", "steady": "mm"}  # units of what is said of the first layer
STEADY = 0.25  # of the height of the centre of mass: its way to the edge of what stands on the bed
GUIDES = "print guides"
AS_BUILT = np.eye(4)  # the pose of a part that is printed as it stands in the panel frame
BRIDGE = 20.0  # mm, cleanly bridged; 60 is claimed
AS_WIDE = 0.05  # mm: spans that differ by less are equal, since they are searched for
LEAST_LINES, USUAL_LINES = 2, 3  # printed lines side by side
EXACT = 0.01  # mm, to which a width is measured


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
    yield _enough("area", "first layer's area on the bed", area, HOLD, brim)
    yield _enough("share", "share of the footprint on the bed", 100 * area / footprint, SHARE, brim)
    if area > 0:
        x, y, z = (float(v) for v in centroid(points, part.triangles))
        way = _depth(convex_hull(corners[standing, :, :2].reshape(-1, 2)), (x, y))
        advice = f"{brim} or a support, or lay it down"
        what = "centre of mass to the edge of what stands on the bed"
        if way < 0:
            yield _enough("steady", what, way, STEADY * z, "it falls over; lay it down", missed=Verdict.FAIL)
        else:
            yield _enough("steady", what, way, STEADY * z, advice)


def _enough(
    case: str, what: str, value: float, limit: float, advice: str, *, missed: Verdict = Verdict.WARN
) -> Finding:
    said: Said = {"case": case, "unit": CONTACT[case], "source": PRACTICE, "advice": advice}
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


def growth_finding(printer: Printer, material: Material, growth: float) -> Finding:
    """Return by how much a hole is drawn wider so that it comes out true; a warning when that was never measured."""
    known, name = has_measured_growth(printer, material.name), material.name
    how = "the slicer corrects it" if printer.slicer_corrects else f"measured on {printer.name}"
    return state(
        "fit.growth",
        Verdict.PASS if known else Verdict.WARN,
        f"hole growth in {name}, {how if known else 'not measured'}",
        growth if known else None,
        source="the printer's file; print guides say 0.1 to 0.2",
        advice=growth_advice(printer, material),
    )


def growth_advice(printer: Printer, material: Material) -> str:
    """Return how to learn what holes in a material shrink by on a printer."""
    coupon, name = f"mounts coupon {printer.name} --material {material.name}", material.name
    return f"print the coupon ({coupon}), or measure a hole and write hole_growth: {{{name}: …}} into {printer.name}"


def printing_findings(
    part: Part,
    printer: Printer,
    pose: ArrayLike = AS_BUILT,
    *,
    labels: Sequence[Label] = (),
    units: Units = Units.MM,
) -> tuple[Finding, ...]:
    """Return all findings on the printing of a part.

    Args:
        part: finished, panel frame.
        printer: that prints it.
        pose: (4, 4) float, rigid transform from the panel frame to the print pose.
        labels: of its plan.
        units: in which its sentences give lengths.
    """
    matrix = np.asarray(pose, dtype=float)
    points = part.vertices @ matrix[:3, :3].T + matrix[:3, 3]
    solid = manifold_of(part, points)
    outline = convex_hull(points[:, :2])
    found = [*pose_findings(points, matrix, printer, units)]
    room = bed_finding(outline, float(np.ptp(points[:, 2])), printer, units)
    found.append(replace(room, measured=room.closed_form, closed_form=None))
    found += overhang_findings(part, printer, points, units)
    found += contact_findings(part, points, solid)
    if solid is not None:
        found.append(least_in_layers(part, printer, points, solid, units))
    found = [replace(one, at=_back(matrix, one.at)) for one in found]
    return (*found, *label_findings(labels, printer))


def overhang_findings(part: Part, printer: Printer, points: Array, units: Units = Units.MM) -> Iterator[Finding]:
    """Yield overhangs beyond the limit and bridges; `points` (n, 3) are in print pose."""
    found = find_overhangs(part, printer, points)
    loose = _by_feature([one for one in found if one.steepest is not None])
    for feature, ones in loose.items():
        worst = most_of(ones, lambda one: one.steepest or 0.0, AS_STEEP)
        yield _overhang(feature, sum(one.loose for one in ones), worst, printer, units)
    if not loose:
        most = steepest_clean(part, printer, points)
        what = "steepest overhang"
        yield at_most("print.overhang", None, printer.overhang + FACET, what, measured=most, source=GUIDES)
    roofs = [one for one in found if one.span > 0]
    wide = sorted((one for one in roofs if one.span > BRIDGE), key=lambda one: -step_of(one.span, AS_WIDE))
    yield from map(_bridge, wide or ([most_of(roofs, lambda one: one.span, AS_WIDE)] if roofs else []))
    if not roofs:
        yield at_most("print.bridge", None, BRIDGE, "longest bridge, of no roof", measured=0.0, source=GUIDES)


def least_in_layers(part: Part, printer: Printer, points: Array, solid: Manifold, units: Units = Units.MM) -> Finding:
    """Return the narrowest place of a part's layers against the nozzle's line.

    Args:
        part: for its lettering, which `label_findings` looks at.
        printer: its nozzle and layers.
        points: (n, 3) float, the part's vertices in print pose, mm.
        solid: the same as a solid.
        units: in which its sentences give lengths.
    """
    found = narrowest_material(part, solid, points, printer.layer)
    least, usual = LEAST_LINES * printer.nozzle, USUAL_LINES * printer.nozzle
    what = "least feature"
    source = f"{GUIDES}: {LEAST_LINES} lines of the {printer.nozzle:g} nozzle at least, {USUAL_LINES} as a rule"
    if found is None:
        return state("print.least", Verdict.PASS, what, limit=usual, source=source)
    missing = (least if found.width < least - EXACT else usual) - found.width
    return at_least(
        "print.least",
        None,
        usual,
        what,
        measured=found.width,
        missed=Verdict.WARN,
        least=least,
        margin=EXACT,
        at=found.at,
        between=features_at(part, points, found.at) if found.width < usual - EXACT else None,
        source=source,
        advice=f"make the material between them {units.at_least(missing)} wider, or take a finer nozzle",
    )


def label_findings(labels: Sequence[Label], printer: Printer) -> Iterator[Finding]:
    """Yield whether a line of the nozzle draws the strokes of each label, raised or sunk."""
    for label in labels:
        width = stroke_width(label)
        what = f"width of the strokes of the label {label.text}"
        said: Said = {
            "case": label.text,
            "source": "one printed line",
            "advice": "take a shorter name, so that the letters are larger: these print broken",
        }
        yield at_least("print.least", width, printer.nozzle, what, missed=Verdict.WARN, margin=EXACT, **said)


def _overhang(feature: Ident, area: float, worst: Overhang, printer: Printer, units: Units) -> Finding:
    steepest = worst.steepest or 0.0
    how = f"it sags over {units(worst.rise, 1)} of height" if steepest <= LEVEL else "its first lines fall"
    return state(
        "print.overhang",
        Verdict.WARN,
        f"overhang of the {feature}, about {units.area(area)}",
        limit=printer.overhang + FACET,
        measured=steepest,
        at=worst.loose_at,
        between=(feature, feature),
        source=GUIDES,
        advice=f"let the slicer support it there and clean it afterwards: {how}",
    )


def _bridge(roof: Overhang) -> Finding:
    what, advice = f"bridge over the {roof.feature}", "let the slicer support it there: it sags"
    ends = (roof.feature, roof.feature)
    said: Said = {"at": roof.span_at, "between": ends, "source": GUIDES, "advice": advice}
    return at_most("print.bridge", None, BRIDGE, what, measured=roof.span, missed=Verdict.WARN, **said)


def _by_feature(found: Sequence[Overhang]) -> dict[Ident, list[Overhang]]:
    ones: dict[Ident, list[Overhang]] = {}
    for one in found:
        ones.setdefault(one.feature, []).append(one)
    return ones


def _back(pose: Array, at: Vector | None) -> Vector | None:
    """Return a point of the print pose in the panel frame."""
    if at is None:
        return None
    x, y, z = (float(v) for v in np.linalg.solve(pose[:3, :3], np.subtract(at, pose[:3, 3])))
    return (x, y, z)


def bed_finding(points: ArrayLike, height: float, printer: Printer, units: Units = Units.MM) -> Finding:
    """Return the room that a part leaves on the bed: unturned where it fits so, else at the turn that leaves most.

    Args:
        points: (n, 2) float, the part's outline in its print pose, mm.
        height: of the part in its print pose, mm.
        printer: whose bed it is.
        units: in which its sentences give lengths.
    """
    sizes = turned_box_sizes(np.asarray(points, dtype=float))
    width, depth, tall = printer.bed
    room = np.round(np.minimum(width - sizes[:, 0], depth - sizes[:, 1]), 6)
    best = 0 if room[0] >= 0 else first_most(room)
    left = min(float(room[best]), round(tall - height, 6))
    x, y = (float(v) for v in sizes[best])
    size = " × ".join(units(side, 0) for side in (x, y, height))
    space = " × ".join(map(units, (width, depth, tall)))
    return at_least(
        "bed",
        left,
        0.0,
        f"room left on the bed of {printer.name}",
        advice=f"it needs {size}, the bed of {printer.name} has {space}; take a larger printer",
        hint=f"turn it by {TURNS[best]:g} degrees on the bed" if best else "",
        source="the printer's file",
    )
