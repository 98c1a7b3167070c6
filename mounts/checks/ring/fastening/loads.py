"""Loads of a slammed door on panel screws, speaker screws, and the ring between them.

The speaker's centre of mass is taken at two thirds of its depth, where the magnet is; the shock may come from any
direction. Strengths are those at room temperature, reduced for repeated load, and across layers by the material's own
factor.
"""

from __future__ import annotations

import numpy as np

from mounts.checks.fastening.joints import PlacedJoint
from mounts.checks.fastening.loads import Link, PointMass, drawn_link, grip_link, lever_of, load_finding
from mounts.checks.ring.fastening.joints import places, speaker_joints
from mounts.design.loads import (
    REPEATED,
    shear_off,
    shock,
    worst_shears,
    worst_tensions,
)
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import Array
from mounts.geometry.ties import first_most, least_of
from mounts.identity import Ident, Role
from mounts.kernels.part import Part
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import FixingPlace, SpeakerScrew
from mounts.kinds.ring.values import Ring

CENTRE = 2 / 3  # of a speaker's depth, where its mass is taken: most of it is the magnet; common practice
SHEET_MPA = 270.0  # least tensile strength of a mild steel door skin (EN 10130, DC04)


def load_findings(job: RingJob, plan: Ring, part: Part | None = None) -> tuple[Finding, ...]:
    """Return slam loads on every panel screw and speaker screw; none without the speaker's mass.

    Args:
        job: what was measured and wanted.
        plan: of a printed or a cut ring.
        part: the finished part; with it the ring's mass is measured rather than estimated on the plan.
    """
    return (*_panel_screws(job, plan, part), *_speaker_screws(job, plan))


def panel_tensions(job: RingJob, plan: Ring, part: Part | None = None) -> Array | None:
    """Return the greatest pull of a slam on each panel screw, (n,) N; None without the speaker's mass."""
    both = whole_body(job, plan, part)
    if both is None:
        return None
    points = np.array([place.at for place in places(job, plan)])
    return worst_tensions(points, both.centre, shock(both.mass, job.limits.slam), lever_of(points, plan.footprint))


def whole_body(job: RingJob, plan: Ring, part: Part | None = None) -> PointMass | None:
    """Return speaker and ring as one body, None when the speaker's mass was not measured."""
    speaker, ring = speaker_body(job, plan), ring_body(job, plan, part)
    if speaker is None:
        return None
    mass = speaker.mass + ring.mass
    x, y, z = ((speaker.mass * a + ring.mass * b) / mass for a, b in zip(speaker.centre, ring.centre, strict=True))
    return PointMass(mass, (x, y, z))


def speaker_body(job: RingJob, plan: Ring) -> PointMass | None:
    """Return the speaker's mass at its centre, None when it was not measured."""
    if job.speaker.mass is None:
        return None
    x, y, z = (float(v) for v in plan.seat.frame.out((0.0, 0.0, plan.seat.lift - CENTRE * job.speaker.depth)))
    return PointMass(job.speaker.mass, (x, y, z))


def ring_body(job: RingJob, plan: Ring, part: Part | None = None) -> PointMass:
    """Return the ring as a solid body: of the part, or estimated on the plan by its stages."""
    density = job.material.density * 1e-9
    if part is not None:
        x, y, z = (float(value) for value in part.centroid)
        return PointMass(part.volume * density, (x, y, z))
    stages, (x, y, _) = plan.stages, plan.seat.frame.origin
    volumes = [area * (high - low) for area, low, high in stages]
    middle = sum(v * (low + high) / 2 for v, (_, low, high) in zip(volumes, stages, strict=True)) / sum(volumes)
    leans = 1 - volumes[0] / sum(volumes)
    return PointMass(sum(volumes) * density, (x * leans, y * leans, middle))


def across_layers(job: RingJob) -> float:
    """Return the strength across layers as a share of that along them; 1 for a sheet, which has none."""
    return job.material.across_layers if job.make == "print" else 1.0


def _panel_screws(job: RingJob, plan: Ring, part: Part | None) -> tuple[Finding, ...]:
    planned, finished = panel_tensions(job, plan), panel_tensions(job, plan, part)
    if planned is None or finished is None:
        return ()
    found = []
    for place, pull, real in zip(places(job, plan), planned, finished, strict=True):
        link = least_of(_panel_links(job, place), key=lambda one: one.bears)
        at = (*place.at, place.seat)
        measured = float(real) if part is not None else None
        advice = "take a wider washer, a thicker base, or more fixings"
        pulled = (
            "door slam: pull",
            Ident(Role.HARDWARE, f"screw-{place.name}", f"panel screw {place.name}"),
            float(pull),
            measured,
        )
        found.append(load_finding("load.panel-screws", pulled, link, at, advice))
    return (*found, _hole_wall(job, plan, part))


