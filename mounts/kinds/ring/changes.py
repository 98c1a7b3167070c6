"""One line of the job's file that would keep every clearance and wall of a ring that misses some, tried on a plan."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from mounts.design.clearances import SpeakerRoom
from mounts.errors import MountsError
from mounts.findings.compare import SEARCHED
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import Frame, Frames, tilt_frame
from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps
from mounts.kinds.ring.insertion import path_gaps
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.seat_clearances import speaker_rooms
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job_kinds import RingJob

FURTHEST = 40.0  # mm up or down
STEP = 0.1  # degrees, as it is written; lengths have the step of the job's unit
APART = 1.0  # mm or degrees between two trials
TRIALS = 6  # plans for each key
MENDED = ("clear.", "way.", "wall.", "chance.clear", "chance.mount")
SEEN = ("clear.disagreement", "wall.disagreement", "wall.unknown", "wall.least", "wall.label", "wall.thin")  # not tried


def with_change(job: RingJob, plan: RingPlan, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return the findings, those on clearances and walls that are missed with the change that keeps them all."""
    missed = [one for one in findings if _is_mended(one)]
    change = tried_change(job, plan) if missed else ""
    if not change:
        return tuple(findings)
    return tuple(replace(one, change=change) if one in missed else one for one in findings)


def _is_mended(finding: Finding) -> bool:
    missed = finding.verdict in (Verdict.WARN, Verdict.FAIL)
    return missed and finding.code.startswith(MENDED) and finding.code not in SEEN


def tried_change(job: RingJob, plan: RingPlan) -> str:
    """Return the nearest height, else the nearest smaller tilt, at which a plan keeps all clearances and walls.

    As a key of the job's file (a tilt's stands in its `aim`); empty where there is none, and where the seat's place was
    chosen by a search already.
    """
    if plan.choice is not None:
        return ""
    (x, y, height), tilt, toward = plan.seat.frame.origin, plan.seat.tilt, plan.seat.toward
    rooms = speaker_rooms(job, plan.seat)
    step = job.units.step
    steps = np.arange(1, round(FURTHEST / step) + 1)
    heights = np.round(
        step * np.ravel([np.round(height / step) + steps, np.round(height / step) - steps], order="F"), 9
    )
    heights = heights[heights >= plan.least_height]
    for value in _spaced(rooms, heights, [tilt_frame((x, y, float(one)), tilt, toward) for one in heights]):
        if _holds(replace(job, height=value, label=None)):
            return f"height: {job.units.key(value)}"
    tilts = np.round(np.arange(round(tilt - STEP, 1), 0.0, -STEP), 1)
    for value in _spaced(rooms, tilts, [tilt_frame((x, y, height), float(one), toward) for one in tilts]):
        if _holds(replace(job, aim=replace(job.aim, tilt=value), label=None)):
            return f"tilt: {value:g}"
    return ""


def _spaced(rooms: Sequence[SpeakerRoom], values: np.ndarray, seats: Sequence[Frame]) -> Iterator[float]:
    """Yield the values at which the speaker keeps its clearances, nearest first, each apart from those before it."""
    yielded: list[float] = []
    for value, is_kept in zip(values, _kept(rooms, seats), strict=True):
        if is_kept and all(abs(value - other) > APART - STEP / 2 for other in yielded):
            yielded.append(float(value))
            yield yielded[-1]
        if len(yielded) == TRIALS:
            return


def _kept(rooms: Sequence[SpeakerRoom], seats: Sequence[Frame]) -> np.ndarray:
    """Return on which of some seats every clearance is kept, (n,) bool."""
    kept = np.full(len(seats), bool(seats))
    for room in rooms if seats else ():
        values = room.measure(Frames.of(*seats)).values
        kept &= values.min(axis=1) >= max(room.wanted, room.least) - SEARCHED
    return kept


def _holds(job: RingJob) -> bool:
    """Return whether a plan can be made and keeps every clearance and wall."""
    try:
        plan = plan_ring(job)
    except MountsError:
        return False
    gaps = (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan), *path_gaps(job, plan))
    return all(gap.verdict is Verdict.PASS for gap in gaps) and all(wall.is_enough for wall in plan.walls)
