"""The paper template, rasterised by PDFium at 300 dpi and measured there: a pixel is 0.085 mm."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pypdfium2 as pdfium
import pytest
from numpy.typing import NDArray
from pypdfium2 import raw
from scipy import ndimage

from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke
from mounts.geometry.outline import circle, oblong, rectangle
from mounts.write.booklet import template_pdf
from mounts.write.tiles import OVERLAP, SHEETS, STRIP, USABLE, Paper

DPI = 300
PX = 25.4 / DPI
HOLES = {"A": (58.0, 53.5), "B": (58.5, -54.0), "C": (-57.5, -53.0), "D": (-58.0, 54.0)}
PAPERS: tuple[Paper, ...] = ("a4", "letter")


def page_of(data: bytes, number: int = 0) -> NDArray[np.bool_]:
    """Ink of a page, rows from its foot, columns from its left."""
    with pdfium.PdfDocument(data) as document:
        return np.asarray(document[number].render(scale=DPI / 72, grayscale=True).to_pil())[::-1] < 128


def blobs(ink: NDArray[np.bool_]) -> list[tuple[float, float, float, float]]:
    """Centre (x, y) and size (w, h) in mm of everything that hangs together."""
    labels, _ = ndimage.label(ink, np.ones((3, 3)))
    found = []
    for rows, columns in ndimage.find_objects(labels):
        x, y = (columns.start + columns.stop) / 2 * PX, (rows.start + rows.stop) / 2 * PX
        found.append((x, y, (columns.stop - columns.start) * PX, (rows.stop - rows.start) * PX))
    return found


def rings(ink: NDArray[np.bool_], diameter: float) -> list[tuple[float, float]]:
    """Centres of circles drawn with the 0.35 mm line of a cut."""
    size = diameter + 0.35
    return [(x, y) for x, y, w, h in blobs(ink) if abs(w - size) < 0.18 and abs(h - size) < 0.18]


def plain(*strokes: Stroke) -> Drawing:
    return Drawing("plain", strokes)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("large", [False, True])
def test_both_bars_measure_100_mm_on_every_page(drawing: Drawing, paper: Paper, large: bool) -> None:
    shown = plain(Stroke(rectangle(300, 400, 20), Layer.CUT)) if large else drawing
    data = template_pdf(shown, paper)
    margins = [(side - use) / 2 for side, use in zip(SHEETS[paper], USABLE, strict=True)]
    for number in range(len(pdfium.PdfDocument(data))):
        ink = page_of(data, number)
        along = ink[round((margins[1] + STRIP - 4.0) / PX), : round((margins[0] + 150) / PX)]
        across = ink[: round((margins[1] + 130) / PX), round((margins[0] + STRIP - 4.0) / PX)].copy()
        across[: round((margins[1] + 4.0) / PX)] = False  # the page's foot
        for line, margin in ((along, margins[0]), (across, margins[1])):  # a cut through the outer ticks alone
            ticks = ndimage.center_of_mass(line, ndimage.label(line)[0], [1, 2])
            assert ndimage.label(line)[1] == 2
            first, last = (tick[0] + 0.5 for tick in ticks)
            assert (last - first) * PX == pytest.approx(100, abs=0.1)
            assert first * PX == pytest.approx(margin + STRIP, abs=0.1)


@pytest.mark.parametrize("paper", PAPERS)
def test_holes_lie_where_the_drawing_has_them(paper: Paper) -> None:
    strokes = [Stroke(circle(6.0, at), Layer.CUT) for at in HOLES.values()]
    found = np.array(sorted(rings(page_of(template_pdf(plain(*strokes), paper)), 6.0)))
    wanted = np.array(sorted(HOLES.values()))
    assert len(found) == 4
    np.testing.assert_allclose(found - found.mean(axis=0), wanted - wanted.mean(axis=0), atol=0.1)


def test_a_large_circle_is_round_and_true() -> None:
    ink = page_of(template_pdf(plain(Stroke(circle(180.0), Layer.CUT)), "a4"))
    rows, columns = np.nonzero(ink & (ndimage.label(ink, np.ones((3, 3)))[0] == largest(ink)))
    x, y = (columns + 0.5) * PX, (rows + 0.5) * PX
    centre = ((x.min() + x.max()) / 2, (y.min() + y.max()) / 2)
    away = np.hypot(x - centre[0], y - centre[1])
    assert away.min() == pytest.approx(90 - 0.175, abs=0.1)
    assert away.max() == pytest.approx(90 + 0.175, abs=0.1)


def largest(ink: NDArray[np.bool_]) -> int:
    labels, count = ndimage.label(ink, np.ones((3, 3)))
    spans = [(rows.stop - rows.start) for rows, _ in ndimage.find_objects(labels)]
    assert count == len(spans)
    return int(np.argmax(spans)) + 1


def test_layers_differ_in_line() -> None:
    def drawn(layer: Layer) -> list[tuple[float, float, float, float]]:
        ink = page_of(template_pdf(plain(Stroke(rectangle(120, 60, 1), layer)), "a4"))
        field = ink[round(40 / PX) : round(240 / PX), round(25 / PX) :]
        return blobs(field)

    ((_, _, wide, _),) = drawn(Layer.CUT)
    ((_, _, thin, _),) = drawn(Layer.ENGRAVE)
    dashes = drawn(Layer.REF)
    assert wide - thin == pytest.approx(0.35 - 0.18, abs=0.09)
    assert len(dashes) == pytest.approx(360 / 3, abs=4)  # 2 mm drawn, 1 mm free
    assert np.median([w for _, _, w, _ in dashes if w > 1]) == pytest.approx(2.0, abs=0.1)


def test_crosses_and_notes_are_where_they_belong() -> None:
    drawing = Drawing(
        "x",
        (
            Stroke(rectangle(120, 80, 1), Layer.CUT),
            Cross((30.0, 0.0), 8.0, Layer.CUT),
            Note("H", (-30.0, 0.0), 12.0, layer=Layer.CUT),
            Note("H", (0.0, 20.0), 12.0, 90.0, Layer.CUT),
        ),
    )
    found = blobs(page_of(template_pdf(drawing, "a4")))
    x, y = next((x, y) for x, y, w, h in found if abs(w - 120.35) < 0.2 and abs(h - 80.35) < 0.2)
    crosses = [(cx - x, cy - y) for cx, cy, w, h in found if abs(w - 8) < 0.2 and abs(h - 8) < 0.2]
    upright = [(cx - x, cy - y) for cx, cy, w, h in found if abs(h - 12) < 0.2 and 7 < w < 11]
    turned = [(cx - x, cy - y) for cx, cy, w, h in found if abs(w - 12) < 0.2 and 7 < h < 11]
    for got, wanted in ((crosses, (30, 0)), (upright, (-30, 0)), (turned, (0, 20))):
        assert got == [pytest.approx(wanted, abs=0.12)]


@pytest.mark.parametrize("paper", PAPERS)
def test_a_drawing_too_large_is_spread_so_that_every_hole_is_whole_on_some_page(paper: Paper) -> None:
    """Sixteen holes of different diameters, each no larger than the overlap, over 400 × 400 mm."""
    places = list(product((-195, -65, 65, 195), repeat=2))
    holes = {7.0 + 0.3 * k: at for k, at in enumerate(places)}
    strokes = [Stroke(circle(d, at), Layer.CUT) for d, at in holes.items()]
    data = template_pdf(plain(*strokes), paper)
    seen: dict[float, list[tuple[int, float, float]]] = {}
    for number in range(len(pdfium.PdfDocument(data))):
        for x, y, w, h in blobs(page_of(data, number)):
            d = min(holes, key=lambda d: abs((w + h) / 2 - d - 0.35))
            if abs(w - h) < 0.1 and abs((w + h) / 2 - d - 0.35) < 0.13:
                seen.setdefault(d, []).append((number, x, y))
    assert sorted(seen) == sorted(holes)
    for one, other in product(seen, repeat=2):  # and where two share a page, they lie as in the drawing
        for page, x, y in seen[one]:
            for other_page, u, v in seen[other]:
                if page == other_page:
                    wanted = (holes[other][0] - holes[one][0], holes[other][1] - holes[one][1])
                    assert (u - x, v - y) == pytest.approx(wanted, abs=0.2)


def test_the_crosses_of_neighbouring_sheets_coincide() -> None:
    """A hole in the overlap shows on both sheets; the joint's crosses stand equally from it on both."""
    drawing = plain(Stroke(circle(9.0, (0.0, 40.0)), Layer.CUT), Stroke(oblong(330, 100), Layer.REF))
    data = template_pdf(replace(drawing, items=tuple(one for one in drawing.items if not isinstance(one, Cross))), "a4")
    assert len(pdfium.PdfDocument(data)) == 2
    told = []
    for number in (0, 1):
        ink = page_of(data, number)
        ((x, y),) = rings(ink, 9.0)
        marks = [(cx - x, cy - y) for cx, cy, w, h in blobs(ink) if abs(w - 6) < 0.3 and abs(h - 6) < 0.3]
        told.append(sorted(marks, key=lambda mark: mark[1]))
    assert len(told[0]) == 3
    np.testing.assert_allclose(told[0], told[1], atol=0.1)
    assert {round(mark[0], 0) for mark in told[0]} == {0.0}, "the joint runs through the middle of the overlap"
    assert OVERLAP == 12


