"""Every page of every demo kind's papers, by the rectangles of its texts as PDFium reads them."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from itertools import combinations
from math import hypot

import pypdfium2 as pdfium
import pytest
from PIL import Image
from pypdfium2 import raw

from mounts.batch.kit import bed_blocks
from mounts.findings.causes import causes, seen_findings
from mounts.findings.kit import BedRow, LaidOut
from mounts.findings.report import Estimate, PartReport, Report, Verdict
from mounts.kernels import mesh
from mounts.kinds.kind import kind_of, parts
from mounts.load.resolve.job import load_job
from mounts.made import Made
from mounts.papers.booklet import booklet
from mounts.papers.chapter import make_chapter
from mounts.papers.entry import BookletEntry
from mounts.papers.sides import UnlikeError, are_mirrored, both_texts, share
from mounts.papers.values import PaperSheet, Steps, TableBlock, WorkStep
from mounts.write.blocks import LEAST_FILL, PageItem, split_pages
from mounts.write.booklet import booklet_pdf
from mounts.write.flows import Flow
from mounts.write.tiles import SHEETS, USABLE
from tests.papers.conftest import JOBS

MM = 25.4 / 72
SMALLEST = 8.0  # points
MOST = 10  # pages for two sides
DEMOS = ("woofer", "front-both", "dash-tweeter-press", "port-round", "boot-board", "tailgate-halves", "kit")
TWO_SIDES = DEMOS[:3]
KIT = ("woofer", "rear-square", "slider-oblong", "dash-tweeter-press", "sail-tweeter-flange", "port-round")  # its jobs
ESTIMATE = Estimate(812.0, 53.1, None, 7.0, 25.0)
DOWN_TO = 0.02  # of a point: sizes are given in mm


@cache
def made_light(name: str) -> tuple[Made, ...]:
    """All parts of a demo job by the mesh kernel, with their cautions but without their checks."""
    found = []
    for job in parts(load_job(JOBS / f"linnet-{name}.yaml")):
        kind = kind_of(job)
        plan = kind.plan(job)
        scene = kind.shape(plan)
        report = PartReport(job.part, (), cautions=tuple(kind.cautions(job)))
        found.append(Made(kind, job, plan, scene, mesh.build(scene.recipe, 64), report))
    return tuple(found)


@pytest.fixture(scope="module")
def papers(ring, flat, cup, spacer):
    """Papers of every demo job and kit, with the findings of one that was checked in full where there is one."""
    checked = {one.job.name: one.report for one in (ring, flat, cup, spacer)}

    @cache
    def of(name: str):
        entries = []
        for made in [made for job in (KIT if name == "kit" else (name,)) for made in made_light(job)]:
            full = checked.get(made.job.name)
            report = replace(full, side=made.job.part) if full else made.report
            chapter = make_chapter(replace(made, report=report))
            entries.append(BookletEntry(chapter, report, picture(), f"{made.job.part}.3mf"))
        title, beds = entries[0].chapter.job, ()
        if name == "kit":
            row = BedRow(1, "bed-250", "asa", tuple((one.chapter.name, 2) for one in entries), (), ESTIMATE)
            title, beds = "linnet-minibus", tuple(bed_blocks(LaidOut((row,)), {"bed-1.png": picture()}))
        return booklet_pdf(booklet(title, entries, beds), "a4")

    return of


@cache
def picture() -> bytes:
    """A white picture as large as a part's."""
    file = io.BytesIO()
    Image.new("RGB", (1200, 900), "white").save(file, "PNG")
    return file.getvalue()


def texts(page):
    """Rectangle in mm, size in points and words of every text of a page."""
    found = []
    for text in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]):
        x0, y0, x1, y1 = (side * MM for side in text.get_bounds())
        matrix = text.get_matrix()
        if x1 - x0 > 0.2:
            found.append(((x0, y0, x1, y1), text.get_font_size() * hypot(matrix.a, matrix.b)))
    return found


def is_template(page):
    return "Print at 100 %" in page.get_textpage().get_text_bounded()


def is_clipped(page, box):
    """Whether a template's text lies outside what the sheet shows of a drawing that is spread over several."""
    wide, high = (side * MM for side in page.get_size())
    across, up = USABLE if wide < high else USABLE[::-1]
    left, low = (wide - across) / 2, (high - up) / 2
    is_foot = abs(box[1] - low) < 1.0
    shown = left <= box[0] < box[2] <= wide - left and low + 1 < box[1] < box[3] <= high - low
    return is_template(page) and not is_foot and not shown


@pytest.mark.parametrize("name", DEMOS)
def test_no_text_lies_on_another_leaves_the_page_or_is_too_small(papers, name):
    with pdfium.PdfDocument(papers(name)) as document:
        for number, page in enumerate(document, 1):
            wide, high = (side * MM for side in page.get_size())
            across, up = USABLE if wide < high else USABLE[::-1]
            left, low = (wide - across) / 2 - 0.8, (high - up) / 2 - 0.8
            found = [(box, size) for box, size in texts(page) if not is_clipped(page, box)]
            for box, size in found:
                assert size > SMALLEST - DOWN_TO, (number, size)
                assert min(box[0], wide - box[2]) >= left, (number, box)
                assert min(box[1], high - box[3]) >= low, (number, box)
            for (a, _), (b, _) in combinations(found, 2):
                overlap = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
                assert min(overlap) < 0.35, (number, a, b)


