"""The chapter of one part: everything that papers tell of it, from its job, plan, solid and report."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.kinds.board.plan import plan_board
from mounts.kinds.board.steps import board_steps, foot_steps
from mounts.kinds.cup.steps import cup_steps, spacer_steps
from mounts.kinds.ring.steps import ring_steps
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.load.models.resolved import BoardJob, CupJob, FootJob, Job, SpacerJob
from mounts.made import Made
from mounts.papers.aim import heard_by, loss_rows, paths_to_ears
from mounts.papers.entry import Chapter
from mounts.papers.hardware import hardware, torque_words
from mounts.papers.record import record_of
from mounts.papers.sheets import check_sheet, drawing_sheets
from mounts.papers.tools import tools
from mounts.papers.words import listed

STEPS = {
    "ring": ring_steps,
    "cup": cup_steps,
    "spacer": spacer_steps,
    "board": board_steps,
    "foot": foot_steps,
}


def chapter_of(made: Made) -> Chapter:
    """What the papers tell of one part."""
    job = made.job
    return Chapter(
        job=job.name,
        part=job.part,
        file=job.file.name,
        about=job.about,
        vehicle=job.vehicle,
        date=job.date,
        notes=job.notes,
        what=_what(made),
        material=job.material.name,
        size=_extent(made),
        takes=_takes(made),
        pieces=job.pieces,
        hardware=hardware(made),
        torque=tuple(_torque(made)),
        tools=tools(made),
        steps=STEPS[job.kind](made),
        sheets=(*drawing_sheets(made), check_sheet(made)),
        paths=paths_to_ears(made),
        losses=loss_rows(made),
        unheard=isinstance(job, Job | CupJob) and not heard_by(made),
        record=record_of(made),
        template=made.plan.paper,
    )


def _what(made: Made) -> str:
    job = made.job
    if isinstance(job, Job | CupJob):
        what = "Ring cut from sheet" if job.make == "cut" else job.kind.capitalize()
        return f"{what} for {job.speaker.name} in {job.panel.name}"
    if isinstance(job, BoardJob):
        what = "Board cut from sheet" if job.make == "cut" else "Printed board"
        return f"{what} for {listed(placed.device.name for placed in job.devices)}"
    if isinstance(job, FootJob):
        return f"its {len(plan_board(job.board).feet)} printed feet"
    assert isinstance(job, SpacerJob)
    return f"Spacer for {job.device.name} in {job.port.name}"


def _extent(made: Made) -> str:
    across = made.part.vertices.max(axis=0) - made.part.vertices.min(axis=0)
    return " × ".join(f"{length:.1f}" for length in across)


def _takes(made: Made) -> str:
    """What printing it takes, by estimate; nothing for what is cut."""
    estimate = made.report.estimate
    return f"{estimate.grams:.0f} g, {estimate.hours:.1f} h" if estimate is not None else ""


def _torque(made: Made) -> Iterator[str]:
    if isinstance(made.job, Job) and isinstance(made.plan, RingPlan | FlatPlan):
        thread = made.job.fix_to_panel.screw.thread
        yield f"Panel screws {thread}: {torque_words(made.job, made.plan)}. Again after the first hot days."
        yield "Speaker screws: by hand, until the flange lies on its stops or its gasket is even; no machine."
