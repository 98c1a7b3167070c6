"""The booklet of a job or a kit: cover, hardware, cautions, the work in order, every part, and the templates at 1:1."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from mounts.design.drawing import Drawing
from mounts.findings.report import Verdict
from mounts.kinds.board.plan import plan_board
from mounts.kinds.ring.values import FlatPlan, RingPlan
from mounts.load.models.resolved import BoardJob, CupJob, FootJob, Job, SpacerJob
from mounts.made import Made
from mounts.papers.aim import missing_ears, tuner_blocks
from mounts.papers.board_steps import board_steps, foot_steps
from mounts.papers.cup_steps import cup_steps, spacer_steps
from mounts.papers.hardware import hardware, summed, torque_words
from mounts.papers.record import record_blocks
from mounts.papers.ring_steps import ring_steps
from mounts.papers.sheets import NOT_OK, called, check_sheet, drawing_sheets
from mounts.papers.tools import tools
from mounts.papers.values import (
    TICK,
    Blanks,
    Block,
    Booklet,
    Bullets,
    Pictures,
    Sheet,
    Steps,
    Table,
    Template,
    Words,
)
from mounts.papers.verdicts import banner, grave_blocks
from mounts.papers.words import listed

STEPS = {
    "ring": ring_steps,
    "cup": cup_steps,
    "spacer": spacer_steps,
    "board": board_steps,
    "foot": foot_steps,
}
ROW = 2  # pictures side by side


@dataclass(frozen=True, slots=True)
class OfKit:
    """What a kit's booklet has beyond a job's.

    Attributes:
        copies: of the mount of each part, for all vehicles together.
        sheets: each part's own, drawn when it was made.
        beds: what tells of the printers' beds.
    """

    copies: tuple[int, ...]
    sheets: tuple[tuple[Sheet, ...], ...]
    beds: tuple[Block, ...]


def booklet(
    title: str,
    made: Sequence[Made],
    pictures: Mapping[int, bytes],
    files: Mapping[int, str],
    kit: OfKit | None = None,
) -> Booklet:
    """All sheets of some parts, of one job or of several.

    Args:
        title: of the job or kit.
        made: the parts; those of one job stand together.
        pictures: PNG of each part by its place in `made`; those that are missing are left out.
        files: name of each part's file for the slicer or the saw, likewise.
        kit: for the parts of a kit.
    """
    copies = kit.copies if kit else (1,) * len(made)
    own = kit.sheets if kit else tuple((*drawing_sheets(one), check_sheet(one)) for one in made)
    jobs = [tuple(group) for _, group in groupby(made, key=lambda one: one.job.name)]
    return Booklet(
        title,
        (
            Sheet("Read this first", tuple(_cover(title, made, pictures, files, copies)), warning=_warned(made)),
            *((Sheet("Beds", kit.beds),) if kit and kit.beds else ()),
            Sheet("Hardware and tools", tuple(_hardware(made, copies))),
            Sheet("Cautions", (Bullets(_cautions(made)),)),
            *(sheet for job in jobs for sheet in _work(job)),
            *(sheet for sheets in own for sheet in sheets),
            *_tuner(made),
            *(Sheet("Return sheet", record_blocks(job), job[0].job.name) for job in jobs),
            *(Template(_named(one)) for one in made),
        ),
    )


def _warned(made: Sequence[Made]) -> str:
    return NOT_OK if any(one.report.verdict is Verdict.FAIL for one in made) else ""


def _cover(
    title: str,
    made: Sequence[Made],
    pictures: Mapping[int, bytes],
    files: Mapping[int, str],
    copies: Sequence[int],
) -> Iterator[Block]:
    job, single = made[0].job, len({one.job.name for one in made}) == 1
    yield Words(title, "title")
    yield Words(listed(dict.fromkeys(_what(one) for one in made)), "strong")
    if job.about and single:
        yield Words(job.about)
    yield from _vehicle(made)
    yield banner([one.report for one in made])
    shown = [(pictures[k], called(one)) for k, one in enumerate(made) if k in pictures]
    yield from (Pictures(tuple(shown[k : k + ROW])) for k in range(0, len(shown), ROW))
    rows = tuple(
        (
            TICK,
            called(one) + _times(copies[k] * one.job.pieces),
            one.job.material.name,
            _extent(one),
            _takes(one),
            files.get(k, ""),
        )
        for k, one in enumerate(made)
    )
    yield Words("Parts", "head")
    shares = (
        (0.9, 3.4, 1.2, 2.6, 1.7, 1.9) if len({one.job.name for one in made}) == 1 else (0.8, 3.3, 1.0, 2.3, 1.6, 2.9)
    )
    yield Table(("made", "part", "of", "size", "about", "file"), rows, shares, strong=(1,))
    graves = list(grave_blocks(made))
    if graves:
        yield Words("Look here first", "head")
        yield from graves
    yield Words(
        "In this order: cautions, template, readings, first check, print, five sizes, fit, return "
        "sheet. All sizes in mm.",
        "small",
    )


def _times(count: int) -> str:
    return f" × {count}" if count > 1 else ""


def _vehicle(made: Sequence[Made]) -> Iterator[Block]:
    """What the jobs say of the vehicle, or lines to write it on."""
    for label, values in (
        ("Vehicle", [one.job.vehicle for one in made]),
        ("Date", [one.job.date for one in made]),
        ("Notes", [one.job.notes for one in made]),
    ):
        said = listed(dict.fromkeys(filter(None, values)))
        if said:
            yield Words(f"{label}: {said}", "body")
        elif label == "Vehicle":
            yield Blanks(label)


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


def _hardware(made: Sequence[Made], copies: Sequence[int]) -> Iterator[Block]:
    items = summed(
        replace(item, count=item.count * count)
        for one, count in zip(made, copies, strict=True)
        for item in hardware(one)
    )
    several = "For all parts of this booklet together. " if len(made) > 1 else ""
    yield Words(f"{several}Put it on the bench before you begin; tick what lies there.")
    rows = tuple((TICK, item.amount, item.what, item.size, item.use) for item in items)
    yield Table(("", "number", "what", "size", "for"), rows, (0.8, 1.5, 3.4, 5.2, 3.2), strong=(1,))
    torques = [text for one in made for text in _torque(one)]
    if torques:
        yield Words("Torque", "head")
        yield Bullets(tuple(dict.fromkeys(torques)))
    yield Words("Tools", "head")
    yield Table(("", ""), tuple((TICK, tool) for tool in tools(made)), (0.8, 13.2))


def _torque(made: Made) -> Iterator[str]:
    if isinstance(made.job, Job) and isinstance(made.plan, RingPlan | FlatPlan):
        thread = made.job.fix_to_panel.screw.thread
        yield f"Panel screws {thread}: {torque_words(made.job, made.plan)}. Again after the first hot days."
        yield "Speaker screws: by hand, until the flange lies on its stops or its gasket is even; no machine."


def _cautions(made: Sequence[Made]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(text for one in made for text in one.report.cautions))


def _work(made: tuple[Made, ...]) -> Iterator[Sheet]:
    """The work in order: once for parts that ask for the same, with a box for each."""
    alike: dict[tuple[Steps, ...], list[Made]] = {}
    for one in made:
        alike.setdefault(STEPS[one.job.kind](one, ("",)), []).append(one)
    for group in alike.values():
        boxes = tuple(one.job.part for one in group) if len(group) > 1 else ("",)
        name = made[0].job.name if len(group) == len(made) > 1 else _called(group)
        steps = STEPS[group[0].job.kind](group[0], boxes)
        yield Sheet("The work, in order", steps, name, warning=_warned(group))


def _called(group: Sequence[Made]) -> str:
    """As one of them is called, with the other sides before it."""
    more = "".join(f"{one.job.part.upper()}, " for one in group[:-1])
    return more + called(group[-1])


def _tuner(made: Sequence[Made]) -> Iterator[Sheet]:
    blocks = tuner_blocks(made)
    if blocks:
        unknown = list(missing_ears(made))
        more = (Words(f"Ears not measured, so not in these tables: {listed(unknown)}."),) if unknown else ()
        yield Sheet("Tuner's sheet", (*blocks, *more))


def _named(made: Made) -> Drawing:
    """The template's drawing, marked where the part fails."""
    drawing = made.plan.paper
    if made.report.verdict is Verdict.FAIL:
        return replace(drawing, captions=(NOT_OK, *drawing.captions))
    return drawing
