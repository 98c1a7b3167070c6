"""Figures as values, and that a PNG and a PDF page show the same."""

from __future__ import annotations

import io
from math import dist

import numpy as np
import pypdfium2
import pytest
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from mounts.design.drawing import (
    Area,
    Drawing,
    DrawnText,
    Fill,
    Ink,
    Layer,
    Pen,
    PenLine,
    Stroke,
    Tag,
    arc,
    hatching,
    spread,
)
from mounts.geometry.outline import circle, loop_area, ray_end, rectangle_loop
from mounts.write.drawing_pdf import draw_pdf
from mounts.write.drawing_png import drawing_png

RING = (rectangle_loop(0.0, 0.0, 60.0, 40.0), rectangle_loop(10.0, 10.0, 35.0, 30.0))
MM = 72 / 25.4


@pytest.mark.parametrize("angle", [0.0, 45.0, 117.0])
def test_hatching_covers_what_is_inside_and_leaves_holes_free(angle: float) -> None:
    """Cavalieri: the lines' length times their pitch is the area, 60 · 40 − 25 · 20."""
    lines = list(hatching(RING, angle, 0.05))
    assert sum(dist(*line.points) for line in lines) * 0.05 == pytest.approx(1900, rel=2e-3)
    for line in lines:
        x, y = np.mean(line.points, axis=0)
        assert 0 < x < 60
        assert 0 < y < 40
        assert not (10 < x < 35 and 10 < y < 30)


def test_labels_are_spread_no_further_than_they_must_be() -> None:
    assert spread([5.0, 20.0, 40.0], 6.0, 0.0, 50.0) == [5.0, 20.0, 40.0]
    found = spread([10.0, 30.0, 10.0, 11.0, 48.0, 49.0], 6.0, 0.0, 50.0)
    assert found[2] < found[3]
    assert min(np.diff(sorted(found))) == pytest.approx(6.0, abs=0.05)
    assert 0 <= min(found) <= max(found) <= 50.0 + 1e-9


def test_an_arc_keeps_its_distance() -> None:
    found = arc((3.0, 4.0), 7.0, 20.0, 110.0).points
    assert [dist((3.0, 4.0), point) for point in found] == pytest.approx([7.0] * len(found))


def test_png_and_pdf_show_the_same() -> None:
    """Both drawn at 8 pixels to the mm: pypdfium2 as the judge of the page."""
    drawing = Drawing(
        "any",
        (
            Area(RING, Fill(Ink.GREY, Pen(0.8, Ink.RED), 4.0, 0.4)),
            PenLine(((5.0, 50.0), (80.0, 55.0)), Pen(0.9, Ink.BLUE, (4.0, 2.0))),
            Stroke(circle(8.0, (84.0, 10.0)), Layer.CUT),
            DrawnText("28.5 mm of room", (64.0, 20.0), 2.5),
            DrawnText("end", (88.0, 45.0), 4.0, "end"),
            DrawnText("turned", (75.0, 30.0), 3.0, "middle", turn=90.0),
            PenLine(((80.0, 5.0), (80.0, 40.0)), Pen(0.5)),
            DrawnText("over it", (80.0, 22.0), 3.0, "middle", turn=80.0, on_paper=True),
            DrawnText("on paper", (22.0, 35.0), 3.0, "middle", on_paper=True),
        ),
        box=(0.0, 0.0, 90.0, 60.0),
    )
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=(90 * MM, 60 * MM))
    canvas.scale(MM, MM)
    draw_pdf(canvas, drawing.items)
    canvas.save()
    page = pypdfium2.PdfDocument(file.getvalue())[0]
    of_pdf = np.asarray(page.render(scale=8 / MM).to_pil().convert("L").resize((720, 480)), float)
    of_png = np.asarray(Image.open(io.BytesIO(drawing_png(drawing))).convert("L"), float)
    assert of_png.shape == of_pdf.shape == (480, 720)
    apart = np.abs(of_png - of_pdf)
    assert apart.mean() < 3.0  # of 255: edges of lines fall on other pixels
    blurred = [np.asarray(Image.fromarray(p.astype(np.uint8)).reduce(6), float) for p in (of_png, of_pdf)]
    assert np.abs(blurred[0] - blurred[1]).max() < 60
    assert np.corrcoef(of_png.ravel(), of_pdf.ravel())[0, 1] > 0.98


def test_the_same_drawing_gives_the_same_bytes() -> None:
    drawing = Drawing("any", (Area(RING, Fill(Ink.MIST)), DrawnText("5.2", (10.0, 10.0))), box=(0.0, 0.0, 40.0, 30.0))
    assert drawing_png(drawing) == drawing_png(drawing)


def test_a_ray_ends_at_the_edge_that_it_meets_first() -> None:
    box = (-10.0, -10.0, 20.0, 30.0)
    assert ray_end((0.0, 0.0), (0.0, 5.0), box) == (0.0, 30.0)
    assert ray_end((0.0, 0.0), (300.0, 300.0), box) == pytest.approx((20.0, 20.0))
    assert ray_end((0.0, 0.0), (-1.0, -0.5), box) == pytest.approx((-10.0, -5.0))
    assert ray_end((3.0, 4.0), (0.0, -1.0), box) == (3.0, 4.0)


def test_the_area_of_a_loop_is_the_same_either_way_round() -> None:
    assert loop_area(RING[0]) == loop_area(RING[0][::-1]) == 2400


def test_what_has_no_place_yet_cannot_be_drawn() -> None:
    with pytest.raises(TypeError, match="Tag must be laid out"):
        drawing_png(Drawing("any", (Tag((1.0, 1.0), "A"),), box=(0.0, 0.0, 9.0, 9.0)))