@pytest.mark.parametrize("name", DEMOS)
def test_nothing_is_cut_and_no_page_is_under_a_third_full(papers, name):
    with pdfium.PdfDocument(papers(name)) as document:
        for number, page in enumerate(document, 1):
            words = page.get_textpage().get_text_bounded()
            assert "…" not in words.replace(": …}", ""), (number, words)
            assert f"page {number} of {len(document)}" in words
            if not is_template(page):
                tops = [box for box, _ in texts(page)]
                foot = min(y0 for _, y0, _, _ in tops)
                body = [box for box in tops if box[1] > foot + 3.0]
                filled = max(box[3] for box in body) - min(box[1] for box in body)
                assert filled > LEAST_FILL * (USABLE[1] - 12.0), (number, filled)


@pytest.mark.parametrize("name", TWO_SIDES)
def test_two_sides_take_ten_pages(papers, name):
    with pdfium.PdfDocument(papers(name)) as document:
        assert len(document) <= MOST


def test_templates_come_before_the_work_and_have_up(papers):
    with pdfium.PdfDocument(papers("woofer")) as document:
        said = [page.get_textpage().get_text_bounded() for page in document]
    templates = [k for k, text in enumerate(said) if "Print at 100 %" in text]
    work = next(k for k, text in enumerate(said) if text.startswith("The work"))
    assert templates == [work - 2, work - 1]
    assert all("▲ UP" in said[k] and "12:00" in said[k] for k in templates)


def test_the_foot_says_job_sides_date_and_file(papers):
    job = made_light("woofer")[0].job
    with pdfium.PdfDocument(papers("woofer")) as document:
        foots = [page.get_textpage().get_text_bounded() for page in document]
    assert all(f"2026-11-24 · linnet-woofer.yaml {job.digest}" in text for text in foots)
    assert sum("linnet-woofer · LEFT, RIGHT ·" in text for text in foots) == len(foots) - 2, "all but the templates"
    assert len(job.digest) == 8


def test_faults_are_counted_as_the_screen_counts_them(ring):
    bad = [replace(f, verdict=Verdict.FAIL) for f in ring.report.findings if f.code == "clear.terminals"]
    report = replace(ring.report, findings=(*bad, *ring.report.findings))
    gathered = causes(seen_findings(Report("x", (report,))), Verdict.FAIL)
    made = replace(ring, report=report)
    cover = booklet("x", [BookletEntry(make_chapter(made), report)]).sheets[0]
    table = next(block for block in cover.blocks if isinstance(block, TableBlock) and block.head[0] == "")
    assert sum(row[0] == "FAIL" for row in table.rows) == len(gathered) < len(bad)


def test_what_differs_between_sides_stands_behind_it():
    assert both_texts("to 10:30, low", "to 1:30, low", "RIGHT") == "to 10:30 (RIGHT 1:30), low"
    one, other = (Steps("Do", (WorkStep(f"Wire at {clock}."),)) for clock in ("5:00", "7:00"))
    assert share(one, other, ("LEFT", "RIGHT")).steps[0].text == "Wire at 5:00. (RIGHT 7:00.)"
    with pytest.raises(UnlikeError):
        share(one, replace(other, steps=()), ("LEFT", "RIGHT"))


def test_a_side_with_holes_of_its_own_is_no_mirror_image(ring, flat):
    left, right = (made.plan.paper for made in made_light("woofer"))
    assert are_mirrored(left, right)
    assert not are_mirrored(left, flat.plan.paper)


def test_half_a_ring_is_asked_for_what_it_shows():
    for made in made_light("tailgate-halves"):
        low, high = made.part.vertices.min(axis=0), made.part.vertices.max(axis=0)
        checks = tuple(made.kind.review().papers.calipers(made.job, made.plan))
        assert checks
        for check in checks:
            assert all((low - 0.1 <= end).all() and (end <= high + 0.1).all() for end in check.ends), check.what
            assert check.what not in ("bore", "across the seat")
    joined = [step.text for steps in make_chapter(made_light("tailgate-halves")[0]).steps for step in steps.steps]
    assert any("only the joined ring shows: " in text and "bore 184." in text for text in joined)


def unit(high: float, *, keep: bool = False, again: bool = False) -> PageItem:
    flow = Flow(high, lambda canvas: None)
    return PageItem(flow, PaperSheet("x", ()), keep, again=(flow,) if again else ())


def test_pages_are_as_few_as_can_be_and_none_is_nearly_empty():
    pages = split_pages([unit(10.0, again=k > 0) for k in range(11)], 100.0)
    assert [len(page) for page in pages] == [6, 5] or [len(page) for page in pages] == [5, 6]
    assert [len(page) for page in split_pages([unit(10.0) for _ in range(10)], 100.0)] == [10]


def test_a_heading_stays_with_what_follows():
    units = [unit(30.0), unit(30.0), unit(30.0), unit(8.0, keep=True), unit(30.0), unit(20.0)]
    for page in split_pages(units, 100.0):
        assert not page[-1].keep
    assert SHEETS["a4"][1] > USABLE[1]
