"""Templates of every kind as they come out of the booklet, measured on the page at 300 dpi: a pixel is 0.085 mm."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pypdfium2 as pdfium
import pytest
from scipy import ndimage

from mounts.design.drawing import Cross, Note
from mounts.identity import Role
from mounts.papers.values import Booklet, Template
from mounts.write.booklet import booklet_pdf

DPI = 300
PX = 25.4 / DPI


def inks(drawing, paper="a4"):
    bare = replace(drawing, items=drawing.strokes)  # whose ink would join the circles; test_template.py measures them
    data = booklet_pdf(Booklet(drawing.title, (Template(bare),)), paper)
    with pdfium.PdfDocument(data) as document:
        return [np.asarray(page.render(scale=DPI / 72, grayscale=True).to_pil())[::-1] for page in document]


def rings(grey, diameter):
    """Centres of circles drawn with the line of 0.35 of a cut."""
    labels, _ = ndimage.label(grey < 128, np.ones((3, 3)))
    found = []
    for rows, columns in ndimage.find_objects(labels):
        w, h = (columns.stop - columns.start) * PX, (rows.stop - rows.start) * PX
        if abs(w - diameter - 0.35) < 0.14 and abs(h - diameter - 0.35) < 0.14:
            found.append(((columns.start + columns.stop) / 2 * PX, (rows.start + rows.stop) / 2 * PX))
    return np.array(sorted(found))


def apart(found, wanted):
    """Greatest difference of two patterns, both about their own middles, mm."""
    wanted = np.array(sorted(wanted))
    assert len(found) == len(wanted)
    return np.abs((found - found.mean(axis=0)) - (wanted - wanted.mean(axis=0))).max()


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_rings_holes_and_opening(ring, paper):
    (grey,) = inks(ring.plan.paper, paper)
    points = list(ring.job.panel.fixings.points.values())
    holes = rings(grey, ring.plan.fixings[0].hole)
    assert apart(holes, points) < 0.1
    (opening,) = rings(grey, 120.0)
    assert opening - holes.mean(axis=0) == pytest.approx(-np.mean(points, axis=0), abs=0.1)


def test_a_flat_rings_holes_and_bore(flat):
    (grey,) = inks(flat.plan.paper)
    (wide,) = {hole.diameter for hole in flat.plan.holes if hole.ident.role is Role.HOLE}
    fixings = [hole.at for hole in flat.plan.holes if hole.ident.role is Role.HOLE]
    screws = [hole.at for hole in flat.plan.holes if hole.ident.role is Role.SCREW]
    assert apart(rings(grey, wide), fixings) < 0.1
    assert apart(rings(grey, 3.2), screws) < 0.1
    assert len(rings(grey, 117.0)) == 1


def test_a_cups_holes(cup):
    (grey,) = inks(cup.plan.paper)
    round_ones = [stake for stake in cup.plan.stakes if not stake.way]
    for width in {stake.width for stake in round_ones}:
        wanted = [stake.at for stake in round_ones if stake.width == width]
        assert apart(rings(grey, width), wanted) < 0.1
    assert len({stake.width for stake in round_ones}) == 2


def test_a_spacers_outlines(spacer):
    (grey,) = inks(spacer.plan.paper)
    lip = spacer.plan.lip.levels[0][1].box
    for diameter in (lip[2] - lip[0], 29.2, 22.4):
        assert len(rings(grey, diameter)) == 1
    centres = np.array([rings(grey, diameter)[0] for diameter in (lip[2] - lip[0], 29.2, 22.4)])
    assert np.ptp(centres, axis=0).max() < 0.1


def test_every_kind_has_twelve_oclock_and_lines_through_its_centre(all_kinds):
    for made in all_kinds:
        paper = made.plan.paper
        (twelve,) = [item for item in paper.items if isinstance(item, Note) and item.text == "12:00"]
        assert twelve.at[1] > 0
        boxes = [stroke.outline.box for stroke in paper.strokes]
        large = min(max(box[2] for box in boxes), max(box[3] for box in boxes))
        assert max(item.size for item in paper.items if isinstance(item, Cross)) > large
