"""Readback of a finished spacer: the sizes of lip, sleeve and bore in the mesh against the plan."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

import numpy as np

from mounts.findings.compare import state, within
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import Array
from mounts.geometry.outline import Point
from mounts.identity import BORE, SLEEVE, Ident
from mounts.kernels.part import Part
from mounts.kinds.spacer.inside import middle
from mounts.kinds.spacer.values import LIP, Level, SpacerPlan

OFF = 0.05  # mm: a quarter of a printer's spread; the triangles' sag is 0.02
NEAR = 1e-3  # mm, of a level
SOURCE = "a twentieth of a millimetre: a quarter of a printer's spread"


def size_findings(plan: SpacerPlan, part: Part) -> Iterator[Finding]:
    """Yield how far lip, sleeve and bore reach from the device's centre, which neither slit nor half changes."""
    centre = middle(plan.bore.device)
    z, rear = plan.outside.levels[1]
    yield from _reach(part, SLEEVE, "sleeve above its lead-in", (z, rear), centre)
    if plan.lip is not None:
        yield from _reach(part, LIP, "lip on the face", (0.0, plan.lip.levels[0][1]), centre)
    place, widest = next(level for level in reversed(plan.bore.levels) if level[0] < plan.front)
    yield from _reach(part, BORE, "bore below its mouth", (place, widest), centre)


def _reach(part: Part, feature: Ident, what: str, level: Level, centre: Point) -> Iterator[Finding]:
    """Yield the furthest place of a feature's outline at a height; nothing where the recipe has no such feature."""
    if feature not in part.features:
        return
    outline, z, code = level[1], level[0], f"size.{feature.name or feature.role}"
    shown = _cut(part, feature, z) - centre
    if not len(shown):
        advice = "it was drawn otherwise, or it is a few mm off; do not use this part"
        yield state(
            f"size.{feature.name or feature.role}",
            Verdict.FAIL,
            f"{what}, not found on the mesh",
            source=SOURCE,
            advice=advice,
        )
        return
    measured = float(np.hypot(*shown.T).max())
    planned = max(hypot(x - centre[0], y - centre[1]) for x, y in outline.points(1e-4))
    what = f"{what}, furthest from its centre, read back"
    advice = "it is off its plan; do not use this part"
    yield within(code, measured, planned, OFF, what, source=SOURCE, advice=advice)


def _cut(part: Part, feature: Ident, z: float) -> Array:
    """Return the section of a feature's triangles at a height, (n, 2) mm: corners there, and where edges cross it."""
    corners = part.vertices[part.triangles[part.feature == part.features.index(feature)]]
    one = corners.reshape(-1, 3)
    other = corners[:, [1, 2, 0]].reshape(-1, 3)
    at, up = one[:, 2] - z, other[:, 2] - one[:, 2]
    cut = (at < 0) != (at + up < 0)
    share = -at[cut] / up[cut]
    crossing = one[cut] + share[:, None] * (other - one)[cut]
    found: Array = np.concatenate([one[np.abs(at) < NEAR], crossing])[:, :2]
    return found
