"""The booklet as readers of PDF see it: PDFium, and poppler's pdftotext and pdffonts where they are there."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from itertools import combinations

import numpy as np
import pypdfium2 as pdfium
import pytest
from pypdfium2 import raw

from mounts.findings.causes import causes, seen_findings
from mounts.findings.report import Report, Verdict
from mounts.papers.booklet import booklet
from mounts.papers.values import Booklet, Bullets, PaperSheet, Paragraph, Steps, TableBlock, WorkStep
from mounts.write.booklet import booklet_pdf
from mounts.write.tiles import SHEETS, USABLE
from tests.papers.conftest import entries

MM = 25.4 / 72
WITHOUT = "needs Debian's poppler-utils"


def texts(data):
    with pdfium.PdfDocument(data) as document:
        return [page.get_textpage().get_text_bounded() for page in document]


def boxes(page):
    """Rectangles of the text objects of a page with some height, points."""
    found = [text.get_bounds() for text in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT])]
    return [box for box in found if box[2] - box[0] > 0.5]


def test_every_page_is_paper_of_its_size(book, nasty):
    for data, paper in ((book, "a4"), (nasty, "letter")):
        with pdfium.PdfDocument(data) as document:
            assert len(document) > 8
            for page in document:
                assert sorted(side * MM for side in page.get_size()) == pytest.approx(sorted(SHEETS[paper]), abs=0.01)


def test_nothing_is_written_where_printers_do_not_print(book, nasty):
    for data in (book, nasty):
        with pdfium.PdfDocument(data) as document:
            for page in document:
                wide, high = page.get_size()
                across, up = USABLE if wide < high else USABLE[::-1]
                left, low = (wide * MM - across) / 2 - 1.0, (high * MM - up) / 2 - 1.0
                for x0, y0, x1, y1 in boxes(page):
                    assert min(x0, wide - x1) * MM >= left
                    assert min(y0, high - y1) * MM >= low


def test_no_text_lies_on_another(book, nasty):
    for data in (book, nasty):
        with pdfium.PdfDocument(data) as document:
            for number, page in enumerate(document):
                for a, b in combinations(boxes(page), 2):
                    wide, high = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
                    assert not (wide > 1.5 and high > 1.5), (number, a, b)


def test_no_page_is_nearly_empty(book):
    for number, text in enumerate(texts(book)):
        assert len(text.split()) > 25, (number, text)


def test_a_stranger_finds_everything(book):
    whole = " ".join("\n".join(texts(book)).split())
    for words in (
        "Read this first", "Hardware and tools", "Cautions", "The work, in order", "Check the print",
        "Check the cut part", "Tuner's sheet", "Return sheet", "M5 × 16", "1 N·m", "8° towards 10:30",
        "165.0", "164.4 to 165.5", "135.6", "12.6", "31.4", "117.0", "linnet-port-round", "210 °C",
        "FMVSS 302 allows 102 mm a minute", "Set 4 rivet nuts M5", "Stake in this order: B → D → A → C",
        "Keep this sheet with the job's file", "909", "Linnet minibus no. 7",
    ):  # fmt: skip
        assert words in whole, words
    order = [whole.index(words) for words in ("Before you drill or print", "Make it", "Prepare the panel", "Fit it")]
    assert order == sorted(order)


def test_every_cause_is_told_with_its_remedy_and_the_passes_in_one_line(book, ring):
    whole = " ".join(" ".join(texts(book)).split())
    for cause in causes(seen_findings(Report("x", (ring.report,))), Verdict.FAIL, Verdict.WARN, Verdict.DO):
        assert cause.worst.finding.what in whole
        assert cause.worst.finding.advice in whole
    assert re.search(r"\d+ checks passed, the tightest: ", whole)
    assert not re.search(r"\bpass\b", whole)


def test_steps_of_two_alike_sides_are_told_once_with_two_boxes(ring):
    other = replace(ring, job=replace(ring.job, side="right"))
    sheets = booklet("x", entries(ring, other)).sheets
    work = [sheet for sheet in sheets if isinstance(sheet, PaperSheet) and sheet.title == "The work, in order"]
    assert len(work) == 1
    assert {block.boxes for block in work[0].blocks if isinstance(block, Steps)} == {("left", "right")}
    numbers = [block.first + k for block in work[0].blocks if isinstance(block, Steps) for k in range(len(block.steps))]
    assert numbers == list(range(1, len(numbers) + 1))


def test_names_are_text_and_never_code(nasty):
    whole = " ".join("".join(texts(nasty)).split())
    assert "..<b>x</b></script><script>alert(1)</script> &amp; (minibus)" in whole
    assert "<font size=99>" in whole
    with pdfium.PdfDocument(nasty) as document:
        assert document.get_metadata_dict()["Title"].startswith("..<b>x</b></script>")
    for word in (b"/JavaScript", b"/JS", b"/Launch", b"/URI", b"/OpenAction"):
        assert word not in nasty


def test_fonts_are_embedded_and_the_printer_does_not_scale(book):
    assert b"/PrintScaling /None" in book
    assert b"Helvetica" not in book
    assert len(book) < 2_000_000
    if not shutil.which("pdffonts"):
        pytest.skip(WITHOUT)
    rows = (
        subprocess.run(["pdffonts", "-"], input=book, capture_output=True, check=True).stdout.decode().splitlines()[2:]
    )
    assert len(rows) >= 2
    for row in rows:
        name, *_, embedded, _, unicode, _, _ = row.split()
        assert "DejaVuSans" in name
        assert (embedded, unicode) == ("yes", "yes")


def test_another_reader_reads_the_same_words(book):
    if not shutil.which("pdftotext"):
        pytest.skip(WITHOUT)
    done = subprocess.run(["pdftotext", "-layout", "-", "-"], input=book, capture_output=True, check=True)
    words = done.stdout.decode()
    for text in ("Read this first", "⌀ 6.3", "1 N·m (bounded by the plastic)", "① ", "165.0", "12:00"):
        assert text in words


def test_equal_booklets_give_equal_bytes(flat):
    one, other = (booklet_pdf(booklet("x", entries(flat)), "a4") for _ in range(2))
    assert one == other


def test_a_failing_part_says_so_on_every_page_of_its_own(ring):
    from dataclasses import replace

    from mounts.findings.report import Finding, Verdict

    bad = Finding("heat", Verdict.FAIL, "pla in a door", closed_form=60.0, limit=75.0, unit="C", advice="take asa")
    report = replace(ring.report, findings=(bad, *ring.report.findings))
    found = texts(booklet_pdf(booklet("x", entries(replace(ring, report=report))), "a4"))
    assert "Do not print or fit this as it is: 1 fault" in " ".join(found[0].split())
    for text in found:
        first = text.strip().splitlines()[0]
        if first.startswith(("The part", "Check the print", "The work", "Read this first")) or "sheet 1/1" in text:
            assert "NOT OK: do not use" in text


def test_texts_without_end_end_in_dots():
    long = "word " * 3000
    sheets = (
        PaperSheet(
            "Long",
            (Paragraph(long), Bullets((long,)), Steps("Do", (WorkStep(long),)), TableBlock((), ((long,),), (1.0,))),
        ),
        PaperSheet("Next", (Paragraph("here"),)),
    )
    found = texts(booklet_pdf(Booklet("x", sheets), "a4"))
    assert sum(text.count("…") for text in found) == 4
    assert all(text.split().count("word") > 100 for text in found[:-1])
    assert "here" in found[-1]


def test_pages_print_well_in_grey(book):
    """Every page has ink that is black on paper that is white, and nothing is told by colour alone."""
    with pdfium.PdfDocument(book) as document:
        for page in document:
            grey = np.asarray(page.render(scale=0.5, grayscale=True).to_pil())
            assert grey.min() < 90
            assert (grey > 250).mean() > 0.7
