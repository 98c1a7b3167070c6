"""Other things that a careful hand would take: a washer, a gasket, an insert, two halves, a larger printer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from mounts.kinds.ring.changes.trial import Change, Trial
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
