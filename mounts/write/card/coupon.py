"""The sheet of a coupon: where to measure what, and room to write it, each box under its key in the readings."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from math import cos, radians, sin
from typing import Any

from mounts.design.drawing import Drawing, Layer, Note, Stroke
from mounts.geometry.outline import Outline, Point, circle, rectangle
from mounts.kinds.coupon.plan import CouponPlan, CouponStep
from mounts.load.editing.readings import Box, Reading
from mounts.load.resolve.coupon import GROUPS
from mounts.write.card.blocks import draw_line, height_of, lines_of
from mounts.write.card.page import EDGE, POINT, TITLE, WIDTH
from mounts.write.drawing_pdf import draw_pdf
from mounts.write.tiles import SHEETS, Paper
from mounts.write.typesetting import FACE, STRONG, register_face, wrap_text

PICTURE = 130.0  # mm, room for the coupon at 1:1
BOX = 12.0
LETTERS, LEADING = 3.1, 4.1  # of what to do
DO = (
    "Print it as it lies, in the middle of the bed, with the settings of your mounts, and the plug with it.",
    "Let both cool down on the bed. Break no edges. A caliper of 150 is enough.",
    "bars: over the ends, jaws above the first layer, on the bar's middle; read each three times.",
    "ribs and pegs: at half height. holes: the mean of two across; small ones by the shank of a drill that just goes.",
    "fits: the plug in each hole. press: vice or mallet; push: by hand, stays when turned over; slide: drops through; "
    "free: rattles.",
    "inserts: one in each pocket, iron as usual. tight: bulges, or will not go down; good; loose: turns or tilts.",
    "Iron: it burns at once, hot plastic sticks; eye protection, fresh air.",
)


def coupon_sheet(plan: CouponPlan, title: str, grams: float, paper: Paper) -> bytes:
    """Return the sheet as a PDF of one page, the coupon on it at 1:1; the same bytes every time."""
    from reportlab.pdfgen.canvas import Canvas

    register_face()
    wide, high = SHEETS[paper]
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=(wide * POINT, high * POINT), invariant=1, initialFontName=FACE)
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setTitle(title)
    canvas.setCreator("mounts")
    canvas.scale(POINT, POINT)
    canvas.translate((wide - WIDTH) / 2, EDGE)
    _page(canvas, plan, f"{title[:1].upper()}{title[1:]}, {grams:.0f} g", high - 2 * EDGE)
    canvas.showPage()
    canvas.save()
    return file.getvalue()


def _page(canvas: Any, plan: CouponPlan, title: str, height: float) -> None:
    canvas.setFont(STRONG, TITLE - 0.8)
    canvas.drawString(0, height - 5.0, title)
    top = height - 9.0
    canvas.saveState()
    canvas.translate(PICTURE / 2, top - PICTURE / 2)
    draw_pdf(canvas, drawing_of(plan, title).items)
    canvas.restoreState()
    canvas.setFillGray(0)
    y = top - 3.0
    for number, text in enumerate(DO, start=1):
        for k, line in enumerate(wrap_text(text, LETTERS, WIDTH - PICTURE - 8.0)):
            if k == 0:
                canvas.setFont(STRONG, LETTERS)
                canvas.drawString(PICTURE + 3.0, y, str(number))
            canvas.setFont(FACE, LETTERS)
            canvas.drawString(PICTURE + 8.0, y, line)
            y -= LEADING
        y -= 1.5
    y = top - PICTURE - 2.0
    for row in lines_of(tuple(_readings(plan)), WIDTH):
        draw_line(canvas, row, (0.0, y), BOX)
        y -= height_of(row, BOX) + 1.2


def _readings(plan: CouponPlan) -> Iterator[Reading]:
    """Yield the boxes of every group."""
    for group in GROUPS:
        keys = [bar.key for bar in plan.bars] if group == "bars" else [step.key for step in plan.group(group)]
        width = {"bars": 3.0, "fits": 1.45, "inserts": 1.45}.get(group, 1.3)  # three readings; a word; one reading
        boxes = tuple(Box((group, key), key, width) for key in keys)
        yield Reading(group, (), False, "", False, True, (boxes,))
    written = [Box(("measured", key), key, 2.0) for key in ("by", "on")]
    yield Reading("measured", (), False, "", False, True, (tuple(written),))


def drawing_of(plan: CouponPlan, title: str) -> Drawing:
    """Return the coupon from above, with what its features are called."""
    strokes = [Stroke(plan.outline, Layer.CUT, "bars"), Stroke(plan.block[0], Layer.ENGRAVE, "block")]
    strokes += [Stroke(_outline(step), Layer.CUT, step.name) for step in plan.steps]
    notes = [*_ends(plan), *_names(plan.steps)]
    return Drawing(title, (*strokes, *notes))


def _outline(step: CouponStep) -> Outline:
    if step.group == "ribs":
        return rectangle(step.size, 8.0, 0.0).turned(step.angle).moved(*step.at)
    return circle(step.size, step.at)


def _ends(plan: CouponPlan) -> Iterator[Note]:
    """Yield each bar's key across one of its ends."""
    for bar in plan.bars:
        turn = bar.angle - 90.0 if bar.angle > 0 else 90.0
        yield Note(bar.key, _off((0.0, 0.0), bar.angle, plan.length / 2 + 2.6), 2.8, turn)


def _names(steps: Sequence[CouponStep]) -> Iterator[Note]:
    for angle, group in sorted({(step.angle, step.group) for step in steps}):
        aside = _off(_off((0.0, 0.0), angle, 46.0), angle + 90.0, 10.5 if group != "pegs" else 7.5)
        yield Note(group, aside, 2.4, {315.0: -45.0}.get(angle, angle % 180.0 if angle != 135.0 else -45.0))
    for step in steps:
        beside = step.group == "ribs"  # too thin to be written on
        at = _off(step.at, step.angle + 90.0, 7.5) if beside else step.at
        yield Note(step.key, at, 2.4 if step.size >= 8 else 1.3 if step.size <= 4 and not beside else 1.9)


def _off(at: Point, angle: float, far: float) -> Point:
    return (at[0] + far * cos(radians(angle)), at[1] + far * sin(radians(angle)))
