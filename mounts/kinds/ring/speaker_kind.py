"""Gaps at other tilts, room and holes that aiming, choosing and matching need of a ring."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from mounts.design.fixings import choose_hole, fixing_errors, gaps
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict
from mounts.identity import MOUNT, Role, called
from mounts.kinds.margin import OWN, Margin, margin_from
from mounts.kinds.ring.aiming.bed import room_on_bed
from mounts.kinds.ring.changes import find_change, refused_with_change, with_change
from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.room import ring_room
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.kinds.speaker_kind import MountHoles, SpeakerKind, plan_seat
from mounts.load.models.job_kinds import RingJob

LIFTS = 3  # plans of a higher ring that are tried


def ring_margin(job: RingJob) -> Margin:
    """Return the margin of a ring; raise InputError where it cannot be drawn.

    One that misses something as low as it goes stands higher where that keeps everything.
    """
    found = _of_ring(job)
    if found.verdict is Verdict.PASS or job.height != "least":
        return found
    change = find_change(job, LIFTS)
    return _of_ring(change.job) if change and set(change.lines) == {"height"} else found


def _of_ring(job: RingJob) -> Margin:
    """Return the margin of a ring as it is planned."""
    plan = plan_ring(job)
    gaps = tuple(speaker_gaps(job, plan.seat))
    room = [gap for gap in gaps if gap.code not in OWN]
    if all(gap.verdict is not Verdict.FAIL for gap in gaps):  # else what is said of the ring itself changes nothing
        own = tuple(ring_gaps(job, plan))
        gaps, room = (*gaps, *own), [*room, *(gap for gap in own if gap.code not in OWN and not gap.bound)]
    return margin_from(gaps, room, plan.walls, plan.seat.frame.origin[2])


def ring_holes(job: RingJob, names: Sequence[str]) -> MountHoles:
    """Return the holes of a ring for some of its panel's fixings."""
    hole, errors = choose_hole(job), fixing_errors(job)
    own = list(job.panel.fixings.points)
    order = [own.index(name) for name in names]
    play = gaps(job, hole)
    words = f"holes of {hole:.1f} for {job.fix_to_panel.screw.thread}"
    plays = tuple(errors.plays[k] for k in order)
    return MountHoles(tuple(play[k] for k in order), (None,) * len(names), words, errors.made, plays)


def aimed_gaps(job: RingJob, plan: RingPlan) -> Iterator[Gap]:
    """Yield the gaps of a printed ring that depend on its tilt, and its excess over the printer's bed."""
    yield from (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan))
    room = room_on_bed(job, plan)
    if room < 0:
        between = (MOUNT, called(Role.LIMIT, f"the bed of {job.printer.name}"))
        yield Gap("bed", between, room, 0.0, 0.0, "the printer's file", plan.seat.frame.origin)


def _flat_gaps(job: RingJob, plan: FlatPlan) -> Iterator[Gap]:
    yield from speaker_gaps(job, plan.seat)


def _seals(job: RingJob) -> bool:
    """Return whether the base gasket keeps its land; raise InputError where the ring cannot be drawn."""
    return all(wall.is_enough for wall in plan_ring(job).walls if wall.code == "seal.land")


def _lowest(job: RingJob) -> RingJob:
    return replace(job, height="least")


def _settled(job: RingJob, plan: RingPlan) -> RingJob:
    """Return the job with only its height left to be found, at the place that was chosen for its seat."""
    ox, oy, _ = plan.seat.frame.origin
    return job if job.sought is None else replace(job, sought=None, seat_offset=(ox, oy))


RING = SpeakerKind(
    seat=plan_seat,
    gaps=aimed_gaps,
    margin=ring_margin,
    room=ring_room,
    seals=_seals,
    holes=ring_holes,
    lower=_lowest,
    settled=_settled,
    mended=with_change,
    refused=refused_with_change,
)
FLAT = SpeakerKind(
    seat=plan_seat, gaps=_flat_gaps, margin=ring_margin, room=ring_room, seals=_seals, holes=ring_holes, tilts=False
)
