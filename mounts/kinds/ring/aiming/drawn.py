"""Limits of a place that only a drawn ring shows, linearised for the search: its walls, and the speaker in its bore."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import astuple, dataclass, replace
from math import inf
from typing import Protocol, TypeVar

import numpy as np

from mounts.design.fasteners import Fastening
from mounts.errors import MountsError
from mounts.findings.gap import Gap
from mounts.geometry.frames import Array, Frames, tilt_frame
from mounts.geometry.outline import Point
from mounts.identity import Pair, Role, called
from mounts.kinds.ring.aiming.bed import Lie
from mounts.kinds.ring.aiming.limits import Limit, LinearCut
from mounts.kinds.ring.aiming.problem import PoseProblem
from mounts.kinds.ring.clearances import bore_gaps, ring_gaps
from mounts.kinds.ring.height import Bounds, rounded_up
from mounts.kinds.ring.insertion import insertion_gaps, trim_gaps
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Base
from mounts.kinds.ring.seat import lay_out_seat, seat_at
from mounts.kinds.ring.tower import bore_between, mouth_of
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job import AimAngles

FINE = 2  # digits to which a pose is rounded, degrees and mm
STEP = 0.2  # degrees and mm by which a place is moved to see how a limit changes
ENOUGH = 0.02  # mm that such a limit is then to be kept by
NO_WALL = 0.05  # mm: a wall thinner than this is no wall, and its ring cannot be drawn
LEVEL = 1e-3  # mm for each mm or degree: what changes less is missed wherever the seat is
BARE_WALL = 0.2  # mm that a wall keeps at least where clearances are missed
LOOSE = 0.05  # mm of room on a bed that holds the place which are given up
WAYS = ("way.speaker", "way.trim")
BORE = ("clear.body-bore", "way.speaker")  # by the bore alone, without the rest of the ring

T = TypeVar("T")
Margins = dict[tuple[str, Pair], tuple[float, Limit]]


class Draw(Protocol):
    """Function that draws the ring of a job that gives its pose."""

    def __call__(self, job: RingJob, /, *, walls: frozenset[str] | None = None) -> RingPlan:
        """Return the ring's plan, with its walls of some codes; with all where none are given."""


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """A problem with its best place.

    Attributes:
        turn: turn of the speaker about its axis.
        problem: problem that was solved.
        numbers: free variables at its best place.
        miss: by how much the worst clearance is missed, mm.
    """

    turn: float
    problem: PoseProblem
    numbers: Array
    miss: float

    @property
    def is_possible(self) -> bool:
        """True if all hard constraints hold, or they fail for another reason than the printer."""
        limits = self.problem.limits
        return limits.top is None or bool(limits.hard(self.problem.freedom.poses(self.numbers[None])).min() >= -ENOUGH)

    @property
    def cost(self) -> float:
        """Sum of the squared residuals that are minimised."""
        poses = self.problem.freedom.poses(self.numbers[None])
        return float((self.problem.wanted(poses) ** 2).sum())

    @property
    def pose(self) -> tuple[AimAngles, float, Point]:
        """Aim, height and offset as plain values; the height no less than what holds the seat up where it is free."""
        aim, height, offset = self.pose_of(self.numbers)
        if self.problem.freedom.height is None:  # a search that could not keep it ends below
            least = float(self.problem.limits.bounds.least(Frames.of(tilt_frame((*offset, 0.0), *astuple(aim)))).max())
            height = height if height >= least else rounded_up(least)
        return aim, height, offset

    def pose_of(self, numbers: Array) -> tuple[AimAngles, float, Point]:
        """Return aim, height and offset of other numbers."""
        freedom = self.problem.freedom
        poses = freedom.poses(numbers[None])
        told = (poses.tilts[0], poses.towards[0] % 360, poses.heights[0], *poses.offsets[0])
        tilt, toward, height, x, y = (round(float(value), FINE) for value in told)
        return AimAngles(tilt, toward), rounded_up(height) if isinstance(freedom.height, Bounds) else height, (x, y)


def with_pose(job: RingJob, aim: AimAngles, height: float, offset: Point, turn: float) -> RingJob:
    """Return the job with the given pose in place of what it left open."""
    return replace(job, sought=None, aim=aim, height=height, seat_offset=offset, turn=turn)


def as_planned(job: RingJob, plan: RingPlan) -> RingJob:
    """Return the job with the pose that its plan has chosen; unchanged where it gave one."""
    choice = plan.choice
    return with_pose(job, choice.aim, choice.height, choice.seat_offset, choice.turn) if choice else job


def linear_cuts(
    job: RingJob, found: Solved, screw: Fastening, base: Base, draw: Draw, *, bare: bool = False
) -> tuple[LinearCut, ...]:
    """Return the limits that the ring drawn at a place misses, with their slopes; none where it keeps all.

    With `bare` those are only walls that all but vanish, which must stay where clearances cannot be kept.
    """
    plain = replace(job, label=None)

    def margins(numbers: Array, codes: frozenset[str] | None = None) -> Margins:
        there = with_pose(plain, *found.pose_of(numbers), found.turn)
        if bare:
            return _bare_walls(draw(there, walls=codes))
        if codes and codes <= set(BORE):
            return _in_bore(there, screw, base)
        return _of_plan(there, draw(there, walls=codes), codes)

    here = margins(found.numbers)
    missed = {key: told for key, told in here.items() if told[0] < -1e-4}
    if not missed:
        return ()
    codes = frozenset(code for code, _ in missed)
    beside = _beside(found.numbers, lambda numbers: margins(numbers, codes))
    cuts = []
    for key, (margin, limit) in missed.items():
        slopes = np.array([(there.get(key, (margin, limit))[0] - margin) / by for by, there in beside])
        if np.abs(slopes).max(initial=0.0) > LEVEL:
            cuts.append(LinearCut(limit, found.numbers, margin - ENOUGH, slopes))
    return tuple(cuts)


