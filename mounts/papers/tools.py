"""Tools that the work on a part takes, in the order in which they come to hand."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design.fasteners import needed_hole
from mounts.load.models.hardware import Insert, RivetNut
from mounts.load.models.jobbase import SpeakerFixing
from mounts.load.models.resolved import BoardJob, CupJob, FootJob, Job, SpacerJob
from mounts.made import Made
from mounts.papers.hardware import driver_for


def tools(made: Made) -> tuple[str, ...]:
    """Every tool for one part, once."""
    return tuple(dict.fromkeys(_of(made)))


def _of(made: Made) -> Iterator[str]:
    job = made.job
    yield "caliper with a depth rod, steel rule, pencil, scissors"
    if isinstance(job, Job):
        yield from _of_ring(job)
    elif isinstance(job, CupJob):
        yield from _of_cup(job)
    elif isinstance(job, BoardJob):
        yield from _of_board(job)
    elif isinstance(job, FootJob):
        yield from _setting(job.board.fix_feet)
    elif isinstance(job, SpacerJob):
        yield "fine file or abrasive paper, for the edges of panel and sleeve"


def _of_ring(job: Job) -> Iterator[str]:
    yield "plastic levers for the trim, tape and bags for its clips, a lamp"
    hardware, hole, need = job.fix_to_panel.hardware, job.panel.fixings.hole, needed_hole(job.fix_to_panel.hardware)
    if job.panel.fixings.was == "rivet":
        yield "drill 3 to 5 mm for the old rivets' heads, a magnet and a rag for the chips"
    if need is not None and hole is not None and hole < need:
        yield f"step drill or reamer to {need:g}, deburrer, rust-proof paint"
    if isinstance(hardware, RivetNut):
        yield f"setting tool for {hardware.thread} rivet nuts"
    if job.panel.face.lining:
        yield "sharp knife, for the lining"
    if job.make == "cut":
        yield "router or fine saw, file, drills for the holes on the template, countersink for the edges"
    yield (
        f"{driver_for(job.fix_to_panel.screw)}, long enough for a straight path, and a torque driver from 0.5 to 3 N·m"
    )
    if job.fix_speaker is not None and job.fix_speaker.screw is not None:
        yield driver_for(job.fix_speaker.screw)
    if job.fix_speaker is not None and isinstance(job.fix_speaker.hardware, Insert):
        yield f"iron with a setting tip for {job.fix_speaker.hardware.thread} inserts, 210 to 250 °C, and its stand"
    if job.half:
        yield from _setting(job.fix_halves)
        yield "a flat plate as large as the ring, to screw its halves together on"
    yield "crimping tool, a 1.5 V cell with two leads, for the polarity"


def _of_board(job: BoardJob) -> Iterator[str]:
    if job.make == "cut":
        yield "router or fine saw, drills for the holes on the template, a rounding cutter or file, a countersink"
        yield "eye, ear and dust protection"
    if job.wrap is not None:
        yield "sharp knife, hole punch or hot iron for the carpet"
    for placed in job.devices:
        yield from _setting(placed.fix)
    yield "clamps or weights while the glue cures, abrasive paper, cleaner for the lining"
    yield "crimping tool for the supply cable"


def _setting(fix: SpeakerFixing | None) -> Iterator[str]:
    """What drives a screw, and sets the insert that it goes into."""
    if fix is not None and fix.screw is not None:
        yield driver_for(fix.screw)
    if fix is not None and isinstance(fix.hardware, Insert):
        yield f"iron with a setting tip for {fix.hardware.thread} inserts, 210 to 250 °C, and its stand"


def _of_cup(job: CupJob) -> Iterator[str]:
    tip = (
        f"{job.staking.tip:g} across with a {'dome' if job.staking.head in (None, 'dome') else job.staking.head} cavity"
    )
    yield f"staking iron with a tip {tip}, 210 to 250 °C, its stand, and a clock with seconds"
    yield "a flat rest for the panel, soft cloth, side cutters for pins that are to be shortened"
    if job.fix_speaker is not None and isinstance(job.fix_speaker.hardware, Insert):
        yield f"setting tip for {job.fix_speaker.hardware.thread} inserts"
    if job.fix_speaker is not None and job.fix_speaker.screw is not None:
        yield driver_for(job.fix_speaker.screw)
    yield "crimping tool"
