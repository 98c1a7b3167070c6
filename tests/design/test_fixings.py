"""How wide the holes for a panel's fixings are: as the wanted chance asks for, in bounds of standard and washer."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

import pytest

from mounts.design.chance import Errors, alike, chance
from mounts.design.fixings import fixing_errors, gaps, goes_on, hole_borne, hole_for, hole_wanted
from tests.kinds.ring.conftest import changed, jobs_of


@pytest.fixture(scope="module")
def door():
    return jobs_of("linnet-woofer")[0]


def library_item(name):
    from mounts.load.resolve.library import find_library  # noqa: PLC0415
    from tests.kinds.ring.conftest import PROFILES  # noqa: PLC0415

    return find_library(PROFILES / "jobs" / "linnet-woofer.yaml", None).item(name)[0]


def test_a_hole_is_the_least_tenth_that_is_sure_enough(door):
    hole = hole_for(door)
    assert hole == pytest.approx(round(hole, 1))
    assert goes_on(door, hole) >= 0.95 > goes_on(door, hole - 0.1)


def test_more_fixings_read_worse_need_wider_holes(door):
    rubbed = changed(door, panel__read_with__holes="rubbing")
    assert hole_for(rubbed) > hole_for(door)
    two = {name: door.panel.fixings.points[name] for name in "AC"}
    assert hole_for(changed(door, panel__fixings__at=two)) < hole_for(door)
    assert hole_for(changed(door, sure=0.99)) > hole_for(door) > hole_for(changed(door, sure=0.6))


def test_a_well_read_door_has_the_fine_hole_of_iso_273(door):
    assert hole_for(changed(door, panel__read_with__holes=0.02, printer__error=0.0)) == 5.3
    assert hole_for(changed(door, sure=0.01, panel__read_with__holes=0.02)) == 5.3


def test_no_hole_is_wider_than_its_washer_covers(door):
    bare = changed(door, fix_to_panel=replace(door.fix_to_panel, washer=None), panel__read_with__holes=0.8)
    assert hole_borne(bare) == 6.7  # a head of 9.5 on M5: (9.5 + 5) / 2 - 0.5, a full tenth
    assert hole_for(bare) == 6.7 < hole_wanted(bare)
    assert goes_on(bare, hole_for(bare)) < 0.95


def test_a_job_may_say_by_itself_how_much_wider_its_holes_are(door):
    assert hole_for(changed(door, limits__hole=0.6)) == pytest.approx(5.6)


def test_a_sheet_has_the_error_of_the_saw_and_not_the_printers(door):
    sheet = jobs_of("linnet-front-sheet")[0]
    assert fixing_errors(sheet).made == sheet.limits.cut_error
    assert fixing_errors(door).made == door.printer.error
    assert hole_for(changed(sheet, limits__cut_error=0.0)) < hole_for(sheet)


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
    need = [hole_wanted(job) for job in (bolted, tight)]
    assert need[0] == pytest.approx(max(5.3, need[1] - 0.6), abs=0.11)


def test_a_survey_may_sharpen_some_holes_and_not_others(door):
    """The covariance is the job's; the chance is that of the pattern with it."""
    points = tuple(door.panel.fixings.points.values())
    errors = Errors(alike(4, 0.25).read, door.printer.error, (0.1,) * 4)
    assert goes_on(door, 6.0) == pytest.approx(chance(points, (0.5,) * 4, errors), abs=0.01)


def test_both_sides_have_the_same_holes():
    left, right = jobs_of("linnet-woofer")
    assert hole_for(left) == hole_for(right)
    assert goes_on(left, 6.0) == goes_on(right, 6.0)


def test_the_hole_is_rounded_up(door):
    for sure in (0.5, 0.7, 0.8, 0.9, 0.97):
        job = changed(door, sure=sure)
        assert ceil(hole_wanted(job) * 10 - 1e-6) / 10 == pytest.approx(hole_wanted(job))
        assert goes_on(job, hole_wanted(job)) >= sure
