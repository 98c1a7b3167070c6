"""Sheets of one part: its views, and what is checked on it."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design.drawing import Callout
from mounts.design.listening import Listener
from mounts.findings.report import Verdict
from mounts.geometry.frames import Vector
from mounts.load.models.job_kinds import SpeakerJob
from mounts.made import Made
from mounts.papers.aim import listener_levels
from mounts.papers.caliper import caliper_checks
from mounts.papers.entry import part_title
from mounts.papers.outside_views import NUMBERS, back_view, front_view
from mounts.papers.section import section_view
from mounts.papers.values import WRITE, Block, Bullets, PaperSheet, Paragraph, Sign, TableBlock, ViewFigure

COOL = "Let the part cool for an hour. "
IF_OFF = "If one is off, set the printer right and print again; sanding mends nothing"
NOT_OK = "NOT OK: do not use"
FRONT_HIGH, CUT_HIGH, BACK_HIGH = 96.0, 110.0, 84.0  # most mm that a view takes on its page
MEANS = {
    Sign.SCALE: "the pattern is out of scale: shrink. Write shrink_pct into the printer's file, "
    "or scale in the slicer.",
    Sign.HOLES: "holes print small: measure hole_growth with a test hole, write it into the printer's file.",
    Sign.LAYER: "the first layer is squashed or the part lifted: level the bed, print again.",
}


def _page_warning(made: Made) -> str:
    """Return what stands in the head of every page about a part that fails."""
    return NOT_OK if made.report.verdict is Verdict.FAIL else ""


def drawing_sheet(made: Made) -> PaperSheet:
    """Return the views with their sizes, and the cut along the axis."""
    views = [(front_view(made), FRONT_HIGH), (section_view(made, _ear(made)), CUT_HIGH)]
    back = back_view(made)
    if any(isinstance(item, Callout) for item in back.items):
        views.append((back, BACK_HIGH))
    blocks: list[Block] = [ViewFigure(view, high) for view, high in views]
    if isinstance(made.job, SpeakerJob) and not listener_levels(made):
        blocks.append(Paragraph("Nobody's ears were measured, so nobody knows what this aim is worth.", "small"))
    return PaperSheet("The part", tuple(blocks), part_title(made.job.part, made.job.name), _page_warning(made))


def _ear(made: Made) -> tuple[Vector, str] | None:
    """Return the direction from the seat to the first listener, and what is said of it."""
    found, seat = listener_levels(made), made.seat
    if seat is None or not found:
        return None
    listener: Listener = found[0].listener
    x, y, z = (a - b for a, b in zip(listener.ear, seat.frame.origin, strict=True))
    return (x, y, z), f"to the ear: {made.job.units(found[0].path, 0)} away, {found[0].angle:.0f}° off the axis"


def check_sheet(made: Made) -> PaperSheet:
    """Return the sizes to take with a caliper, and what one that is off means."""
    checks, units = caliper_checks(made), made.job.units
    rows = tuple(
        (
            number,
            check.what,
            check.how,
            units(check.value, 1),
            f"{units(check.least, 1)} to {units(check.most, 1)}",
            WRITE,
        )
        for number, check in zip(NUMBERS, checks, strict=False)
    )
    head = ("", "size", "how", "should be", "still good", "yours")
    cut = made.job.make == "cut"
    return PaperSheet(
        "Check the cut part" if cut else "Check the print",
        (
            Paragraph(f"{'' if cut else COOL}A caliper, {units.word}. Numbers are those on the drawing."),
            TableBlock(head, rows, (0.7, 2.6, 4.9, 1.7, 2.8, 1.8), strong=(0, 3)),
            *(() if cut else (Paragraph(IF_OFF, "strong"), Bullets(tuple(_remedies(made))))),
        ),
        part_title(made.job.part, made.job.name),
        _page_warning(made),
    )


def _remedies(made: Made) -> Iterator[str]:
    for sign, text in MEANS.items():
        found = next((n for n, c in zip(NUMBERS, caliper_checks(made), strict=False) if c.sign is sign), None)
        if found:
            yield f"{found}: {text}"
