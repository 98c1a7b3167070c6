"""How wide the holes for a panel's fixings are: as the wanted chance asks for, in bounds of standard and washer."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

import pytest

from mounts.design.chance import Errors, chance, raise_share, same_errors
from mounts.kinds.ring.base import choose_hole, fit_chance, fixing_errors, gaps, largest_hole, wanted_hole
from tests.kinds.ring.conftest import changed, jobs_of


@pytest.fixture(scope="module")
def door():
    """The demo on a printer whose slicer corrects what a coupon shows."""
    return changed(jobs_of("linnet-woofer")[0], printer__slicer_corrects=True)


def library_item(name):
    from mounts.load.resolve.library import find_library
    from tests.kinds.ring.conftest import PROFILES

    return find_library(PROFILES / "jobs" / "linnet-woofer.yaml", None).item(name)[0]


def test_a_hole_is_the_least_tenth_that_is_sure_enough(door):
    hole = choose_hole(door)
    assert hole == pytest.approx(round(hole, 1))
    assert fit_chance(door, hole) >= 0.95
    points, narrower = tuple(door.panel.fixings.points.values()), gaps(door, hole - 0.1)
    assert chance(points, narrower, fixing_errors(door), sizes=True) < raise_share(0.95)
    assert choose_hole(changed(door, printer__slicer_corrects=False)) == hole  # what a coupon shows is not its business


def test_more_fixings_read_worse_need_wider_holes(door):
    rubbed = changed(door, panel__read_with__holes="rubbing")
    assert choose_hole(rubbed) > choose_hole(door)
    two = {name: door.panel.fixings.points[name] for name in "AC"}
    assert choose_hole(changed(door, panel__fixings__at=two)) < choose_hole(door)
    assert choose_hole(changed(door, sure=0.99)) > choose_hole(door) > choose_hole(changed(door, sure=0.6))


def test_a_well_read_door_has_the_fine_hole_of_iso_273(door):
    assert choose_hole(changed(door, panel__read_with__holes=0.02, printer__error=0.0)) == 5.3
    assert choose_hole(changed(door, sure=0.01, panel__read_with__holes=0.02)) == 5.3


def test_no_hole_is_wider_than_its_washer_covers(door):
    bare = changed(door, fix_to_panel=replace(door.fix_to_panel, washer=None), panel__read_with__holes=0.8)
    assert largest_hole(bare) == 6.7  # a head of 9.5 on M5: (9.5 + 5) / 2 - 0.5, a full tenth
    assert choose_hole(bare) == 6.7 < wanted_hole(bare)
    assert fit_chance(bare, choose_hole(bare)) < 0.95


def test_a_job_may_say_by_itself_how_much_wider_its_holes_are(door):
    assert choose_hole(changed(door, limits__hole=0.6)) == pytest.approx(5.6)


def test_a_sheet_has_the_error_of_the_saw_and_not_the_printers(door):
    sheet = jobs_of("linnet-front-sheet")[0]
    assert fixing_errors(sheet).made == sheet.limits.cut_error
    assert fixing_errors(door).made == door.printer.error
    assert choose_hole(changed(sheet, limits__cut_error=0.0)) < choose_hole(sheet)


def test_a_nut_plays_in_the_hole_that_is_opened_for_it(door):
    # rivet-nut-m5: hole 7.2, body 7.1; the demo's holes of 7.0 are opened
    assert fixing_errors(door).plays == pytest.approx((0.1,) * 4)
    wide = changed(door, panel__fixings__hole=7.4)
    assert fixing_errors(wide).plays == pytest.approx((0.3,) * 4)
    thread = changed(door, fix_to_panel=replace(door.fix_to_panel, hardware=library_item("thread-m5")))
    assert fixing_errors(thread).plays == (0.0,) * 4


def test_a_bolt_right_through_floats_in_the_panel_too(door):
    """Floating fastener, ISO 5458: H = F + T in each part. Play in the panel's hole is play in the mount's."""
    through = replace(door.fix_to_panel, hardware=library_item("through-m5"))
    bolted = changed(door, fix_to_panel=through, panel__fixings__hole=5.6)
    assert gaps(bolted, 5.4) == pytest.approx((0.2 + 0.3,) * 4)
    tight = changed(bolted, panel__fixings__hole=5.0)
    need = [wanted_hole(job) for job in (bolted, tight)]
    assert need[0] == pytest.approx(max(5.3, need[1] - 0.6), abs=0.11)


def test_a_survey_may_sharpen_some_holes_and_not_others(door):
    """The covariance is the job's; the chance is that of the pattern with it."""
    points = tuple(door.panel.fixings.points.values())
    errors = Errors(same_errors(4, 0.25).read, door.printer.error, (0.1,) * 4)
    assert fit_chance(door, 6.0) == pytest.approx(chance(points, (0.5,) * 4, errors), abs=0.01)


def test_both_sides_have_the_same_holes():
    left, right = jobs_of("linnet-woofer")
    assert choose_hole(left) == choose_hole(right)
    assert fit_chance(left, 6.0) == fit_chance(right, 6.0)


def test_the_hole_is_rounded_up(door):
    for sure in (0.5, 0.7, 0.8, 0.9, 0.97):
        job = changed(door, sure=sure)
        assert ceil(wanted_hole(job) * 10 - 1e-6) / 10 == pytest.approx(wanted_hole(job))
        assert fit_chance(job, wanted_hole(job)) >= sure
