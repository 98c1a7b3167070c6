"""Fit of a part on the printer's bed, at its best turn."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from mounts.findings.compare import at_least
from mounts.findings.report import Finding
from mounts.geometry.bounding_boxes import TURNS, turned_box_sizes
from mounts.geometry.ties import first_most
from mounts.load.models.workshop import Printer


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
