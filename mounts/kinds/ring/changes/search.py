"""The search: changes of the pose, then of what the ring is made with, one and then two or three at once.

Other things that a careful hand would take: a washer, a gasket, an insert, two halves, a larger printer.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice

from mounts.errors import InputError
from mounts.findings.report import Finding, Verdict
from mounts.kinds.ring.aiming.drawn import as_planned
from mounts.kinds.ring.changes.poses import pose_changes, sought_pose
from mounts.kinds.ring.changes.trial import Change, Trial
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job import PanelFixing
from mounts.load.models.job_file import Gasket, Gaskets
from mounts.load.models.job_kinds import RingJob

TURNED = ("turn", "wall.screw", "wall.nut", "wall.relief", "clear.terminals", "seal.land")
BESIDE_PATH = (
    "wall.path",
    "wall.recess",
    "wall.screw-path",
    "wall.nut-path",
    "wall.relief-path",
    "seal.land",
    "clear.head",
)
BESIDE_GROOVE = ("seal.land", "seal.lip", "wall.nut-groove", "wall.relief-groove", "wall.groove", "gaskets")
BESIDE_SCREW = ("wall.screw", "wall.nut", "wall.floor", "seal.speaker-land", "height", "fix_speaker")
NARROW = 4.0  # mm, width of a narrow base gasket
FEW = 3  # fasteners that are tried
MOST = 20  # plans that are tried
AT_ONCE = 3  # changes that are made together
SEARCH = 4  # plans that a search for a pose counts as
LESS = 0.05  # mm by which a change must lessen what is missed to be built on
MENDED = ("clear.", "way.", "wall.", "seal.", "bed", "chance.clear", "chance.mount")
SEEN = ("clear.disagreement", "wall.disagreement", "wall.unknown", "wall.least", "wall.label", "wall.thin")  # not tried
FIXED = ("seal.speaker-land", "seal.land", "seal.lip", "bed", "in_two")  # what no pose changes


def item_changes(trial: Trial) -> Iterator[Change]:
    """Yield one change after the other, the plainest first, of those that bear on what is missed."""
    job = trial.job
    if trial.misses(*TURNED) and job.turn != "best":
        yield Change({"turn": "best"}, replace(job, turn="best"))
    if trial.misses(*BESIDE_PATH):
        yield from _washers(job)
    if trial.misses(*BESIDE_GROOVE):
        yield from _base_gaskets(job)
    if trial.misses(*BESIDE_SCREW):
        for held in islice(job.spares.to_speaker, FEW):
            yield Change({"fix_speaker": held.hardware.name}, replace(job, fix_speaker=held))
    if trial.misses("seal.speaker-land") and job.gaskets.speaker:
        yield _with_gaskets(job, job.gaskets.model_copy(update={"speaker": None}))
    if trial.misses("in_two") or (trial.misses("bed") and job.in_two is False):
        yield Change({"in_two": "as needed"}, replace(job, in_two="as needed"))
    if trial.misses("bed", "in_two"):
        for printer in job.spares.printers:
            yield Change({"printer": printer.name}, replace(job, printer=printer))
    if trial.misses("collar", "panel", "wall.path-collar") and job.collar:
        yield Change({"collar": "false"}, replace(job, collar=False))
    if trial.misses("wall.path-collar") and job.flush:
        yield Change({"flush": "false"}, replace(job, flush=False))


def _washers(job: RingJob) -> Iterator[Change]:
    """Yield narrower washers, and the bare head."""
    held = job.fix_to_panel
    if held.washer is None:
        return
    for washer in (*job.spares.washers, None):
        yield Change(
            {"fix_to_panel": _written(replace(held, washer=washer))},
            replace(job, fix_to_panel=replace(held, washer=washer)),
        )


def _written(held: PanelFixing) -> str:
    """Return what holds the mount to its panel as a file says it."""
    usual = f"iso-7380-{getattr(held.hardware, 'thread', '').lower()}"
    screw = "" if held.screw.name == usual else f", screw: {held.screw.name}"
    return f"{{hardware: {held.hardware.name}{screw}, washer: {held.washer.name if held.washer else 'false'}}}"


def _base_gaskets(job: RingJob) -> Iterator[Change]:
    """Yield a narrower base gasket, and none."""
    own = job.gaskets.base
    if own is None:
        return
    narrow = Gasket(thickness=own.thickness, width=NARROW)
    for base in (narrow, None) if own.width > NARROW else (None,):
        yield _with_gaskets(job, job.gaskets.model_copy(update={"base": base}))


def _with_gaskets(job: RingJob, gaskets: Gaskets) -> Change:
    usual = Gaskets()
    given = [
        f"{name}: {_gasket(getattr(gaskets, name))}"
        for name in ("base", "speaker", "trim")
        if getattr(gaskets, name) != getattr(usual, name)
    ]
    return Change({"gaskets": f"{{{', '.join(given)}}}"}, replace(job, gaskets=gaskets))


def _gasket(one: Gasket | None) -> str:
    return f"{{thickness: {one.thickness:g}, width: {one.width:g}}}" if one else "false"


def with_change(job: RingJob, plan: RingPlan, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return the findings, those on what is missed with the change that keeps all of it."""
    missed = [one for one in findings if _is_mended(one)]
    by_room = any(one.code != "chance.mount" for one in missed)  # else by its fixings, which no place or part mends
    change = find_change(job) if by_room and not plan.half else None
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
