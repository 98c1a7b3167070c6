"""Fit words resolved from size and process, once."""

from __future__ import annotations

from math import hypot

import pytest

from mounts.design.fits import UNMEASURED, growth_by_size, has_measured_growth, resolve, spread
from mounts.load.models.port import Fits
from mounts.load.models.workshop import Printer

USUAL = Printer(kind="printer", name="usual", bed=(200, 200, 200))
FINE = USUAL.model_copy(update={"error": 0.05})
MEASURED = USUAL.model_copy(update={"hole_growth": {"asa": 0.15}})
CORRECTED = USUAL.model_copy(update={"slicer_corrects": True, "hole_growth": {"asa": 0.15}})


def test_two_standard_deviations_of_a_usual_printer_are_the_guides_0_2():
    assert spread(25.0, USUAL) == pytest.approx(0.2)
    assert spread(25.0, FINE) == pytest.approx(0.1)


def test_spread_and_clearance_grow_with_the_size_above_30_and_never_shrink_below():
    assert growth_by_size(3.0) == growth_by_size(30.0) == 1.0
    assert growth_by_size(180.0) == pytest.approx((0.45 * 180 ** (1 / 3) + 0.18) / (0.45 * 30 ** (1 / 3) + 0.03))
    assert resolve("slide", 180.0, Fits(), USUAL).clearance == pytest.approx(0.2 * growth_by_size(180.0))


@pytest.mark.parametrize(("word", "clearance"), [("press", -0.1), ("push", 0.075), ("slide", 0.2), ("free", 0.4)])
def test_the_words_in_their_order(word, clearance):
    fit = resolve(word, 20.0, Fits(), USUAL)
    assert fit.clearance == pytest.approx(clearance)
    assert (fit.tightest, fit.loosest) == pytest.approx((clearance - 0.2, clearance + 0.2))
    assert fit.drawn == fit.clearance


def test_a_better_printer_fits_closer():
    assert resolve("slide", 20.0, Fits(), FINE).clearance == pytest.approx(0.1)


def test_what_the_port_may_differ_is_added_by_squares():
    assert resolve("push", 20.0, Fits(), USUAL, given=0.15).looser == pytest.approx(hypot(0.2, 0.15))


def test_measured_growth_is_drawn_once_and_is_no_clearance():
    fit = resolve("push", 20.0, Fits(), MEASURED, hole_in="asa")
    assert (fit.growth, fit.drawn, fit.clearance) == pytest.approx((0.15, 0.225, 0.075))
    assert fit.tighter == fit.looser
    assert resolve("push", 20.0, Fits(), MEASURED).growth == 0.0  # an outside


def test_growth_that_the_slicer_corrects_is_not_added_again():
    fit = resolve("push", 20.0, Fits(), CORRECTED, hole_in="asa")
    assert (fit.growth, fit.tighter) == pytest.approx((0.0, 0.2))


def test_growth_that_nobody_measured_may_make_it_tighter():
    assert not has_measured_growth(MEASURED, "petg")
    fit = resolve("push", 20.0, Fits(), MEASURED, hole_in="petg")
    assert fit.tighter == pytest.approx(0.2 + UNMEASURED)
    assert fit.looser == pytest.approx(0.2)


def test_a_job_may_say_what_a_word_means():
    assert resolve("press", 20.0, Fits(press=-0.3), USUAL).clearance == pytest.approx(-0.3)
