"""Spacers against what others have published, and against their own STEP read back with fresh eyes."""

from __future__ import annotations

from math import hypot, sqrt

import pytest

from mounts import pipeline
from mounts.design.fits import resolve, tolerance_unit
from mounts.kernels.readback import read_cylinders
from mounts.load.models.port import Fits
from mounts.load.models.workshop import Printer
from mounts.load.resolve.library import Library
from mounts.write.step import step_bytes
from tests.spacers import PROFILES, spacer

# ISO 286-1, standard tolerances in µm by size band (the tables of the Python package pressfit)
BANDS = ((3, 6), (6, 10), (10, 18), (18, 30), (80, 120), (120, 180))
IT10 = (48, 58, 70, 84, 140, 160)
IT11 = (75, 90, 110, 130, 220, 250)
# the same from memory, so never alone
IT12 = (120, 150, 180, 210, 350, 400)
IT13 = (180, 220, 270, 330, 540, 630)
IT14 = (300, 360, 430, 520, 870, 1000)


@pytest.mark.parametrize(
    ("units", "table"),
    [(64, IT10), (100, IT11), (160, IT12), (250, IT13), (400, IT14)],
    ids=["10", "11", "12", "13", "14"],
)
def test_the_tolerance_unit_gives_iso_286_s_tables(units, table):
    """A grade is so many units at the geometric mean of its band, rounded by the standard to about 5 %."""
    for (low, high), published in zip(BANDS, table, strict=True):
        assert units * tolerance_unit(sqrt(low * high)) == pytest.approx(published, rel=0.055)


def test_a_usual_printer_s_spread_is_between_it12_and_it14():
    """Studies grade printed parts by ISO 286, usually IT12 to IT14 (from memory); ±0.2 at 30 mm is 0.4 in all."""
    usual = Printer(kind="printer", name="usual", bed=(200, 200, 200))
    for size in (30.0, 40.0, 80.0, 120.0, 180.0):
        fit = resolve("slide", size, Fits(), usual)
        unit = tolerance_unit(size) / 1000
        assert 160 * unit < fit.loosest - fit.tightest < 400 * unit


@pytest.mark.parametrize(
    ("word", "least", "most"), [("press", -0.1, -0.05), ("push", 0.05, 0.1), ("slide", 0.2, 0.2), ("free", 0.3, 0.5)]
)
def test_the_words_lie_in_the_print_guides_bands(word, least, most):
    """Clearance on the diameter: press 0.05 to 0.1 of interference, push 0.05–0.1, slip 0.2, loose 0.3–0.5.

    The row for a press reads "−0.05…0.1"; another guide says about 0.1 of interference: the sign is taken for both.
    """
    usual = Printer(kind="printer", name="usual", bed=(200, 200, 200), slicer_corrects=True)
    assert least <= resolve(word, 20.0, Fits(), usual, hole_in="asa").drawn <= most


def test_a_rib_bites_as_the_moulding_guide_says():
    """0.25 mm (0.01 in) between rib tip and part, at least three ribs."""
    assert Fits().rib == pytest.approx(0.01 * 25.4, abs=0.005)
    assert Fits().ribs >= 3


PUBLISHED = {  # widths across, and depth behind where one is published
    "usb-c-receptacle": ("body", 8.94, 3.26, 7.35),  # OpenSCAD parts library OFL
    "usb-a-receptacle": ("body", 13.25, (5.8, 6.5), (10, 17)),  # OFL: the range of makers
    "iso-4165": ("body", 20.0, 20.0, None),  # ISO 4165, body diameter
    "jack-3.5": ("body", 6.0, 5.0, 12.1),  # a keyboard parts file
    "iso-7736": ("opening", 182.0, (52, 53), None),  # one page reads 52, trade usage is 53
}


@pytest.mark.parametrize("name", Library(PROFILES).names("port"))
def test_ports_are_as_published_and_say_where_from(name):
    port = Library(PROFILES).get("port", name, PROFILES / "x.yaml").value
    what, wide, high, deep = PUBLISHED[name]
    x0, y0, x1, y1 = getattr(port, what).outline().box
    for size, published in ((x1 - x0, wide), (y1 - y0, high), (port.length, deep)):
        if isinstance(published, tuple):
            assert size is not None
            assert published[0] <= size <= published[1]
            assert port.tolerance >= max(published[1] - size, size - published[0]) - 1e-9 or published is deep
        elif published is not None:
            assert size == pytest.approx(published)
    assert "read" in port.source
    assert "measure yours" in port.confidence.lower()


def test_the_overmould_of_a_usb_c_plug_from_memory():
    port = Library(PROFILES).get("port", "usb-c-receptacle", PROFILES / "x.yaml").value
    assert port.plug.rectangle[:2] == (12.35, 6.5)
    assert "from memory" in port.confidence


def test_ribs_read_back_from_step(tmp_path):
    """Every rib is a cylinder of 1.2 in its place, its tip 0.25 past what it presses on; the bore is one of 20.16."""
    made = pipeline.make(spacer(tmp_path, fit={"panel": "press", "device": "press"}))
    found = read_cylinders(step_bytes(made.part))
    ribs = [c for c in found if abs(c.diameter - 1.2) < 1e-6 and not c.hole]
    outer = [c for c in ribs if hypot(*c.start[:2]) + 0.6 == pytest.approx(15.25, abs=1e-6)]
    inner = [c for c in ribs if hypot(*c.start[:2]) - 0.6 == pytest.approx(9.75, abs=1e-6)]
    assert (len(outer), len(inner)) == (3, 3)
    for cylinder in outer:
        assert cylinder.start[2] == pytest.approx(-2.5, abs=1e-6)  # the panel's thickness, then it slopes away
        assert cylinder.end[2] == pytest.approx(0.0, abs=1e-6)
    bores = {round(c.diameter, 4) for c in found if c.hole}
    assert bores == {20.16, 20.26, 17.6}  # at the ribs, below them, passage


def test_a_slit_read_back_from_step(tmp_path):
    """Cylinders of sleeve and bore lack the angle that the slit takes: 2 asin(w / d)."""
    from math import asin, degrees

    made = pipeline.make(spacer(tmp_path, slit=True, slit_width=5))
    found = read_cylinders(step_bytes(made.part))
    for diameter, hole in ((29.84, False), (20.16, True), (34.0, False)):
        (one,) = [c for c in found if c.diameter == pytest.approx(diameter) and c.hole is hole]
        assert 360 - one.sweep == pytest.approx(2 * degrees(asin(5 / diameter)), abs=1e-6)


def test_a_bump_read_back_from_step(tmp_path):
    """Its crest is a cylinder 0.6 past the opening, 0.4 broad, its flank 45 degrees from there to the edge."""
    made = pipeline.make(spacer(tmp_path, slit=True, slit_width=5, bump=True))
    (crest,) = [c for c in read_cylinders(step_bytes(made.part)) if c.diameter == pytest.approx(31.2)]
    assert crest.end[2] - crest.start[2] == pytest.approx(0.4)
    assert crest.end[2] == pytest.approx(-(2.5 + 0.2 + 0.6))  # behind panel and play, down its flank
