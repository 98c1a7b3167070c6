"""Evaluation of a job's aim and of other tilts: every row planned, none built."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from mounts.aiming.values import AimReport, SideAim, TiltRow
from mounts.design.listening import (
    Listener,
    ListenerLevel,
    arrivals,
    clock_of,
    evaluate_listener,
    find_listeners,
    level_loss,
    paths,
    speed_of_sound,
)
from mounts.errors import InputError
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict
from mounts.geometry.frames import Vector
from mounts.geometry.ties import least_of
from mounts.kinds.kind import Planned, plan
from mounts.kinds.speaker_kind import SpeakerKind, SpeakerSeat
from mounts.load.models.job import AimAngles, Job
from mounts.load.models.speaker_job import SpeakerJob
from mounts.progress import report_stage

Held = tuple[Planned, SpeakerKind, SpeakerSeat]
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


def evaluate_aim(jobs: Sequence[Job], temperature: float, steepest: float = STEEPEST) -> AimReport:
    """Return what the aim of a job is worth on each of its sides.

    Args:
        jobs: jobs of one file.
        temperature: of the air in the cabin, °C.
        steepest: the last tilt that is tried, degrees.

    Raises:
        InputError: for a spacer, or when the job's own mount cannot be drawn.
    """
    speed = speed_of_sound(temperature)
    sides = tuple(_with_rows(side_aim(job, speed), speed, steepest) for job in _with_speakers(jobs))
    ways = [way for side in sides for way in paths(side.job.side, *heard_at(side))]
    return AimReport(jobs[0].name, temperature, speed, sides, arrivals(ways, temperature))


def _with_speakers(jobs: Sequence[Job]) -> Iterator[SpeakerJob]:
    for job in jobs:
        if not isinstance(job, SpeakerJob):
            raise _silent(job)
        yield job


def _silent(job: Job) -> InputError:
    return InputError(job.problem("kind", f"a {job.kind} holds no speaker, so there is nothing to aim"))


def heard_at(side: SideAim) -> tuple[Vector, tuple[Listener, ...]]:
    """Return where a speaker's sound begins, and who hears it."""
    return side.seat.frame.origin, tuple(one.listener for one in side.heard)


def side_aim(job: SpeakerJob, speed: float) -> SideAim:
    """Return what the aim of one side is worth, its own tilt its only row.

    Raises:
        InputError: when its mount cannot be drawn.
    """
    (planned, holds, seat), seen = _seat_at(job), find_listeners(job.panel, job.uncertainty("ears"))
    found = evaluate_listener(seat.frame, seen)
    toward = seat.toward if seat.tilt or not seen else clock_of(seat.frame, seen[0])
    first = found[0] if found else None
    levels = tuple(level_loss(job.speaker, angle, speed) for angle in (first.flat, first.angle)) if first else ((), ())
    own = _row(job, (planned, holds, seat), found, speed, is_chosen=True)
    findings = planned.kind.review().planned(job, planned.plan)
    return SideAim(planned, job, holds, seat, toward, found, (levels[0], levels[1]), (own,), findings)


def _with_rows(side: SideAim, speed: float, steepest: float) -> SideAim:
    """Return a side with other tilts beside its own; of a ring cut from sheet there are none."""
    return replace(side, rows=_rows(side, speed, steepest)) if side.holds.tilts else side


def _rows(side: SideAim, speed: float, steepest: float) -> tuple[TiltRow, ...]:
    """Return the job's own tilt among others, up to the first beyond it that breaks a limit or cannot be drawn."""
    job = side.holds.settled(side.job, side.planned.plan) if side.holds.settled else side.job
    own, tilt = side.rows[0], 0.0
    found = [own]
    while tilt <= steepest:
        if abs(tilt - own.tilt) > STEP / 4:
            report_stage("%s: plan at a tilt of %g of at most %g degrees", job.part or job.name, tilt, steepest)
            row = _try_pose(job, side.holds, AimAngles(tilt, side.toward), speed)
            found.append(row)
            if tilt > own.tilt and not _holds(row):
                break
        tilt += STEP
    return tuple(sorted(found, key=lambda row: row.tilt))


def _holds(row: TiltRow, *verdicts: Verdict) -> bool:
    """Return whether a tilt can be drawn and its gaps have these verdicts; any but FAIL where none is given."""
    held = verdicts or (Verdict.PASS, Verdict.DO, Verdict.WARN)
    return row.height is not None and all(gap.verdict in held for _, gap in row.gaps)


def _try_pose(job: SpeakerJob, holds: SpeakerKind, aim: AimAngles, speed: float) -> TiltRow:
    """Return one tilt at the job's own height, or at the least height that it needs where that is more."""
    seen = find_listeners(job.panel, job.uncertainty("ears"))
    plain = replace(job, aim=aim, label=None)
    tries = [plain, *([holds.lower(plain)] if holds.lower else [])]
    refused = ""
    for one in tries:
        try:
            held = _seat_at(one)
        except InputError as error:
            refused = error.problems[0].what
        else:
            return _row(one, held, evaluate_listener(held[2].frame, seen), speed)
    return TiltRow(aim.tilt, None, (), (), (), refused)


def _seat_at(job: SpeakerJob) -> Held:
    """Return the plan of a job that holds a speaker, and its seat."""
    planned = plan(job)
    holds = planned.kind.holds
    if holds is None:
        raise _silent(job)
    return planned, holds, holds.seat(planned.plan)


def _row(
    job: SpeakerJob, held: Held, found: tuple[ListenerLevel, ...], speed: float, *, is_chosen: bool = False
) -> TiltRow:
    planned, holds, seat = held
    levels = level_loss(job.speaker, found[0].angle, speed) if found else ()
    return TiltRow(
        tilt=seat.tilt,
        height=seat.frame.origin[2],
        gaps=tuple(_tightest(holds.gaps(job, planned.plan))),
        heard=found,
        lost=levels,
        is_chosen=is_chosen,
    )


def _tightest(found: Iterable[Gap]) -> Iterator[tuple[str, Gap]]:
    """Yield of every sort of gap the one that is nearest to its limit, or furthest past it."""
    gaps = list(found)
    for code, word in SORTS.items():
        same = [gap for gap in gaps if gap.code == code]
        if same:
            yield word, least_of(same, lambda gap: gap.gap - gap.wanted)