def _hole_wall(job: RingJob, plan: Ring, part: Part | None) -> Finding:
    """Return the pressure of the panel screw that a slam presses hardest against its hole; a loose one rattles."""
    planned, finished = whole_body(job, plan), whole_body(job, plan, part)
    assert planned is not None
    assert finished is not None
    around = places(job, plan)
    points = [place.at for place in around]
    pushes = [worst_shears(points, body.centre[:2], shock(body.mass, job.limits.slam)) for body in (planned, finished)]
    bears = [job.fix_to_panel.hardware.nominal * place.roof * job.material.strength_mpa * REPEATED for place in around]
    worst = first_most(pushes[1] / bears)
    place, link = around[worst], Link("wall of its hole", bears[worst], "d t σ, repeated 0.6")
    measured = float(pushes[1][worst]) if part is not None else None
    pushed = (
        "door slam: push along the face",
        Ident(Role.HARDWARE, f"screw-{place.name}", f"panel screw {place.name}"),
        float(pushes[0][worst]),
        measured,
    )
    advice = "take a larger screw, a thicker base, or more fixings; it wears to a rattle, but holds"
    return load_finding("load.panel-screws", pushed, link, (*place.at, place.seat), advice, missed=Verdict.WARN)


def _panel_links(job: RingJob, place: FixingPlace) -> list[Link]:
    """Return what may fail at a panel screw: the base under its washer, the rivet nut, the sheet round it."""
    item, sheet = job.fix_to_panel.hardware, job.panel.face.thickness
    across = place.bears if place.sink_depth == 0 else place.hole
    through = shear_off(across, place.roof, job.material.strength_mpa) * across_layers(job) * REPEATED
    links = [Link("washer through the base", through, "π d t σ / √3, repeated 0.6, across layers")]
    if item.bears is not None:
        links.append(Link(item.called, item.bears, "its proof load"))
    hole = item.pulls_through(job.panel.fixings.hole or 0.0)
    if hole is not None and sheet is not None and "steel" in (job.panel.face.of or ""):
        links.append(Link("nut through the sheet", shear_off(hole, sheet, SHEET_MPA), "π d t Rm / √3, Rm 270"))
    return links


def _speaker_screws(job: RingJob, plan: Ring) -> tuple[Finding, ...]:
    body, held = speaker_body(job, plan), speaker_joints(job, plan)
    if body is None or not held:
        return ()
    seat = plan.seat
    points = np.array([screw.at for screw in seat.screws])
    height = seat.lift - CENTRE * job.speaker.depth
    pulls = worst_tensions(points, (0.0, 0.0, height), shock(body.mass, job.limits.slam), lever_of(points, seat.flange))
    found = []
    for screw, one, pull in zip(seat.screws, held, pulls, strict=True):
        x, y, z = (float(value) for value in seat.frame.out((*screw.at, 0.0)))
        link = _speaker_link(job, one, screw)
        advice = "take a longer insert or screw, a larger thread, or through bolts"
        pulled = ("door slam: pull", Ident(Role.SCREW, one.name), float(pull), None)
        found.append(load_finding("load.speaker-screws", pulled, link, (x, y, z), advice))
    return tuple(found)


def _speaker_link(job: RingJob, held: PlacedJoint, screw: SpeakerScrew) -> Link:
    """Return what fails first at a speaker screw: the plastic round an insert, in a thread, or over a nut."""
    assert job.fix_speaker is not None
    item, strength = job.fix_speaker.hardware, job.material.strength_mpa * REPEATED
    weak = strength * across_layers(job)
    grip = item.grip(held.joint.thread, held.joint.engages)
    if grip is not None:
        return grip_link(grip, weak, job.material)
    assert item.drawn is not None
    what, across = item.drawn
    return drawn_link(what, (across, screw.hole - job.hole_growth), _over_nut(job, screw), (strength, weak))


def _over_nut(job: RingJob, screw: SpeakerScrew) -> float:
    """Return how much plastic a through bolt clamps, mm."""
    return job.sheet if job.make == "cut" and job.sheet else screw.depth
