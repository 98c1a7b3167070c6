"""Length and engagement of every screw, in the lengths that are sold, and the room at its end."""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf

import numpy as np

from mounts.checks.fastening.joints import PlacedJoint, choose_length
from mounts.checks.fastening.screws import length_findings, nearest_length
from mounts.checks.ring.fastening.joints import panel_joints, speaker_joints
from mounts.design.fasteners import thread_diameter
from mounts.design.measured_planes import glass_plane, things_behind
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE, Finding
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL, Vector
from mounts.geometry.planes import disc_gap
from mounts.geometry.ties import least_of
from mounts.identity import GLASS, Ident, Role
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.values import Ring
from mounts.lengths import Units
from mounts.load.models.hardware import Screw
from mounts.load.models.surroundings import Thing

End = tuple[Ident, Vector, float]  # identity, place and diameter of a screw's end


def screw_findings(job: RingJob, plan: Ring) -> tuple[Finding, ...]:
    """Return lengths, engagement, bottoming and what is behind, for the panel's screws and the speaker's."""
    panel, speaker = panel_joints(job, plan), speaker_joints(job, plan)
    screw, other = job.fix_to_panel.screw, job.fix_speaker.screw if job.fix_speaker else None
    found = [*length_findings("panel", panel, screw, units=job.units)]
    found += length_findings("speaker", speaker, other, _another(job), job.units)
    return (*found, *(_to(gap, job.units) for gap in behind_gaps(job, plan)))


def behind_gaps(job: RingJob, plan: Ring) -> Iterator[Gap]:
    """Yield the gaps of screws' ends to the glass and to each thing behind: the nearest of each."""
    other = job.fix_speaker.screw if job.fix_speaker else None
    ends = [*_panel_ends(job, panel_joints(job, plan)), *_speaker_ends(speaker_joints(job, plan), other)]
    if ends:
        yield from _behind(job, ends)


def _another(job: RingJob) -> str:
    """Return advice on other hardware that takes the lengths that are sold."""
    other = job.fix_speaker.hardware.another if job.fix_speaker else "take longer or shorter hardware"
    return f"; {other}, or another flange gasket"


def _panel_ends(job: RingJob, joints: tuple[PlacedJoint, ...]) -> Iterator[End]:
    """Yield where panel screws end, or the nuts that hold them where those reach further."""
    screw = job.fix_to_panel.screw
    for one in joints:
        x, y, z = one.tip(choose_length(one, screw) or nearest_length(one.joint, screw))
        yield (
            Ident(Role.HARDWARE, f"screw-{one.name}", f"panel screw {one.name}"),
            (x, y, min(z, -job.fix_to_panel.hardware.depth_behind(job.face_thickness))),
            thread_diameter(screw.thread),
        )


def _speaker_ends(joints: tuple[PlacedJoint, ...], screw: Screw | None) -> Iterator[End]:
    """Yield where speaker screws end that come out through the opening."""
    for one in joints:
        if screw and isinf(one.joint.room):
            tip = one.tip(choose_length(one, screw) or nearest_length(one.joint, screw))
            yield Ident(Role.SCREW, one.name), tip, thread_diameter(screw.thread)


def _behind(job: RingJob, ends: list[End]) -> Iterator[Gap]:
    limits, sd = job.limits, job.uncertainty("behind")
    glass = glass_plane(job.panel)
    if glass is not None:
        room = [(disc_gap(glass, at, PANEL.z, across)[0], end, at) for end, at, across in ends]
        gap, end, at = least_of(room, key=lambda one: one[0])
        wanted = (limits.glass, limits.glass_least)
        yield Gap("screw.behind", (end, GLASS), gap, *wanted, PRACTICE, at, "behind.glass", sd)
    for index, (ident, thing) in enumerate(things_behind(job.panel)):
        tips = [(_to_thing(thing, at, across), end, at) for end, at, across in ends]
        gap, end, at = least_of(tips, key=lambda one: one[0])
        limit = limits.moving if thing.moving else limits.fixed
        reading = f"behind.things.{index}"
        yield Gap("screw.behind", (end, ident), gap, limit, limit, PRACTICE, at, reading, sd)


def _to(gap: Gap, units: Units) -> Finding:
    missing = gap.wanted - gap.gap
    return gap.finding(
        f"it must end {units.at_least(missing)} nearer to the face: cut the screw, or take a shorter nut"
    )


def _to_thing(thing: Thing, tip: Vector, across: float) -> float:
    """Return the signed distance from a screw's end, `across` wide, to a thing that reaches from its depth on."""
    aside = -float(depths(thing.outline(), [tip[:2]])[0]) - across / 2
    below = tip[2] + thing.depth
    if aside <= 0 and below <= 0:
        return max(aside, below)
    return float(np.hypot(max(aside, 0.0), max(below, 0.0)))
