"""The search: changes of the pose, then of what the ring is made with, one and then two or three at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from mounts.errors import InputError
from mounts.findings.report import Finding, Verdict
from mounts.kinds.ring.aiming.drawn import as_planned
from mounts.kinds.ring.changes.choices import item_changes
from mounts.kinds.ring.changes.poses import pose_changes, sought_pose
from mounts.kinds.ring.changes.trial import Change, Trial
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job_kinds import RingJob

MOST = 20  # plans that are tried
AT_ONCE = 3  # changes that are made together
SEARCH = 4  # plans that a search for a pose counts as
LESS = 0.05  # mm by which a change must lessen what is missed to be built on
MENDED = ("clear.", "way.", "wall.", "seal.", "bed", "chance.clear", "chance.mount")
SEEN = ("clear.disagreement", "wall.disagreement", "wall.unknown", "wall.least", "wall.label", "wall.thin")  # not tried
FIXED = ("seal.speaker-land", "seal.land", "seal.lip", "bed", "in_two")  # what no pose changes


def with_change(job: RingJob, plan: RingPlan, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return the findings, those on what is missed with the change that keeps all of it."""
    missed = [one for one in findings if _is_mended(one)]
    change = find_change(job) if missed and not plan.half else None
    if change is None:
        return tuple(findings)
    return tuple(replace(one, change=change.words) if one in missed else one for one in findings)


def _is_mended(finding: Finding) -> bool:
    missed = finding.verdict in (Verdict.WARN, Verdict.FAIL)
    return missed and finding.code.startswith(MENDED) and finding.code not in SEEN


def refused_with_change(job: RingJob, error: InputError) -> InputError:
    """Return the error of a plan that was refused, with the change by which a ring can be made and keeps everything."""
    change = find_change(job)
    if change is None:
        return error
    first, *others = error.problems
    said = f"{first.what.partition(': ')[0]}; tried, and keeps everything: {change.words}"
    return InputError(replace(first, what=said), *others)


def find_change(job: RingJob, most: int = MOST) -> Change | None:
    """Return the plainest change after which a plan keeps every clearance and wall; None where none was found.

    Args:
        job: whose plan misses something, or is refused.
        most: plans that are tried before it gives up.
    """
    plain = replace(job, label=None, half="")
    start = Trial.of(plain)
    if start.plan is not None and start.plan.choice is not None:  # by its pose first, which costs no search
        start = Trial.of(replace(as_planned(plain, start.plan), turn=plain.turn))
    sought = plain.sought is not None or plain.height == "best"
    best, lines, left = start, dict[str, str](), most
    for _ in range(AT_ONCE):
        nearer: list[tuple[float, Trial, dict[str, str]]] = []
        for change, cost in _changes(best, lines, poses=plain.sought is None):
            left -= cost
            if left < 0:
                return None
            trial = Trial.of(change.job)
            together = lines | change.lines
            if not trial.lacks and trial.goes_on():
                if not sought or set(together) & {"height", "tilt", "seat_offset"}:
                    return Change(together, trial.job)
                left -= SEARCH
                again = Trial.of(_rewritten(plain, trial.job))
                if not again.lacks:
                    return Change(together, again.job)
            elif trial.total < best.total - LESS:
                nearer.append((trial.total, trial, together))
        if not nearer:
            return None
        _, best, lines = min(nearer, key=lambda one: one[0])
    return None


def _rewritten(job: RingJob, other: RingJob) -> RingJob:
    """Return a job whose pose is to be found with what else another one is made with."""
    keep = ("sought", "aim", "height", "seat_offset")
    return replace(other, **{key: getattr(job, key) for key in keep})


def _changes(trial: Trial, made: dict[str, str], *, poses: bool) -> Iterator[tuple[Change, int]]:
    """Yield changes of what was not changed yet, with the plans that each costs."""
    moved = poses and not {"height", "tilt", "seat_offset"} & set(made) and not trial.misses(*FIXED)
    if moved:
        yield from ((change, 1) for change in pose_changes(trial.job))
    yield from ((one, 1) for one in item_changes(trial) if not set(one.lines) & set(made))
    change = sought_pose(trial.job) if moved else None
    if change is not None:
        yield change, SEARCH
