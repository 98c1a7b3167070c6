"""The bought parts that a mount takes: what is set in the panel and in the mount, screws by their lengths, washers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from mounts.checks.fastening.joints import Held, chosen, panel_joints, speaker_joints
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.load.models.hardware import Pilot, Screw, ThreadItem
from mounts.load.models.resolved import CupJob, Job


def bought(job: Any, plan: Any) -> Counter[str]:
    """How many of each bought part one side takes; a length that is not sold, or not known, is left out of a name."""
    if isinstance(job, Job) and isinstance(plan, RingPlan | FlatPlan):
        return _of_ring(job, plan)
    if isinstance(job, CupJob) and isinstance(plan, CupPlan):
        return _of_cup(job, plan)
    return Counter()


def _of_ring(job: Job, plan: RingPlan | FlatPlan) -> Counter[str]:
    fix = job.fix_to_panel
    count = len(job.panel.fixings.points)
    found = Counter({fix.hardware.name: count} if not isinstance(fix.hardware, ThreadItem) else {})
    found += _screws(panel_joints(job, plan), fix.screw, count)
    if fix.washer is not None:
        found[fix.washer.name or f"washer {fix.washer.outside:g}"] += count
    if job.fix_speaker is not None:
        many = len(plan.seat.screws)
        if not isinstance(job.fix_speaker.hardware, Pilot):
            found[job.fix_speaker.hardware.name] += many
        found += _screws(speaker_joints(job, plan), job.fix_speaker.screw, many)
    return found


def _of_cup(job: CupJob, plan: CupPlan) -> Counter[str]:
    found: Counter[str] = Counter()
    if job.fix_speaker is not None:
        if not isinstance(job.fix_speaker.hardware, Pilot):
            found[job.fix_speaker.hardware.name] += len(plan.seat.screws)
        if job.fix_speaker.screw is not None:
            found[job.fix_speaker.screw.name] += len(plan.seat.screws)
    return found


def _screws(joints: Sequence[Held], screw: Screw | None, count: int) -> Counter[str]:
    """Screws by name and length; without joints, by name alone."""
    if screw is None:
        return Counter()
    if not joints:
        return Counter({screw.name: count})
    lengths = [chosen(one, screw) for one in joints]
    return Counter(
        f"{screw.name}, no length that is sold" if length is None else f"{screw.name} × {length:g}"
        for length in lengths
    )
