"""Gaps at other tilts, room and holes that aiming, choosing and matching need of a ring.

Largest speaker that goes on a ring, found by growing a stand-in until something is too near.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from mounts.design.body import BodyBlock
from mounts.design.clearances import gaps_of
from mounts.design.measured_planes import grille_plane
from mounts.errors import InputError
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict
from mounts.geometry.frames import PANEL
from mounts.geometry.outline import circle
from mounts.geometry.planes import disc_gap_below
from mounts.identity import FLANGE, MOUNT, Role, called
from mounts.kinds.ring.aiming.bed import room_on_bed
from mounts.kinds.ring.base import choose_hole, fixing_errors, gaps
from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.trim import CoveredBody, cover_rooms
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.kinds.speaker_kind import (
    FINE,
    NARROWER,
    OWN,
    SHALLOW,
    THICK,
    AvailableRoom,
    Margin,
    MountHoles,
    SpeakerKind,
    bisect_greatest,
    margin_from,
    narrow_stand_in,
    plan_seat,
)
from mounts.load.models.speaker import BodyStep

MAGNETS = (60.0, 80.0, 100.0, 120.0)  # mm, diameters that woofers' magnets have: common practice
STRAIGHT = 15.0  # mm behind the seat that a body stays as wide as its cutout less 1
DEEP = 200.0  # mm, depth up to which is looked
WIDEST = 300.0  # mm: a flange of which no more is said


def ring_room(level: RingJob, job: RingJob) -> AvailableRoom:
    """Return the room of a ring at its job's tilt, for a narrower stand-in where the level one is too wide."""
    while True:
        try:
            plan = plan_ring(job)
            break
        except InputError:
            cutout = job.speaker.cutout.least - NARROWER
            if cutout < level.speaker.cutout.least / 2:
                raise
            job = replace(job, speaker=narrow_stand_in(job.speaker, cutout))
    bare = replace(job, panel=job.panel.model_copy(update={"in_front": None}))
    body = _body(bare, plan)
    magnets = [magnet for magnet in MAGNETS if magnet <= body]
    return AvailableRoom(
        tilt=job.aim.tilt,
        height=plan.seat.frame.origin[2],
        body=body,
        depths=tuple((magnet, _depth(bare, plan, body, magnet)) for magnet in magnets),
        flange=_flange(job, plan),
        front=_front(job, plan),
    )


def _body(job: RingJob, plan: RingPlan) -> float:
    """Return the diameter of the widest straight body that passes opening and sheet, mm."""
    depth = plan.seat.frame.origin[2] + SHALLOW

    def passes(across: float) -> bool:
        found = _gaps(job, plan, ((0.0, across), (depth, across)), depth)
        return all(gap.gap >= gap.wanted for gap in found if gap.code == "clear.body-opening")

    return bisect_greatest(passes, 10.0, job.panel.opening.across) or 0.0


def _depth(job: RingJob, plan: RingPlan, body: float, magnet: float) -> tuple[float, str] | None:
    """Return the greatest depth with a magnet of a diameter, and what limits it."""

    def near(depth: float) -> list[Gap]:
        steps = ((0.0, body), (min(STRAIGHT, depth / 2), max(magnet, 0.8 * body)), (depth / 2, magnet), (depth, magnet))
        found = _gaps(job, plan, steps, depth)
        return [gap for gap in found if gap.code in ("clear.glass", "clear.thing") and gap.gap < gap.wanted]

    depth = bisect_greatest(lambda tried: not near(tried), SHALLOW, DEEP)
    if depth is None:
        return None
    beyond = near(depth + 2 * FINE)
    return depth, min(beyond, key=lambda gap: gap.gap - gap.wanted).between[1].label if beyond else "nothing measured"


def _gaps(job: RingJob, plan: RingPlan, steps: Sequence[tuple[float, float]], depth: float) -> list[Gap]:
    """Return the gaps of a body of these steps, (depth, diameter), on the seat."""
    body = tuple(BodyStep(depth=level, across=across) for level, across in steps)
    return list(
        speaker_gaps(replace(job, speaker=job.speaker.model_copy(update={"body": body, "depth": depth})), plan.seat)
    )


def _flange(job: RingJob, plan: RingPlan) -> float | None:
    """Return the diameter of the widest flange that keeps its distance to trim and grille, mm."""
    top = plan.seat.frame.lifted(plan.seat.lift + THICK)

    def clears(across: float) -> bool:
        standing = CoveredBody(FLANGE, BodyBlock(top, circle(across), THICK))
        return all(gap.gap >= gap.wanted for gap in gaps_of(cover_rooms(job, [standing]), PANEL))

    found = bisect_greatest(clears, 20.0, WIDEST)
    return None if found is not None and found >= WIDEST - FINE else found or 0.0


def _front(job: RingJob, plan: RingPlan) -> float | None:
    """Return the height above the seat, mm, that a cone 0.8 of the cutout wide may reach at full travel."""
    plane, seat = grille_plane(job.panel), plan.seat
    if plane is None:
        return None
    across = 0.8 * job.speaker.cutout.least

    def clears(high: float) -> bool:
        x, y, z = (float(v) for v in seat.frame.out((0.0, 0.0, seat.lift + high)))
        return disc_gap_below(plane, (x, y, z), seat.frame.z, across)[0] >= job.limits.cone_to_grille

    return bisect_greatest(clears, 0.0, DEEP) or 0.0


def ring_margin(job: RingJob) -> Margin:
    """Return the margin of a ring; raise InputError where it cannot be drawn."""
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
    words = f"holes of {job.units(hole, 1)} for {job.fix_to_panel.screw.thread}"
    errors = replace(errors, plays=tuple(errors.plays[k] for k in order))
    return MountHoles(tuple(play[k] for k in order), (None,) * len(names), words, errors.calibrated)


def aimed_gaps(job: RingJob, plan: RingPlan) -> Iterator[Gap]:
    """Yield the gaps of a printed ring that depend on its tilt, and its excess over the printer's bed."""
    yield from (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan))
    room = room_on_bed(job, plan)
    if room < 0:
        between = (MOUNT, called(Role.LIMIT, f"the bed of {job.printer.name}"))
        yield Gap("bed", between, room, 0.0, 0.0, "the printer's file", plan.seat.frame.origin)


def _flat_gaps(job: RingJob, plan: FlatPlan) -> Iterator[Gap]:
    yield from speaker_gaps(job, plan.seat)


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
    holes=ring_holes,
    lower=_lowest,
    settled=_settled,
)
FLAT = SpeakerKind(seat=plan_seat, gaps=_flat_gaps, margin=ring_margin, room=ring_room, holes=ring_holes, tilts=False)
