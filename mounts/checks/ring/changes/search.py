"""The search: changes of the pose, then of what the ring is made with, one and then two or three at once.

Other things that a careful hand would take: a washer, a gasket, an insert, two halves, a larger printer.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from math import ceil, inf

from mounts.checks.ring.changes.poses import has_room, pose_changes, sought_pose
from mounts.checks.ring.changes.trial import FAILED, Trial, is_mended
from mounts.findings.report import Finding
from mounts.identity import BODY
from mounts.kinds.kind import TRIED
from mounts.kinds.remembered import remembered
from mounts.kinds.review import Change
from mounts.kinds.ring.aiming.drawn import as_planned
from mounts.kinds.ring.job import RingJob
from mounts.load.models.job import PanelFixing
from mounts.load.models.job_file import Gasket, Gaskets

TURNED = ("turn", "wall.screw", "wall.nut", "wall.relief", "clear.terminals", "seal.land")
BESIDE_PATH = (
    "wall.path",
    "wall.recess",
    "wall.screw-path",
    "wall.nut-path",
    "wall.relief-path",
    "seal.land",
    "clear.head",
    "screw.washer",
    "load.bearing",
    "load.panel",
)
BESIDE_GROOVE = ("seal.land", "seal.lip", "wall.nut-groove", "wall.relief-groove", "wall.groove", "gaskets")
BESIDE_SCREW = (
    "wall.screw",
    "wall.nut",
    "wall.floor",
    "seal.speaker-land",
    "height",
    "fix_speaker",
    "load.speaker",
    "screw.speaker",
)
IN_BORE = ("clear.body-bore", "way.speaker")
NARROW = 4.0  # mm, width of a narrow base gasket
FEW = 3  # fasteners that are tried
AT_ONCE = 3  # changes that are made together
SEARCH = 4  # plans that a search for a pose counts as
LESS = 0.05  # mm by which a change must lessen what is missed to be built on
SEEN = ("clear.disagreement", "wall.disagreement", "wall.unknown", "wall.least", "wall.label", "wall.thin")  # not tried
PLACES = ("clear.", "way.", "wall.", "seal.", "bed")  # what is missed of them is a length
UNREAD = "measure the body, which is taken as wide as the cutout; "
FIXED = ("seal.speaker-land", "seal.land", "seal.lip", "bed", "in_two")  # what no pose changes


def item_changes(trial: Trial) -> Iterator[Change[RingJob]]:
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
    if trial.misses(*IN_BORE):
        more, step = 2 * max(trial.lacks.get(code, 0.0) for code in IN_BORE), job.units.step
        bore = round(step * ceil((job.limits.bore + more) / step - 1e-5), 9)
        limits = job.limits.model_copy(update={"bore": bore})
        yield Change({"limits": f"{{bore: {job.units.key(bore)}}}"}, replace(job, limits=limits))
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


def _washers(job: RingJob) -> Iterator[Change[RingJob]]:
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


def _base_gaskets(job: RingJob) -> Iterator[Change[RingJob]]:
    """Yield a narrower base gasket, and none."""
    own = job.gaskets.base
    if own is None:
        return
    narrow = Gasket(thickness=own.thickness, width=NARROW)
    for base in (narrow, None) if own.width > NARROW else (None,):
        yield _with_gaskets(job, job.gaskets.model_copy(update={"base": base}))


def _with_gaskets(job: RingJob, gaskets: Gaskets) -> Change[RingJob]:
    usual = Gaskets()
    given = [
        f"{name}: {_gasket(getattr(gaskets, name))}"
        for name in ("base", "speaker", "trim")
        if getattr(gaskets, name) != getattr(usual, name)
    ]
    return Change({"gaskets": f"{{{', '.join(given)}}}"}, replace(job, gaskets=gaskets))


def _gasket(one: Gasket | None) -> str:
    return f"{{thickness: {one.thickness:g}, width: {one.width:g}}}" if one else "false"


def with_change(job: RingJob, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return the findings, those on what is missed with the change that keeps it, or with what is missing."""
    if not any(is_mended(one) and one.code not in SEEN for one in findings):
        return tuple(findings)
    change = find_change(job)
    return tuple(_changed(job, one, change) if is_mended(one) and one.code not in SEEN else one for one in findings)


