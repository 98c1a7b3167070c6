"""The return sheet: what was changed on the vehicle, what holds what, how it comes out, what is left behind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mounts.design.fasteners import needed_hole
from mounts.kinds.board.values import BoardPlan
from mounts.kinds.cup.values import CupPlan
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.load.models.hardware import ClipNut, Insert, RivetNut, ThreadItem, Through, WellNut
from mounts.load.models.resolved import BoardJob, CupJob, FootJob, Job, SpacerJob
from mounts.made import Made
from mounts.papers.entry import Chapter, Record
from mounts.papers.hardware import driver_for, summed, torque_words
from mounts.papers.values import TICK, WRITE, Blanks, Block, Bullets, Table, Words
from mounts.papers.words import across, listed, mm

CABLE = ("speaker's cable", "rails and edges")  # what holds nothing
KEEP = "Keep this sheet with the job's file, and a copy in the vehicle's papers."


def record_of(made: Made) -> Record:
    """A part's share of its job's return sheet."""
    changed, out, left = (tuple(dict.fromkeys(tell(made))) for tell in (_changed, _comes_out, _left))
    return Record(tuple(_facts(made)), changed, out, left)


def record_blocks(parts: Sequence[Chapter]) -> tuple[Block, ...]:
    """The return sheet of one job, by the first of its parts, with the hardware of all."""
    told = parts[0].record
    bought = summed(item for one in parts for item in one.hardware)
    holds = tuple(
        (item.amount, f"{item.what}, {item.size}", item.use) for item in bought if not item.use.endswith(CABLE)
    )
    return (
        Words("For whoever opens this place again: what was done here, and how to undo it.", "strong"),
        Table((), (*_whose(parts), *told.facts), (1.6, 8.4), strong=(0,), small=True),
        Words("What was changed on the vehicle", "head"),
        Table(("done", "change"), tuple((TICK, text) for text in told.changed), (0.8, 9.2)),
        *(
            (
                Words("What holds what", "head"),
                Table(("number", "hardware", "holds"), holds, (1.3, 6.0, 4.0), small=True),
            )
            if holds
            else ()
        ),
        Words("How it comes out", "head"),
        Bullets(told.out),
        Words("What is left behind", "head"),
        Bullets(told.left),
        Blanks("Fitted on, by", 1),
        Blanks("Not as written above", 1),
        Words(KEEP, "small"),
    )


def _whose(parts: Sequence[Chapter]) -> Iterator[tuple[str, str]]:
    """Vehicle, date and job."""
    first = parts[0]
    sides = listed(filter(None, (one.part for one in parts)))
    yield "Vehicle", first.vehicle or WRITE
    if first.date:
        yield "Date", first.date
    yield "Job", ", ".join(filter(None, (first.job, sides, first.file)))


def _facts(made: Made) -> Iterator[tuple[str, str]]:
    """What was mounted where."""
    job = made.job
    if isinstance(job, Job | CupJob):
        yield "Place", ", ".join(filter(None, (job.panel.name, job.panel.about)))
        yield (
            "Speaker",
            f"{job.speaker.name}, cutout {across(job.speaker.cutout.outline())}, {mm(job.speaker.depth)} deep",
        )
    elif isinstance(job, BoardJob):
        yield "Place", job.place or WRITE
        yield "Devices", listed(f"{placed.name}: {placed.device.name}" for placed in job.devices)
    elif isinstance(job, SpacerJob):
        yield "Place", ", ".join(filter(None, (job.port.name, job.port.about)))
    if job.notes:
        yield "Notes", job.notes
    yield "Mount", f"{job.kind}, {'cut from' if job.make == 'cut' else 'printed in'} {job.material.name}"


def _changed(made: Made) -> Iterator[str]:
    """What the vehicle is no longer as it came."""
    job, plan = made.job, made.plan
    if isinstance(job, CupJob) and isinstance(plan, CupPlan):
        cut = [one for one in plan.stakes if one.cut > 0]
        if cut:
            yield f"pins shortened: {listed(f'{one.name} by {one.cut:.1f}' for one in cut)}"
        yield f"pins {listed(one.name for one in plan.stakes)} melted into heads: this cannot be undone"
    elif isinstance(job, BoardJob):
        if isinstance(plan, BoardPlan):
            yield f"{len(plan.feet)} feet glued to the floor lining"
    elif isinstance(job, SpacerJob):
        yield "nothing but the broken edge of the opening, if it was filed"
    elif isinstance(job, Job):
        yield from _of_panel(job)


def _of_panel(job: Job) -> Iterator[str]:
    item, fixings = job.fix_to_panel.hardware, job.panel.fixings
    names, need = listed(fixings.points), needed_hole(item)
    if fixings.was is not None:
        yield f"old {fixings.was}s at {names} taken out"
    if need is not None and fixings.hole is not None and fixings.hole < need - 1e-9:
        yield f"holes {names} opened from {mm(fixings.hole)} to {mm(need)}, edges painted"
    if isinstance(item, RivetNut | WellNut | ClipNut):
        yield f"{item.name} ({item.thread}) set at {names}"
    if job.panel.face.lining:
        yield "lining cut away under the mount"
    yield "trim clips replaced, if any broke; membrane mended, if it was opened"


def _comes_out(made: Made) -> Iterator[str]:
    job, plan = made.job, made.plan
    yield "Battery off, wait as long as the vehicle's maker says. Trim off."
    if isinstance(job, Job) and isinstance(plan, RingPlan | FlatPlan):
        if job.fix_speaker is not None and job.fix_speaker.screw is not None:
            yield f"Speaker: {len(plan.seat.screws)} screws, {driver_for(job.fix_speaker.screw)}; unplug it."
        count = len(job.panel.fixings.points)
        yield (
            f"Mount: {count} screws {job.fix_to_panel.screw.thread}, {driver_for(job.fix_to_panel.screw)}, straight in "
            f"from the front. Going back: {torque_words(job, plan)}."
            + (" New base gasket." if job.gaskets.base is not None else "")
        )
    elif isinstance(job, CupJob):
        how = {"press": "press it out from behind, on its rim", "flange": "undo its screws"}
        yield f"Tweeter: {how.get(job.retention.by, 'undo its ' + job.retention.by)}; unplug it."
        yield (
            "Cup: grind or cut the heads off level with the plate; lift it off. The pins are then shorter by the heads."
        )
    elif isinstance(job, BoardJob):
        yield "Fuse out first. Devices: unplug, unscrew. Board: undo its feet's screws, or lift it feet and all."
    elif isinstance(job, FootJob):
        yield "Feet: cut the glue with a wire, or warm it; do not tear the lining."
    else:
        yield (
            "Device: push it out from behind. Sleeve: press it out from behind, the bump in with a "
            "thin blade if it has one."
        )


def _left(made: Made) -> Iterator[str]:
    job, plan = made.job, made.plan
    if isinstance(job, Job):
        item = job.fix_to_panel.hardware
        if isinstance(item, RivetNut):
            yield (
                "The rivet nuts stay: a screw or a plug in each keeps the door dry. They hold a mount "
                "of the old kind too."
            )
        elif isinstance(item, WellNut | ClipNut):
            yield f"Nothing: the {item.name} come out by hand. Plug the holes."
        elif isinstance(item, Through | ThreadItem):
            yield "Nothing but the holes. Plug them."
        yield "Every hole that nothing goes through any more is to be closed, or the door is no longer tight."
        if job.fix_speaker is not None and isinstance(job.fix_speaker.hardware, Insert):
            yield "The inserts are in the mount, not in the vehicle."
    elif isinstance(plan, CupPlan):
        rest = listed(f"{one.name} about {one.seat:.1f}" for one in plan.stakes)
        yield f"Of the pins is left, over the rear face: {rest}. A new cup needs pins measured again, or glue."
    elif isinstance(job, BoardJob):
        yield "Marks of the glue on the lining."
    else:
        yield "Nothing."
