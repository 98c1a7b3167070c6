"""One trial: the plan of a job, and by how much it misses what."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from mounts.errors import InputError, MountsError, Problem
from mounts.findings.gap import Gap
from mounts.findings.report import Verdict
from mounts.kinds.ring.aiming.bed import room_on_bed
from mounts.kinds.ring.base import choose_hole, wanted_hole
from mounts.kinds.ring.clearances import ring_gaps, speaker_gaps
from mounts.kinds.ring.insertion import path_gaps
from mounts.kinds.ring.plan import draft_ring
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job_kinds import RingJob

UNDRAWN = 1000.0  # mm that a ring misses which cannot be planned at all


@dataclass(frozen=True)
class Change:
    """Lines of a job's file by their keys, and the job by them."""

    lines: dict[str, str]
    job: RingJob

    @property
    def words(self) -> str:
        """The lines as they are written."""
        return ", ".join(f"{key}: {value}" for key, value in self.lines.items())


@dataclass(frozen=True)
class Trial:
    """Plan of a job, None where there is none, and why not.

    Attributes:
        job: that was planned.
        plan: walls of no thickness included.
        refused: problems that prevent a plan.
    """

    job: RingJob
    plan: RingPlan | None
    refused: tuple[Problem, ...] = ()

    @classmethod
    def of(cls, job: RingJob) -> Trial:
        """Return the trial of a job."""
        try:
            return cls(job, draft_ring(job))
        except InputError as error:
            return cls(job, None, error.problems)
        except MountsError:
            return cls(job, None)

    @cached_property
    def lacks(self) -> dict[str, float]:
        """Sum of what is missed, mm, by the code of its finding; by its key for what prevents a plan."""
        found: dict[str, float] = defaultdict(float)
        for problem in self.refused:
            found[problem.where.partition(".")[0]] += UNDRAWN
        if self.plan is None:
            return found or {"": UNDRAWN}
        for gap in self._gaps(self.plan):
            if gap.verdict is not Verdict.PASS:
                found[gap.code] += max(0.1, gap.wanted - gap.gap)
        for wall in self.plan.walls:
            if not wall.is_enough:
                found[wall.code] += wall.limit - wall.thickness
        room = room_on_bed(self.job, self.plan)
        if room < 0:
            found["bed"] += -room
        return found

    def _gaps(self, plan: RingPlan) -> Iterable[Gap]:
        yield from speaker_gaps(self.job, plan.seat)
        yield from ring_gaps(self.job, plan)
        yield from path_gaps(self.job, plan)

    @property
    def total(self) -> float:
        """Sum of all that is missed, mm."""
        return sum(self.lacks.values())

    def goes_on(self) -> bool:
        """Return whether all screws go in as surely as is wanted."""
        return wanted_hole(self.job) <= choose_hole(self.job) + 1e-6

    def misses(self, *starts: str) -> bool:
        """Return whether anything is missed whose code begins so."""
        return any(code.startswith(starts) for code in self.lacks)