def is_drawable(job: RingJob, found: Solved, draw: Draw) -> bool:
    """Return whether a ring can be drawn at a place, no wall of it vanishing."""
    try:
        plan = draw(with_pose(replace(job, label=None), *found.pose, found.turn))
    except MountsError:
        return False
    return all(wall.thickness >= NO_WALL for wall in plan.walls)


def bed_cut(job: RingJob, found: Solved, draw: Draw, lie: Lie) -> LinearCut | None:
    """Return the room that a ring drawn at a place leaves on its bed, with its slopes; None where there is enough.

    It is also given where an earlier such cut holds the place further off than need be.
    """

    def drawn(numbers: Array) -> RingPlan:
        return draw(with_pose(job, *found.pose_of(numbers), found.turn), walls=frozenset())

    plan = drawn(found.numbers)
    lying = lie(job, plan)
    if lying is None:
        return None
    margin, before = lying(plan), found.problem.limits.bed
    held = any(cut.margin + (found.numbers - cut.at) @ cut.slopes < ENOUGH for cut in before)
    if margin >= 0 and not (held and margin > LOOSE):
        return None
    slopes = np.array([(room - margin) / by for by, room in _beside(found.numbers, lambda one: lying(drawn(one)))])
    between = (called(Role.PART, "the mount's outline"), called(Role.LIMIT, f"the edge of {job.printer.name}'s bed"))
    return LinearCut(Limit("bed", between, "printer.bed", 0.0, 0.0), found.numbers, margin - ENOUGH, slopes)


def room_lying(job: RingJob, draw: Draw, lie: Lie) -> float:
    """Return the room that the ring of a job leaves on its bed, mm; −inf where it cannot lie so."""
    try:
        plan = draw(job, walls=frozenset())
    except MountsError:
        return -inf
    lying = lie(job, plan)
    return lying(plan) if lying else -inf


def lowest_job(job: RingJob, found: Solved) -> RingJob:
    """Return the job with its seat as low, as level and as central as it may be."""
    freedom, (aim, height, _) = found.problem.freedom, found.pose
    level = with_pose(job, replace(aim, tilt=freedom.tilt or 0.0), height, job.seat_offset, found.turn)
    return level if isinstance(freedom.height, float) else replace(level, height="least")


def _beside(numbers: Array, tell: Callable[[Array], T]) -> list[tuple[float, T]]:
    """Return what `tell` gives one step beside a place, for each number in turn, with the size of the step."""
    found = []
    for step in np.eye(len(numbers)):
        try:
            found.append((STEP, tell(numbers + STEP * step)))
        except MountsError:  # beyond what can be drawn: the other way, then
            found.append((-STEP, tell(numbers - STEP * step)))
    return found


def _bare_walls(plan: RingPlan) -> Margins:
    """Return by how much the walls of a ring are more than none."""
    walls = {(wall.code, wall.between): wall for wall in plan.walls}
    return {
        key: (wall.thickness - min(BARE_WALL, wall.limit), Limit(wall.code, wall.between, "", BARE_WALL, 0.0))
        for key, wall in walls.items()
    }


def _of_plan(job: RingJob, plan: RingPlan, codes: frozenset[str] | None) -> Margins:
    """Return by how much a ring keeps its walls and the clearances inside it, of some codes at least."""
    found: Margins = {}
    for wall in plan.walls:
        found[wall.code, wall.between] = (
            wall.thickness - wall.limit,
            Limit(wall.code, wall.between, "", wall.limit, 0.0),
        )
    gaps: list[Gap] = []
    if codes is None or not all(map(_is_wall, codes - set(WAYS))):
        gaps += ring_gaps(job, plan)
    if codes is None or WAYS[0] in codes:
        gaps += insertion_gaps(job, plan.seat, plan.tower.inside)
    if codes is None or WAYS[1] in codes:
        gaps += trim_gaps(job, plan)
    return found | dict(map(_margin_of_gap, gaps))


def _is_wall(code: str) -> bool:
    return code.startswith(("wall.", "seal."))


def _in_bore(job: RingJob, screw: Fastening, base: Base) -> Margins:
    """Return by how much the speaker is clear of the bore."""
    assert not isinstance(job.height, str)
    assert not isinstance(job.turn, str)
    seat = seat_at(job, lay_out_seat(job, job.turn), job.aim, job.height)
    inside = bore_between(seat, *mouth_of(job, screw, base, seat))
    return dict(map(_margin_of_gap, (*bore_gaps(job, seat, inside), *insertion_gaps(job, seat, inside))))


def _margin_of_gap(gap: Gap) -> tuple[tuple[str, Pair], tuple[float, Limit]]:
    return (gap.code, gap.between), (
        gap.gap - gap.wanted,
        Limit(gap.code, gap.between, gap.reading, gap.wanted, 0.0),
    )
