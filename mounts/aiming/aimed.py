"""What the aim of a job is worth, and what other tilts would be: every row planned, none built."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from mounts.aiming.values import Aimed, AimedJob, AimedPlan, Row, SideAim
from mounts.design.listening.arrivals import arrivals, paths, speed_of_sound
from mounts.design.listening.ears import Listener, listeners
from mounts.design.listening.heard import Heard, clock_of, heard, lost
from mounts.errors import InputError
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict
from mounts.geometry.frames import Vector
from mounts.identity import MOUNT, Role, called
from mounts.kinds.cup.fit import cup_gaps
from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.ring.aiming.bed import room_on_bed
from mounts.kinds.ring.fit import ring_gaps, speaker_gaps
from mounts.kinds.ring.flat import plan_flat
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.load.models.jobbase import Aim
from mounts.load.models.resolved import AnyJob, CupJob, Job

STEP, STEEPEST = 2.0, 30.0  # degrees from one row to the next, and the last
SORTS = {
    "clear.glass": "glass",
    "clear.thing": "things",
    "clear.room": "room",
    "clear.trim": "trim",
    "clear.grille": "grille",
    "clear.body-opening": "opening",
    "clear.terminals": "plugs",
    "clear.body-bore": "bore",
    "bed": "bed",
}


def aimed(jobs: Sequence[AnyJob], temperature: float, steepest: float = STEEPEST) -> Aimed:
    """What the aim of a job is worth on each of its sides.

    Args:
        jobs: of one file.
        temperature: of the air in the cabin, °C.
        steepest: the last tilt that is tried, degrees.

    Raises:
        InputError: for a spacer, or when the job's own mount cannot be drawn.
    """
    speed = speed_of_sound(temperature)
    sides = tuple(_with_rows(side_aim(job, speed), speed, steepest) for job in _with_speakers(jobs))
    ways = [way for side in sides for way in paths(side.job.side, *heard_at(side))]
    return Aimed(jobs[0].name, temperature, speed, sides, arrivals(ways, temperature))


def _with_speakers(jobs: Sequence[AnyJob]) -> Iterator[AimedJob]:
    for job in jobs:
        if not isinstance(job, Job | CupJob):
            raise InputError(job.problem("kind", f"a {job.kind} holds no speaker, so there is nothing to aim"))
        yield job


def heard_at(side: SideAim) -> tuple[Vector, tuple[Listener, ...]]:
    """Where a speaker's sound begins, and who hears it."""
    return side.plan.seat.frame.origin, tuple(one.listener for one in side.heard)


def side_aim(job: AimedJob, speed: float) -> SideAim:
    """What the aim of one side is worth, its own tilt its only row.

    Raises:
        InputError: when its mount cannot be drawn.
    """
    plan, seen = planned(job), listeners(job.panel, job.uncertainty("ears"))
    seat = plan.seat
    found = heard(seat.frame, seen)
    toward = seat.toward if seat.tilt or not seen else clock_of(seat.frame, seen[0])
    first = found[0] if found else None
    levels = tuple(lost(job.speaker, angle, speed) for angle in (first.flat, first.angle)) if first else ((), ())
    own = _row(job, plan, found, speed, is_chosen=True)
    return SideAim(job, plan, toward, found, (levels[0], levels[1]), (own,))


def _with_rows(side: SideAim, speed: float, steepest: float) -> SideAim:
    """A side with other tilts beside its own; of a ring cut from sheet there are none."""
    if isinstance(side.plan, FlatPlan):
        return side
    given = _given(side.job, side.plan)
    return replace(side, rows=_rows(given, side.rows[0], side.toward, speed, steepest))


def _given(job: AimedJob, plan: AimedPlan) -> AimedJob:
    """The job with nothing left to be found but a height, at the place that was chosen for its seat."""
    if not isinstance(job, Job) or job.sought is None:
        return job
    ox, oy, _ = plan.seat.frame.origin
    return replace(job, sought=None, seat_offset=(ox, oy))


def planned(job: AimedJob) -> AimedPlan:
    """The plan of a job that holds a speaker."""
    if isinstance(job, CupJob):
        return plan_cup(job)
    return plan_flat(job) if job.make == "cut" else plan_ring(job)


def _rows(job: AimedJob, own: Row, toward: float, speed: float, steepest: float) -> tuple[Row, ...]:
    """The job's own tilt among others, up to the first beyond it that breaks a limit or cannot be drawn."""
    found, tilt = [own], 0.0
    while tilt <= steepest:
        if abs(tilt - own.tilt) > STEP / 4:
            row = _tried(job, Aim(tilt, toward), speed)
            found.append(row)
            if tilt > own.tilt and not _holds(row):
                break
        tilt += STEP
    return tuple(sorted(found, key=lambda row: row.tilt))


def _holds(row: Row) -> bool:
    return row.height is not None and all(gap.verdict is not Verdict.FAIL for _, gap in row.gaps)


def _tried(job: AimedJob, aim: Aim, speed: float) -> Row:
    """One tilt at the job's own height, or at the least height that it needs where that is more."""
    seen = listeners(job.panel, job.uncertainty("ears"))
    plain = replace(job, aim=aim, label=None)
    tries = [plain, replace(plain, height="least")] if isinstance(plain, Job) else [plain]
    refused = ""
    for one in tries:
        try:
            plan = planned(one)
        except InputError as error:
            refused = error.problems[0].what
        else:
            return _row(one, plan, heard(plan.seat.frame, seen), speed)
    return Row(aim.tilt, None, (), (), (), refused)


def _row(job: AimedJob, plan: AimedPlan, found: tuple[Heard, ...], speed: float, *, is_chosen: bool = False) -> Row:
    levels = lost(job.speaker, found[0].angle, speed) if found else ()
    return Row(
        tilt=plan.seat.tilt,
        height=plan.seat.frame.origin[2],
        gaps=tuple(_tightest(job, plan)),
        heard=found,
        lost=levels,
        is_chosen=is_chosen,
    )


def _tightest(job: AimedJob, plan: AimedPlan) -> Iterator[tuple[str, Gap]]:
    """Of every sort of gap the one that is nearest to its limit, or furthest past it."""
    gaps = list(_gaps(job, plan))
    for code, word in SORTS.items():
        same = [gap for gap in gaps if gap.code == code]
        if same:
            yield word, min(same, key=lambda gap: gap.gap - gap.wanted)


def _gaps(job: AimedJob, plan: AimedPlan) -> Iterator[Gap]:
    if isinstance(job, CupJob) and isinstance(plan, CupPlan):
        yield from cup_gaps(job, plan)
    elif isinstance(job, Job) and isinstance(plan, RingPlan):
        yield from (*speaker_gaps(job, plan.seat), *ring_gaps(job, plan), *_off_bed(job, plan))
    elif isinstance(job, Job) and isinstance(plan, FlatPlan):
        yield from speaker_gaps(job, plan.seat)


def _off_bed(job: Job, plan: RingPlan) -> Iterator[Gap]:
    """By how much a ring is too large for its printer; nothing where it is not."""
    room = room_on_bed(job, plan)
    if room < 0:
        between = (MOUNT, called(Role.LIMIT, f"the bed of {job.printer.name}"))
        yield Gap("bed", between, room, 0.0, 0.0, "the printer's file", plan.seat.frame.origin)
