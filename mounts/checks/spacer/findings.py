"""All findings on a printed spacer.

Play and interference of a spacer on both faces, over the spread of printing and of what it sits on.

Room for cable, plug and device through and behind a spacer.

Readback of a finished spacer: the sizes of lip, sleeve and bore in the mesh against the plan.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

import numpy as np

from mounts.checks.heat import heat_finding
from mounts.checks.mesh.skin import Skin
from mounts.checks.mesh.walls import wall_findings
from mounts.checks.printing.findings import growth_advice, growth_finding, printing_findings
from mounts.checks.spacer.hold import hold_findings
from mounts.checks.spacer.strain import strain_findings
from mounts.design.fits import Fit, growth_by_size, has_measured_growth
from mounts.design.loads import LASTING_STRAIN
from mounts.findings.compare import at_least, at_most, state, within
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE, Finding, Verdict
from mounts.geometry.distance import least_clearance
from mounts.geometry.frames import Array
from mounts.geometry.outline import Point, circle
from mounts.identity import BORE, DEVICE, SLEEVE, Ident
from mounts.kernels.part import Part
from mounts.kinds.spacer.job import SpacerJob
from mounts.kinds.spacer.plan import spacer_pose
from mounts.kinds.spacer.values import BEHIND, CABLE, LIP, OVERMOULD, PASSAGE, Level, SpacerPlan

GUIDES = "print guides' clearances, at two standard deviations of printing and the port's tolerance"
MOST_PLAY = {"press": 0.0, "push": 0.3, "slide": 0.5, "free": 1.0}  # mm on the diameter, up to 30: more is another fit
LEAST_PLAY = {"press": -0.1, "push": -0.2, "slide": -0.05, "free": 0.1}  # the same; less does not go on as it should
LOOSER = {"push": "it may rattle; take press", "slide": "it may rattle; take push", "free": "it rattles; take slide"}
TIGHTER = {"push": "it may need force; take slide", "slide": "it may bind; take free", "free": "it may bind"}
BENDS = 4.0  # cable diameters that a cable needs to turn behind a device
PLUG = 0.25  # mm a side round a plug's overmould: half of what print guides give a cable or port
OFF = 0.05  # mm: a quarter of a printer's spread; the triangles' sag is 0.02
NEAR = 1e-3  # mm, of a level
SOURCE = "a twentieth of a millimetre: a quarter of a printer's spread"


def fit_findings(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield both faces at their loosest and tightest; and whether the printer's holes are known."""
    faces = (("panel", plan.outside.pressing, plan.outside.fit), ("device", plan.bore.pressing, plan.bore.fit))
    for face, pressing, wall in faces:
        yield _loosest(face, pressing)
        yield _tightest(job, face, pressing, wall)
    yield growth_finding(job.printer, job.material, plan.bore.fit.growth)


def _loosest(face: str, fit: Fit) -> Finding:
    """Return the greatest play against its limit; a press must still grip."""
    press = "it may come out loose; hold it with ribs, which make up for the spread"
    return at_most(
        f"fit.{face}.play",
        fit.loosest,
        MOST_PLAY[fit.word] * growth_by_size(fit.size),
        f"play of the sleeve ({fit.word}) {'in the panel' if face == 'panel' else 'on the device'}, at its loosest",
        missed=Verdict.WARN,
        source=GUIDES,
        advice=LOOSER.get(fit.word, press),
    )


def _tightest(job: SpacerJob, face: str, pressing: Fit, wall: Fit) -> Finding:
    """Return the greatest interference of the wall itself against its limit; ribs are made to be crushed."""
    ribbed = pressing is not wall
    word = "press" if ribbed else wall.word
    least = LEAST_PLAY[word] * growth_by_size(wall.size)
    if word == "press" and not ribbed:
        least = -LASTING_STRAIN * wall.size  # a plain wall is pressed as far as it bears for years
    what = f"sleeve{' between its ribs' if ribbed else ''} to the {face} ({word}), at its tightest"
    advice = f"{TIGHTER.get(word, 'its wall presses beside the ribs')}, or scrape it to size"
    if face == "device" and not has_measured_growth(job.printer, job.material.name):
        advice = growth_advice(job.printer, job.material)
    return at_least(f"fit.{face}.grip", wall.tightest, least, what, missed=Verdict.WARN, source=GUIDES, advice=advice)


def room_findings(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield the room behind, the plug in front, and the cable's way through."""
    yield from _behind(job, plan)
    yield from _plug(job, plan)
    yield from _cable(job, plan)


def _behind(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    if job.port.room is None:
        return
    rearmost = min(plan.bore.device_back, plan.outside.back)
    wanted = max(job.limits.fixed, BENDS * (job.device.cable or 0.0))
    at = (*plan.slit.at, rearmost) if plan.slit else (*plan.bore.device.middle, rearmost)
    gap = Gap("clear.behind", (DEVICE, BEHIND), job.port.room + rearmost, wanted, job.limits.fixed, PRACTICE, at)
    advice = f"the cable needs {job.units(wanted, 0)} to turn: take an angled plug, or bring the device forward"
    yield gap.finding(advice)


def _plug(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield the room for the plug of a device that lies back in the bore."""
    if job.device.plug is None or job.recess <= 0:
        return
    room, at = least_clearance(job.device.plug.outline().moved(*job.at), plan.bore.outline)
    place = (*at, plan.front)
    gap = Gap("clear.plug", (OVERMOULD, BORE), room, PLUG, 0.0, "print guides: cable or port", place)
    yield gap.finding("the plug does not go in; give recess: 0")


def _cable(job: SpacerJob, plan: SpacerPlan) -> Iterator[Finding]:
    """Yield the room for the cable through the passage behind a stop."""
    if job.device.cable is None or plan.stop is None:
        return
    room, at = least_clearance(circle(job.device.cable, plan.bore.device.middle), plan.stop.passage)
    gap = Gap("clear.cable", (CABLE, PASSAGE), room, job.fits.cable / 2, 0.0, PRACTICE, (*at, plan.outside.back))
    yield gap.finding("take a smaller seat in fits, or stop: false")


def size_findings(plan: SpacerPlan, part: Part) -> Iterator[Finding]:
    """Yield how far lip, sleeve and bore reach from the device's centre, which neither slit nor half changes."""
    centre = plan.bore.device.middle
    z, rear = plan.outside.levels[1]
    yield from _reach(part, SLEEVE, "size of the sleeve above its lead-in", (z, rear), centre)
    if plan.lip is not None:
        yield from _reach(part, LIP, "size of the lip on the face", (0.0, plan.lip.levels[0][1]), centre)
    place, widest = next(level for level in reversed(plan.bore.levels) if level[0] < plan.front)
    yield from _reach(part, BORE, "size of the bore below its mouth", (place, widest), centre)


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
    what = f"{what}, at its widest, read back"
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


def spacer_findings(job: SpacerJob, plan: SpacerPlan, part: Part) -> tuple[Finding, ...]:
    """Return all findings on a spacer, or on one half of it.

    Args:
        job: what was measured and wanted.
        plan: of the spacer.
        part: in the panel frame, with the recipe's names on its features.
    """
    skin = Skin.of(part)
    return (
        *room_findings(job, plan),
        *fit_findings(job, plan),
        *size_findings(plan, part),
        *hold_findings(job, plan),
        *strain_findings(job, plan),
        *([heat_finding(job.material, job.port.place, job.limits)] if job.port.place else []),
        *wall_findings(part, plan.walls, skin=skin, units=job.units),
        *printing_findings(part, job.printer, spacer_pose(plan), units=job.units),
    )
