"""Findings on the printing of a part as it stands on the bed: pose, overhangs, bridges, first layer, least feature.

All of it is read off the finished mesh in print pose: z up, the lowest point at 0. Limits are those of print guides
(overhang 45 degrees clean, beyond 70 only with support; bridges to 20 clean; two lines at least, three as a rule) or
common practice, as each finding says.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from manifold3d import Manifold
from numpy.typing import ArrayLike

from mounts.checks.printing.bed_contact import contact_findings, convex_hull, pose_findings
from mounts.checks.printing.least_feature import features_at, manifold_of, narrowest_material, stroke_width
from mounts.checks.printing.overhangs import FACET, LEVEL, Overhang, find_overhangs, steepest_clean
from mounts.design.lettering import Label
from mounts.findings.compare import Said, at_least, at_most, state
from mounts.findings.report import Finding, Verdict
from mounts.findings.wording import enough
from mounts.geometry.bounding_boxes import TURNS, turned_box_sizes
from mounts.geometry.frames import Array, Vector
from mounts.geometry.ties import first_most, most_of, step_of
from mounts.identity import Ident
from mounts.kernels.part import Part
from mounts.load.models.workshop import Printer

GUIDES = "print guides"
AS_BUILT = np.eye(4)  # the pose of a part that is printed as it stands in the panel frame
BRIDGE = 20.0  # mm, cleanly bridged; 60 is claimed
AS_WIDE = 0.05  # mm: spans that differ by less are equal, since they are searched for
LEAST, USUAL = 2, 3  # printed lines side by side
EXACT = 0.01  # mm, to which a width is measured


def printing_findings(
    part: Part,
    printer: Printer,
    pose: ArrayLike = AS_BUILT,
    *,
    labels: Sequence[Label] = (),
) -> tuple[Finding, ...]:
    """Return all findings on the printing of a part.

    Args:
        part: finished, panel frame.
        printer: that prints it.
        pose: (4, 4) float, rigid transform from the panel frame to the print pose.
        labels: of its plan.
    """
    matrix = np.asarray(pose, dtype=float)
    points = part.vertices @ matrix[:3, :3].T + matrix[:3, 3]
    solid = manifold_of(part, points)
    outline = convex_hull(points[:, :2])
    found = [*pose_findings(points, matrix, printer)]
    room = bed_finding(outline, float(np.ptp(points[:, 2])), printer)
    found.append(replace(room, measured=room.closed_form, closed_form=None))
    found += overhang_findings(part, printer, points)
    found += contact_findings(part, points, solid)
    if solid is not None:
        found.append(least_in_layers(part, printer, points, solid))
    found = [replace(one, at=_back(matrix, one.at)) for one in found]
    return (*found, *label_findings(labels, printer))


def overhang_findings(part: Part, printer: Printer, points: Array) -> Iterator[Finding]:
    """Yield overhangs beyond the limit and bridges; `points` (n, 3) are in print pose."""
    found = find_overhangs(part, printer, points)
    loose = _by_feature([one for one in found if one.steepest is not None])
    for feature, ones in loose.items():
        worst = most_of(ones, key=lambda one: one.steepest or 0.0)
        yield _overhang(feature, sum(one.loose for one in ones), worst, printer)
    if not loose:
        most = steepest_clean(part, printer, points)
        what = "steepest overhang"
        yield at_most("print.overhang", None, printer.overhang + FACET, what, measured=most, source=GUIDES)
    roofs = [one for one in found if one.span > 0]
    wide = sorted((one for one in roofs if one.span > BRIDGE), key=lambda one: -step_of(one.span, AS_WIDE))
    yield from map(_bridge, wide or ([most_of(roofs, lambda one: one.span, AS_WIDE)] if roofs else []))
    if not roofs:
        yield at_most("print.bridge", None, BRIDGE, "no roof to bridge", measured=0.0, source=GUIDES)


def least_in_layers(part: Part, printer: Printer, points: Array, solid: Manifold) -> Finding:
    """Return the narrowest place of a part's layers against the nozzle's line.

    Args:
        part: for its lettering, which `label_findings` looks at.
        printer: its nozzle and layers.
        points: (n, 3) float, the part's vertices in print pose, mm.
        solid: the same as a solid.
    """
    found = narrowest_material(part, solid, points, printer.layer)
    least, usual = LEAST * printer.nozzle, USUAL * printer.nozzle
    what = "least feature"
    source = f"{GUIDES}: {LEAST} lines of the {printer.nozzle:g} nozzle at least, {USUAL} as a rule"
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
        advice=f"make the material between them {enough(missing)} wider, or take a finer nozzle",
    )


def label_findings(labels: Sequence[Label], printer: Printer) -> Iterator[Finding]:
    """Yield whether a line of the nozzle draws the strokes of each label, raised or sunk."""
    for label in labels:
        width = stroke_width(label)
        what = f"strokes of the label {label.text}"
        source = "one printed line"
        advice = "they print broken; take a shorter name, so that the letters are larger"
        yield at_least(
            "print.least", width, printer.nozzle, what, missed=Verdict.WARN, margin=EXACT, source=source, advice=advice
        )


def _overhang(feature: Ident, area: float, worst: Overhang, printer: Printer) -> Finding:
    steepest = worst.steepest or 0.0
    how = f"it sags over {worst.rise:.1f} of height" if steepest <= LEVEL else "its first lines fall"
    return state(
        "print.overhang",
        Verdict.WARN,
        f"overhang of the {feature}, about {area:.0f} mm²",
        limit=printer.overhang + FACET,
        measured=steepest,
        at=worst.loose_at,
        between=(feature, feature),
        source=GUIDES,
        advice=f"{how}; let the slicer support it there, and clean it afterwards",
    )


def _bridge(roof: Overhang) -> Finding:
    what, advice = f"bridge over the {roof.feature}", "it sags; let the slicer support it there"
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


def bed_finding(points: ArrayLike, height: float, printer: Printer) -> Finding:
    """Return the room that a part leaves on the bed: unturned where it fits so, else at the turn that leaves most.

    Args:
        points: (n, 2) float, the part's outline in its print pose, mm.
        height: of the part in its print pose, mm.
        printer: whose bed it is.
    """
    sizes = turned_box_sizes(np.asarray(points, dtype=float))
    width, depth, tall = printer.bed
    room = np.round(np.minimum(width - sizes[:, 0], depth - sizes[:, 1]), 6)
    best = 0 if room[0] >= 0 else first_most(room)
    left = min(float(room[best]), round(tall - height, 6))
    x, y = (float(v) for v in sizes[best])
    size, space = f"{x:.0f} × {y:.0f} × {height:.0f}", f"{width:g} × {depth:g} × {tall:g}"
    return at_least(
        "bed",
        left,
        0.0,
        f"room left on the bed of {printer.name}",
        advice=f"it needs {size}, the bed of {printer.name} has {space}; take a larger printer",
        hint=f"turn it by {TURNS[best]:g} degrees on the bed" if best else "",
        source="the printer's file",
    )
