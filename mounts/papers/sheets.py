"""Sheets of one part: its views, and what is checked on it."""

from __future__ import annotations

from collections.abc import Iterator

from mounts.design.drawing import Callout
from mounts.design.listening import Listener
from mounts.findings.report import Verdict
from mounts.geometry.frames import Vector
from mounts.made import Made
from mounts.papers.aim import aim_value, listener_levels
from mounts.papers.caliper import caliper_checks
from mounts.papers.entry import part_title
from mounts.papers.outside_views import NUMBERS, back_view, front_view
from mounts.papers.section import section_view
from mounts.papers.values import TICK, WRITE, Block, Bullets, PaperSheet, Paragraph, Sign, TableBlock, ViewFigure
from mounts.papers.verdicts import checked_blocks

NOT_OK = "NOT OK: do not use"
MEANS = {
    Sign.SCALE: "the pattern is out of scale: shrink. Write shrink_pct into the printer's file, "
    "or scale in the slicer.",
    Sign.HOLES: "holes print small: measure hole_growth with a test hole, write it into the printer's file.",
    Sign.LAYER: "the first layer is squashed or the part lifted: level the bed, print again.",
}


def _page_warning(made: Made) -> str:
    """Return what stands in the head of every page about a part that fails."""
    return NOT_OK if made.report.verdict is Verdict.FAIL else ""


def drawing_sheets(made: Made) -> Iterator[PaperSheet]:
    """Yield the views with sizes, and the cut along the axis with the aim."""
    front, back = front_view(made), back_view(made)
    aim = aim_value(made)
    cut = ViewFigure(section_view(made, _ear(made)), 122.0)
    blocks: tuple[Block, ...] = (ViewFigure(front, 102.0), cut)
    yield PaperSheet("The part", blocks, part_title(made.job.part, made.job.name), _page_warning(made))
    behind: list[Block] = [ViewFigure(back, 102.0)] if any(isinstance(item, Callout) for item in back.items) else []
    if aim:
        behind += [Paragraph("Aim, and what it is worth", "head"), Bullets(aim)]
    points = made.kind.review().papers.points(made.job)
    units = made.job.units
    places = tuple((name, units.cell(x, 1, "+"), units.cell(y, 1, "+")) for name, (x, y) in points.items())
    if places:
        behind += [Paragraph("Places on the face, from the centre: right is +, up is +", "head")]
        behind += [TableBlock(("", f"right{units.sign}", f"up{units.sign}"), places, (1.0, 1.0, 1.0), strong=(0,))]
    if behind:
        yield PaperSheet(
            "The part, behind and aim", tuple(behind), part_title(made.job.part, made.job.name), _page_warning(made)
        )


def _ear(made: Made) -> tuple[Vector, str] | None:
    """Return the direction from the seat to the first listener, and what is said of it."""
    found, seat = listener_levels(made), made.seat
    if seat is None or not found:
        return None
    listener: Listener = found[0].listener
    x, y, z = (a - b for a, b in zip(listener.ear, seat.frame.origin, strict=True))
    off = f"{found[0].angle:.0f}° off the axis, turned into this plane"
    return (x, y, z), f"line to the ear, {listener.seat}: {made.job.units(found[0].path, 0)} away, {off}"


def check_sheet(made: Made) -> PaperSheet:
    """Return the caliper's five sizes, and everything that was computed."""
    checks = caliper_checks(made)
    rows = tuple(
        (
            number,
            check.what,
            check.how,
            f"{made.job.units(check.value, 1)}",
            f"{made.job.units(check.least, 1)} to {made.job.units(check.most, 1)}",
            WRITE,
            TICK,
        )
        for number, check in zip(NUMBERS, checks, strict=False)
    )
    head = ("", "size", "how", "should be", "still good", "yours", "")
    cut = made.job.make == "cut"
    return PaperSheet(
        "Check the cut part" if cut else "Check the print",
        (
            Paragraph(
                f"Let the part cool for an hour. A caliper, {made.job.units.word}. The numbers "
                "are those on the drawing."
            ),
            TableBlock(head, rows, (0.7, 2.6, 4.9, 1.7, 2.8, 1.8, 0.9), strong=(0, 3)),
            *(() if cut else (Paragraph("If one is off", "strong"), Bullets(tuple(_remedies(made))))),
            *checked_blocks(made),
        ),
        part_title(made.job.part, made.job.name),
        _page_warning(made),
    )


def _remedies(made: Made) -> Iterator[str]:
    for sign, text in MEANS.items():
        found = next((n for n, c in zip(NUMBERS, caliper_checks(made), strict=False) if c.sign is sign), None)
        if found:
            yield f"{found}: {text}"
    yield "Within “still good” it fits. Outside it, do not sand and hope: set the printer right and print again."