def test_texts_come_out_as_text(drawing: Drawing) -> None:
    with pdfium.PdfDocument(template_pdf(drawing, "a4")) as document:
        text = " ".join(document[0].get_textpage().get_text_bounded().split())
        assert document.get_metadata_dict()["Title"] == "linnet <b>woofer</b> & co 山🚐, left"
    for line in (
        "linnet <b>woofer</b> & co (U+5C71 minibus), left",
        "Print at 100 %, without “fit to page”. Then measure both bars: each is 100 mm, which is 3 15/16 in.",
        "seen from the cabin",
        "opening ⌀ 120",
        "12:00",
        "sheet 1/1",
    ):
        assert line in text
    assert text.count("100 mm") == 3


def test_every_page_of_many_has_title_number_and_name() -> None:
    long = Drawing("a name " * 40, (Stroke(rectangle(300, 300, 10), Layer.CUT),), ("line",) * 4)
    with pdfium.PdfDocument(template_pdf(long, "letter")) as document:
        pages = [page.get_textpage().get_text_bounded() for page in document]
    assert len(pages) == 4
    for k, (text, name) in enumerate(zip(pages, ("A1", "B1", "A2", "B2"), strict=True), 1):
        assert text.startswith("a name a name")
        assert f"sheet {k}/4, {name}" in text
        assert "Cut one sheet along its dotted line" in text


