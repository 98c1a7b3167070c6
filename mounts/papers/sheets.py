"""Sheets of one part: its views, and what is checked on it.

A mount as it is seen from the cabin and from behind, with its sizes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import hypot
from typing import Literal

from mounts.design.drawing import AXIS, EDGE, THIN, Callout, Dimension, Drawing, PenLine, Tag
from mounts.design.listening import Listener
from mounts.findings.report import Verdict
from mounts.geometry.frames import Frame, Vector
from mounts.geometry.outline import Point
from mounts.kernels.hidden_lines import VisibleEdges, visible_edges
from mounts.kinds.review import PlacedText
from mounts.load.models.speaker_job import SpeakerJob
from mounts.made import Made
from mounts.papers.aim import listener_levels
from mounts.papers.caliper import caliper_checks
from mounts.papers.entry import part_title
from mounts.papers.section import section_view
from mounts.papers.values import WRITE, Block, Bullets, PaperSheet, Paragraph, Sign, TableBlock, ViewFigure

FRONT, BACK = Frame(), Frame(x=(-1.0, 0.0, 0.0), z=(0.0, 0.0, -1.0))
NUMBERS = "①②③④⑤"
ASIDE = 15.0  # mm from the middle, within which a fixing's letter may stand where 12:00 is written
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


def front_view(made: Made) -> Drawing:
    """Return the view from the front, with the caliper's sizes."""
    papers = made.kind.review().papers
    return _view(made, FRONT, papers.seen[0], [*_measured(made), *papers.front(made.job, made.plan)])


def back_view(made: Made) -> Drawing:
    """Return the view from the back, with what is cut into it."""
    papers = made.kind.review().papers
    return _view(made, BACK, papers.seen[1], tuple(papers.back(made.job, made.plan)))


def _view(made: Made, frame: Frame, title: str, told: Sequence[PlacedText]) -> Drawing:
    drawn: VisibleEdges = visible_edges(made.part, frame)
    lines = [*(PenLine(path, EDGE) for path in drawn.sharp), *(PenLine(path, THIN) for path in drawn.smooth)]
    points = frame.into(made.part.vertices)
    (u0, v0, _), (u1, v1, _) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    box = (u0, v0, u1, v1)
    way = frame.x[0]
    lines += [
        PenLine(((box[0] - 3, 0.0), (box[2] + 3, 0.0)), AXIS),
        PenLine(((0.0, box[1] - 3), (0.0, box[3] + 3)), AXIS),
    ]
    callouts = tuple(Callout((way * at[0], at[1]), text, _margin(way * at[0], box)) for at, text in told)
    named = made.kind.review().papers.points(made.job)
    sizes = (
        Dimension((box[0], box[1]), (box[2], box[1]), "u", -1, made.job.units(box[2] - box[0], 1)),
        Dimension((box[0], box[1]), (box[0], box[3]), "v", -1, made.job.units(box[3] - box[1], 1)),
    )
    above = 9.0 if any(abs(x) < ASIDE and 0 < y < v1 for x, y in named.values()) else 4.0
    twelve = Tag((min(max(0.0, u0), u1), v1), "12:00 ▲", (0.0, above))
    tags = (twelve, *(_tag(at, name, way) for name, at in named.items()))
    return Drawing(title, (*lines, *sizes, *tags, *callouts), box=box).inside()


def _margin(u: float, box: tuple[float, float, float, float]) -> Literal[-1, 1]:
    return 1 if u >= (box[0] + box[2]) / 2 else -1


def _tag(at: Point, name: str, way: float) -> Tag:
    far = max(hypot(*at), 1e-9)
    return Tag((way * at[0], at[1]), name, (7.5 * way * at[0] / far, 7.5 * at[1] / far))


def _measured(made: Made) -> Iterator[PlacedText]:
    """Yield the caliper's sizes by their numbers, at one of their ends."""
    for number, check in zip(NUMBERS, caliper_checks(made), strict=False):
        one, other = check.ends
        at = one if one[2] >= other[2] else other
        yield (at[0], at[1]), f"{number} {check.what} {made.job.units(check.value, 1)}"


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
