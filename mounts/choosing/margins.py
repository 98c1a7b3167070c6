"""How much room a planned mount leaves, and what comes nearest, in closed form on the plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from math import floor, inf

from mounts.errors import InputError
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict, gravest
from mounts.findings.wall import Wall
from mounts.identity import Pair
from mounts.kinds.cup.fit import cup_gaps
from mounts.kinds.cup.plan import plan_cup
from mounts.kinds.ring.fit import ring_gaps, speaker_gaps
from mounts.kinds.ring.plan import plan_ring
from mounts.load.models.resolved import CupJob, Job

OWN = ("clear.body-bore", "clear.hardware", "clear.bead")  # gaps that the plan makes as large as they need be
BEHIND, FRONT = ("clear.glass", "clear.thing"), ("clear.trim", "clear.grille")
STEP = 0.1  # mm, of height
BEST = "clear.grille"  # of a cup, which is set as near the grille as it may be


@dataclass(frozen=True, slots=True)
class Margin:
    """What decides about one mount.

    Attributes:
        verdict: the gravest of all distances and walls.
        margin: least distance to anything in the vehicle, less what is wanted there, mm; of a mount that fails, by how
            much it breaks a limit, negative. None where nothing round it was measured.
        between: the two things.
        reading: path of the reading that it rests on; "" for none.
        sd: one standard deviation of the distance from that reading, mm; None for none.
        height: of the seat above the face, mm.
    """

    verdict: Verdict
    margin: float | None
    between: Pair | None
    reading: str
    sd: float | None
    height: float


def margin_of(job: Job | CupJob) -> Margin:
    """The margin of a job's mount; raises InputError where it cannot be drawn.

    A ring that is too near something behind at the height that it is planned for is lifted, as far as what is in front
    leaves more room than that.
    """
    if isinstance(job, CupJob):
        return _of_cup(job)
    found, lift = _of_ring(job)
    if lift < STEP:
        return found
    with suppress(InputError):
        height = floor(10 * (found.height + lift)) / 10
        lifted = _of_ring(replace(job, height=height))[0]
        return max(found, lifted, key=lambda one: (one.verdict is not Verdict.FAIL, one.margin or 0.0))
    return found


def _of_ring(job: Job) -> tuple[Margin, float]:
    """The margin, and by how much more height would help, mm."""
    plan = plan_ring(job)
    gaps = tuple(speaker_gaps(job, plan.seat))
    room = [gap for gap in gaps if gap.code not in OWN]
    if all(gap.verdict is not Verdict.FAIL for gap in gaps):  # else what is said of the ring itself changes nothing
        own = tuple(ring_gaps(job, plan))
        gaps, room = (*gaps, *own), [*room, *(gap for gap in own if gap.code not in OWN and not gap.bound)]
    return _told(gaps, room, plan.walls, plan.seat.frame.origin[2]), _lift(room)


def _lift(room: Iterable[Gap]) -> float:
    """How much more height frees what is behind, as far as what is in front allows; 0 where nothing is too near."""
    least = {True: inf, False: inf}
    for gap in room:
        if gap.code in (*BEHIND, *FRONT):
            least[gap.code in BEHIND] = min(least[gap.code in BEHIND], gap.gap - gap.wanted)
    behind, front = least[True], least[False]
    return 0.0 if behind >= 0 else max(0.0, min(STEP - behind, front))


def _of_cup(job: CupJob) -> Margin:
    plan = plan_cup(job)
    gaps = tuple(cup_gaps(job, plan))
    room = [gap for gap in gaps if gap.code not in (*OWN, BEST)]
    return _told(gaps, room, plan.walls, plan.seat.frame.origin[2])


def _told(gaps: Sequence[Gap], room: Sequence[Gap], walls: Iterable[Wall], height: float) -> Margin:
    thin = [wall for wall in walls if not wall.is_enough]
    failing = [gap for gap in gaps if gap.verdict is Verdict.FAIL]
    verdict = gravest([*(gap.verdict for gap in gaps), *(Verdict.FAIL for _ in thin)])
    if verdict is Verdict.FAIL:
        found = [(gap.gap - gap.least, gap.between, gap.reading, gap.sd) for gap in failing]
        found += [(wall.thickness - wall.limit, wall.between, "", None) for wall in thin]
    else:
        found = [(gap.gap - gap.wanted, gap.between, gap.reading, gap.sd) for gap in room]
    if not found:
        return Margin(verdict, None, None, "", None, height)
    margin, between, reading, sd = min(found, key=lambda one: one[0])
    return Margin(verdict, margin, between, reading, sd, height)


def reason(error: InputError) -> str:
    """Why a mount cannot be drawn, without the place in a file that nobody wrote."""
    return error.problems[0].what