def _changed(job: RingJob, finding: Finding, change: Change[RingJob] | None) -> Finding:
    """Return a finding on what is missed with the change, or with how much more is needed where none was found."""
    if change is not None and finding.code not in change.left:
        where = "the job's aim" if next(iter(change.lines)) == "tilt" else "the job"
        said = f"write {change.words} in {where}: it was tried, and {change.keeps}"
        return replace(finding, change=change.words, advice=said)
    value, limit = finding.closed_form if finding.measured is None else finding.measured, finding.limit
    if value is None or limit is None or not finding.code.startswith(PLACES):
        return finding
    unread = UNREAD if BODY in (finding.between or ()) and not job.speaker.body else ""
    shared = f"; {finding.advice.removeprefix('; ')}" if "they share" in finding.advice else ""
    more = job.units.at_least(limit - value)
    return replace(finding, advice=f"{unread}{more} more is needed, and nothing that was tried gives it{shared}")


def find_change(job: RingJob, most: int = TRIED) -> Change[RingJob] | None:
    """Return the plainest change after which a plan keeps all that a change can mend; None where none was found.

    Of a job whose plan is refused the one that leaves least, if it can be drawn at all.

    Args:
        job: whose plan misses something, or is refused; of a half of a ring both halves are tried.
        most: plans that are tried before it gives up.
    """
    return next(iter(_found((replace(job, label=None, half=""), most))), None)


@remembered(4)  # of both sides and halves
def _found(given: tuple[RingJob, int]) -> tuple[Change[RingJob], ...]:
    """Return the change of a job, or none."""
    plain, left = given
    start = Trial.of(plain)
    if start.plan is not None and start.plan.choice is not None:  # by its pose first, which costs no search
        start = Trial.of(replace(as_planned(plain, start.plan), turn=plain.turn))
    if not start.lacks or (start.is_drawn and plain.sought is None and not has_room(plain)):
        return ()
    sought = plain.sought is not None or plain.height == "best"
    best, lines, kept = start, dict[str, str](), _Second(start)
    for _ in range(AT_ONCE):
        nearer: list[tuple[float, Trial, dict[str, str]]] = []
        for change, cost in _changes(best, lines, left, poses=plain.sought is None):
            left -= cost
            if left < 0:
                return kept.change
            trial, together = Trial.of(change.job), lines | change.lines
            if not trial.lacks and sought and not set(together) & {"height", "tilt", "seat_offset"}:
                left -= SEARCH
                trial = Trial.of(_rewritten(plain, trial.job))
            if kept.is_best(trial, together):
                return kept.change
            if trial.lacks and trial.total < best.total - LESS:
                nearer.append((trial.total, trial, together))
        if not nearer:
            break
        _, best, lines = min(nearer, key=lambda one: one[0])
    return kept.change


@dataclass
class _Second:
    """The best of the trials so far that leave something: of a job that is refused, or that could not mend it either.

    Attributes:
        start: trial of the job as it is.
        change: the best one, or none.
        leaves: whether it misses clearances or walls, and how many codes it leaves.
    """

    start: Trial
    change: tuple[Change[RingJob], ...] = ()
    leaves: tuple[float, int] = (inf, 0)

    def is_best(self, trial: Trial, lines: dict[str, str]) -> bool:
        """Return whether a trial leaves nothing; keep it where it leaves less than those before."""
        apart = {code: by for code, by in trial.lacks.items() if not code.startswith((*FAILED, "chance."))}
        if (apart and self.start.is_drawn) or not trial.is_drawn:
            return False
        graver = trial.graver(self.start)
        if self.start.is_drawn and max(graver.values(), default=0) >= self.start.gravest:
            return False
        left = dict.fromkeys((*trial.lacks, *graver))
        leaves, change = (sum(apart.values()), len(left)), Change(lines, trial.job, tuple(left))
        if left:
            lead = "can be drawn, but misses" if apart else f"{change.keeps}; look then to"
            change = replace(change, keeps=f"{lead} {trial.words_of(left)}", fails=trial.fails(left))
        if leaves < self.leaves:
            self.leaves, self.change = leaves, (change,)
        return not left


def _rewritten(job: RingJob, other: RingJob) -> RingJob:
    """Return a job whose pose is to be found with what else another one is made with."""
    keep = ("sought", "aim", "height", "seat_offset")
    return replace(other, **{key: getattr(job, key) for key in keep})


def _changes(trial: Trial, made: dict[str, str], left: int, *, poses: bool) -> Iterator[tuple[Change[RingJob], int]]:
    """Yield changes of what was not changed yet, with the plans that each costs, for as many as are left."""
    moved = poses and not {"height", "tilt", "seat_offset"} & set(made) and not trial.misses(*FIXED)
    if moved:
        for change in pose_changes(trial.job):
            left -= 1
            yield change, 1
    for change in item_changes(trial):
        if not set(change.lines) & set(made):
            left -= 1
            yield change, 1
    sought = sought_pose(trial.job) if moved and left >= SEARCH else None
    if sought is not None:
        yield sought, SEARCH