def test_a_heading_without_end_leaves_room_for_the_bar() -> None:
    long = Drawing("x" * 2000, (Stroke(circle(50), Layer.CUT),), ("caption " * 30,) * 30)
    with pdfium.PdfDocument(template_pdf(long, "a4")) as document:
        assert len(document) == 1
        assert "…" in document[0].get_textpage().get_text_bounded()


@pytest.mark.parametrize("paper", PAPERS)
def test_page_size_and_orientation(paper: Paper) -> None:
    wide, high = SHEETS[paper]
    for outline, wanted in ((circle(100), (wide, high)), (oblong(240, 150), (high, wide))):
        with pdfium.PdfDocument(template_pdf(plain(Stroke(outline, Layer.CUT)), paper)) as document:
            assert len(document) == 1
            assert tuple(side * 25.4 / 72 for side in document[0].get_size()) == pytest.approx(wanted, abs=0.01)


def test_fonts_are_embedded_and_the_printer_is_told_not_to_scale(drawing: Drawing) -> None:
    data = template_pdf(drawing, "a4")
    assert b"/PrintScaling /None" in data
    assert b"Helvetica" not in data
    with pdfium.PdfDocument(data) as document:
        texts = list(document[0].get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]))
        assert texts
        assert all(raw.FPDFFont_GetIsEmbedded(raw.FPDFTextObj_GetFont(text.raw)) == 1 for text in texts)


def test_equal_drawings_give_equal_bytes(drawing: Drawing) -> None:
    assert template_pdf(drawing, "a4") == template_pdf(drawing, "a4")


def test_an_empty_drawing_is_refused() -> None:
    with pytest.raises(ValueError, match="empty template"):
        template_pdf(Drawing("x"), "a4")
