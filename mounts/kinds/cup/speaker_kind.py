"""Margins, room and holes that choosing and matching need of a cup."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from mounts.kinds.cup.clearances import cup_gaps
from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.cup.seat import reach_behind
from mounts.kinds.cup.stakes import pin_heads, pin_pattern
from mounts.kinds.margin import OWN, Margin, margin_from
from mounts.kinds.room import AvailableRoom
from mounts.kinds.speaker_kind import MountHoles, SpeakerKind, plan_seat
from mounts.load.models.job_kinds import CupJob

BEST = "clear.grille"  # a cup is set as near the grille as it may be


def cup_margin(job: CupJob) -> Margin:
    """Return the margin of a cup; raise InputError where it cannot be drawn."""
    plan = plan_cup(job)
    gaps = tuple(cup_gaps(job, plan))
    room = [gap for gap in gaps if gap.code not in (*OWN, BEST, "way.tweeter")]
    return margin_from(gaps, room, plan.walls, plan.seat.frame.origin[2])


def cup_holes(job: CupJob, names: Sequence[str]) -> MountHoles:
    """Return the holes of a cup for some of its panel's pins."""
    held = pin_pattern(job, pin_heads(job))
    across = job.panel.points[held.slot], job.panel.points[held.locator]
    (x, y), (u, v) = across
    way = ((x - u) / hypot(x - u, y - v), (y - v) / hypot(x - u, y - v), held.way)
    slots = tuple(way if name == held.slot else None for name in names)
    words = f"located at {held.locator}, slot at {held.slot}"
    return MountHoles(tuple(held.gaps[name] for name in names), slots, words, job.printer.error)


def cup_room(level: CupJob, job: CupJob) -> AvailableRoom:
    """Return the room for a body as wide as the job's tweeter."""
    frame = plan_cup(job).seat.frame
    left = job.panel.room - job.limits.fixed - reach_behind(job, frame)
    depth = int(10 * (job.speaker.depth + left / frame.z[2])) / 10
    return AvailableRoom(job.aim.tilt, frame.origin[2], depths=((job.speaker.cutout.least, (depth, "room")),))


CUP = SpeakerKind(seat=plan_seat, gaps=cup_gaps, margin=cup_margin, room=cup_room, holes=cup_holes)
