"""One trial: the plan of a job, what it misses of what a change can mend, and what else its checks say."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from mounts.checks.ring.findings import findings_by_plan
from mounts.checks.ring.halves import lap_findings
from mounts.errors import InputError, MountsError, Problem
from mounts.findings.causes import is_by_printer
from mounts.findings.gap import Gap
from mounts.findings.report import Finding, Verdict
from mounts.kinds.ring.aiming.bed import in_one
from mounts.kinds.ring.aiming.drawn import NO_WALL
from mounts.kinds.ring.halves.plan import parts_of, plan_part
from mounts.kinds.ring.halves.search import fits_by_far, split_bed_room
from mounts.kinds.ring.insertion import path_gaps
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import draft_ring
from mounts.kinds.ring.speaker_kind import aimed_gaps
from mounts.kinds.ring.values import RingPlan

UNDRAWN = 1000.0  # mm that a ring misses which cannot be planned at all
NAMED = 2  # of what a change leaves
MISSED = (Verdict.WARN, Verdict.FAIL)
MENDED = ("clear.", "way.", "wall.", "seal.", "bed", "chance.clear", "chance.mount")
FAILED = ("load.", "screw.")  # mended where they fail: what warns of them is lived with
READ = ("panel.", "pattern.", "chance.", "heat", "shrink", "aim.", "sound.", "proven.")  # a reading, or what was bought


def is_mended(finding: Finding) -> bool:
    """Return whether a finding is missed of which a change of the job is sought."""
    fails = finding.verdict is Verdict.FAIL and finding.code.startswith(FAILED)
    missed = finding.verdict in MISSED and finding.code.startswith(MENDED)
    return fails or (missed and not is_by_printer(finding))


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
        """Sum of what is missed, mm, by the code of its finding; by its key for what prevents a plan.

        What follows from clearances and walls, such as chances and loads, is looked at where these are all kept.
        """
        found = dict(self._apart())
        return found or {one.code: _short(one) for one in self.findings if is_mended(one)} or self._halves[1]

    def _apart(self) -> dict[str, float]:
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
        return found

    def _gaps(self, plan: RingPlan) -> Iterator[Gap]:
        yield from aimed_gaps(self.job, plan)
        yield from path_gaps(self.job, plan)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """All that the checks say of the plan, of its halves as well."""
        if self.plan is None:
            return ()
        return (*findings_by_plan(self.job, self.plan), *self._halves[0])

    @cached_property
    def _halves(self) -> tuple[tuple[Finding, ...], dict[str, float]]:
        """Findings on the laps of a ring in two, and what prevents those or a place on the bed."""
        assert self.plan is not None
        first = parts_of(self.job)[0]
        if not first.half:
            room = 0.0 if fits_by_far(self.job) else in_one(self.job, self.plan)(self.plan)
            return (), {"bed": -room} if room < 0 else {}
        try:
            plan = plan_part(first)
        except InputError as error:
            return (), {problem.where.partition(".")[0]: UNDRAWN for problem in error.problems}
        assert plan.split is not None
        laps = [wall.finding() for wall in plan.walls if wall.code.startswith("wall.lap")]
        room = split_bed_room(first, plan.split)
        return (*laps, *lap_findings(first, plan)), {"bed": -room} if room < 0 else {}

    @property
    def total(self) -> float:
        """Sum of all that is missed, mm."""
        return sum(self.lacks.values())

    @property
    def is_drawn(self) -> bool:
        """True if the ring can be made, whatever it misses."""
        return self.plan is not None and all(wall.thickness >= NO_WALL for wall in self.plan.walls)

    def graver(self, start: Trial) -> dict[str, int]:
        """Return how grave what is missed more gravely than by the start is; of one without a plan, all that is."""
        usual = _gravity(start.findings) if start.is_drawn else {}
        found = _gravity(one for one in self.findings if start.is_drawn or not one.code.startswith(READ))
        return {code: grave for code, grave in found.items() if grave > usual.get(code, 0)}

    @cached_property
    def gravest(self) -> int:
        """Gravity of the worst finding that a change is sought for: 1 for a warning, 2 for a failure."""
        return max(_gravity(one for one in self.findings if is_mended(one)).values(), default=2)

    def fails(self, codes: Iterable[str]) -> bool:
        """Return whether one of what is missed, by codes, is a failure."""
        grave = _gravity(self.findings)
        return any(grave.get(code, len(MISSED)) == len(MISSED) for code in codes)

    def words_of(self, codes: Iterable[str]) -> str:
        """Return the gravest of what is missed, by codes, in words; of what is missed again and again the first."""
        order = _gravity(self.findings)
        first = {one.code: one.what for one in reversed(self.findings) if one.verdict in MISSED}
        named = [first.get(code, code) for code in sorted(codes, key=lambda code: -order.get(code, 0))]
        more = f" and {len(named) - NAMED} more" if len(named) > NAMED else ""
        return f"{', '.join(named[:NAMED])}{more}"

    def misses(self, *starts: str) -> bool:
        """Return whether anything is missed whose code begins so."""
        return any(code.startswith(starts) for code in self.lacks)


def _gravity(findings: Iterable[Finding]) -> dict[str, int]:
    """Return how grave what is missed is by its code: 1 for a warning, 2 for a failure."""
    found: dict[str, int] = {}
    for one in findings:
        if one.verdict in MISSED:
            found[one.code] = max(found.get(one.code, 0), MISSED.index(one.verdict) + 1)
    return found


def _short(finding: Finding) -> float:
    """Return by how much of its limit a finding is missed, counted as mm."""
    value, limit = finding.closed_form, finding.limit
    return 1.0 if value is None or not limit else max(0.1, abs(value - limit) / abs(limit))
