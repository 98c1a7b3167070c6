"""The finished spacer read back: the sizes across of lip, sleeve and bore that its mesh shows, beside the plan."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

import numpy as np

from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import Array
from mounts.geometry.outline import Point
from mounts.geometry.ties import at_least, at_most
from mounts.kernels.part import Part
from mounts.kinds.spacer.inside import middle
from mounts.kinds.spacer.values import Level, SpacerPlan

OFF = 0.05  # mm: a quarter of a printer's spread; the triangles' sag is 0.02
NEAR = 1e-3  # mm, of a level
SOURCE = "a twentieth of a millimetre: a quarter of a printer's spread"


def size_findings(plan: SpacerPlan, part: Part) -> Iterator[Finding]:
    """How far lip, sleeve and bore reach from the device's centre, which a slit or the other half leaves as it is."""
    centre = middle(plan.bore.device)
    z, rear = plan.outside.levels[1]
    yield from _reach(part, "sleeve", "sleeve above its lead-in", (z, rear), centre)
    if plan.lip is not None:
        yield from _reach(part, "lip", "lip on the face", (0.0, plan.lip.levels[0][1]), centre)
    place, widest = next(level for level in reversed(plan.bore.levels) if level[0] < plan.front)
    yield from _reach(part, "bore", "bore below its mouth", (place, widest), centre)


def _reach(part: Part, feature: str, what: str, level: Level, centre: Point) -> Iterator[Finding]:
    """The furthest place of a feature's outline at a height; nothing where the recipe has no such feature."""
    if feature not in part.features:
        return
    outline, z = level[1], level[0]
    shown = _cut(part, feature, z) - centre
    if not len(shown):
        advice = "it was drawn otherwise, or it is a few mm off; do not use this part"
        yield Finding(f"size.{feature}", Verdict.FAIL, f"{what}, not found on the mesh", source=SOURCE, advice=advice)
        return
    measured = float(np.hypot(*shown.T).max())
    planned = max(hypot(x - centre[0], y - centre[1]) for x, y in outline.points(1e-4))
    off = measured - planned
    right = at_most(abs(off), OFF)
    yield Finding(
        code=f"size.{feature}",
        verdict=Verdict.PASS if right else Verdict.FAIL,
        what=f"{what}, furthest from its centre, read back",
        measured=measured,
        closed_form=planned,
        limit=planned + (OFF if at_least(off, 0.0) else -OFF),
        source=SOURCE,
        advice="" if right else f"it is {abs(off):.2f} off its plan; do not use this part",
    )


def _cut(part: Part, feature: str, z: float) -> Array:
    """Where a feature's triangles meet a height, (n, 2) mm: their corners at it, and what it cuts of their edges."""
    corners = part.vertices[part.triangles[part.feature == part.features.index(feature)]]
    one = corners.reshape(-1, 3)
    other = corners[:, [1, 2, 0]].reshape(-1, 3)
    at, up = one[:, 2] - z, other[:, 2] - one[:, 2]
    cut = (at < 0) != (at + up < 0)
    share = -at[cut] / up[cut]
    crossing = one[cut] + share[:, None] * (other - one)[cut]
    found: Array = np.concatenate([one[np.abs(at) < NEAR], crossing])[:, :2]
    return found
