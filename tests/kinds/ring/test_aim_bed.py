"""The printer's bed as a limit of the best pose: held on the finished mesh, in closed form, and against a grid."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin

import numpy as np
import pytest

from mounts.checks.chosen_pose import aim_findings
from mounts.checks.printing.findings import bed_finding, convex_hull
from mounts.findings.report import Finding, Verdict
from mounts.kernels import mesh
from mounts.kinds.ring.halves.plan import parts_of, plan_part, split_advice
from mounts.kinds.ring.halves.search import split_bed_room
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.job import AimAngles
from mounts.load.models.surroundings import InFront
from tests.idents import labels
from tests.kinds.ring.aimed import aimed, angle, bare, flat, solved
from tests.kinds.ring.conftest import changed, jobs_of
from tests.kinds.ring.test_aim_grid import BETTER, best_on

RADIUS, EDGE, LIFT = 136.8 / 2, 0.6, 1.2  # of the demo woofer's seat, and of its flange above it


@pytest.fixture(scope="module")
def door() -> RingJob:
    """The demo woofer on its door, all to be found; on any bed its top is at 33.9."""
    return aimed(jobs_of("linnet-woofer")[0])


def on(job: RingJob, x: float, y: float, z: float) -> RingJob:
    """A job on a printer with another bed."""
    return changed(job, printer__bed=(x, y, z))


def told(job: RingJob, plan: RingPlan) -> Finding:
    """What the check of the bed says of the finished mesh."""
    points = mesh.build(draw_ring(plan).recipe, 256).vertices
    return bed_finding(convex_hull(points[:, :2]), float(np.ptp(points[:, 2])), job.printer)


def limit_of(plan: RingPlan):
    """The bed among the limits that hold a place."""
    assert plan.choice is not None
    (found,) = (one for one in plan.choice.active if one.code == "bed")
    return found


@pytest.mark.parametrize("height", ["best", "least", 20.0])
def test_a_low_printer_lowers_the_seat_and_all_of_its_height_is_used(door, height):
    job = changed(on(door, 250, 250, 28), height=height)
    plan = plan_ring(job)
    found = told(job, plan)
    assert plan.choice.misses == 0
    assert found.verdict is Verdict.PASS
    assert found.closed_form <= (0.1 if height == "least" else 0.05)  # the least height is told in tenths
    assert (limit_of(plan).reading, limit_of(plan).unit) == ("printer.bed.2", "mm")


def test_what_a_millimetre_of_height_is_said_to_bring_is_what_it_brings(door):
    plan = plan_ring(on(door, 250, 250, 30))
    assert limit_of(plan).gives == pytest.approx(plan.choice.angle - angle(solved(on(door, 250, 250, 31))), abs=0.05)
    said = [one.what for one in aim_findings(plan.choice)]
    words = "to the height that bed-250 prints, which holds the place; 1 mm more there gains 0.4°"
    assert any(words in one for one in said)


@pytest.mark.parametrize("tilt", [0.0, 5.0, 12.0])
def test_the_greatest_height_on_a_low_printer_in_closed_form(tilt):
    """The top is on the seat's broken edge, or on one of the hard stops under the flange."""
    far = {"panel__in_front": InFront(grille=flat(90.0)), "speaker__terminals": ()}
    job = on(bare(sought=None, aim=AimAngles(tilt, 315.0), turn=0.0, **far), 250, 250, 45)
    plan, rise, level = plan_ring(job), sin(radians(tilt)), cos(radians(tilt))
    uphill = max((x - y) / 2**0.5 for x, y in plan.seat.stops) + plan.seat.stop / 2  # away from 10:30
    top = max(RADIUS * rise - EDGE * level, (RADIUS - EDGE) * rise, LIFT * level + uphill * rise)
    assert plan.seat.frame.origin[2] == pytest.approx(45 - top, abs=0.04)
    assert limit_of(plan).gives == pytest.approx(1.0, abs=0.01)


def test_no_pose_of_the_grid_that_the_printer_s_height_allows_is_better(door):
    found = solved(on(door, 250, 250, 26))
    assert best_on(found, angle(found) - BETTER) == angle(found) - BETTER
    assert best_on(solved(door), angle(found) - BETTER) < angle(found) - BETTER  # without it there is one


def two_eared(y: float) -> RingJob:
    """A ring as wide as its tower, its fixings at its two ends: where it leans, its tower stands out."""
    places = {"A": (84.0, 12.0), "B": (84.0, -12.0), "C": (-84.0, 12.0), "D": (-84.0, -12.0)}
    given = {"panel__fixings__at": places, "panel__opening__round": 116.0, "gaskets__base": None}
    job = bare(panel__in_front=InFront(grille=flat(70.0)), speaker__terminals=(), in_two=False, **given)
    return on(job, 250, y, 250)


def test_a_narrow_bed_holds_the_tower_and_all_of_its_width_is_used():
    free, job = plan_ring(two_eared(250)), two_eared(138)
    plan = plan_ring(job)
    found = told(job, plan)
    assert plan.choice.misses == 0
    assert found.verdict is Verdict.PASS
    assert found.closed_form <= 0.05
    limit = limit_of(plan)
    assert limit.reading == "printer.bed"
    assert labels(limit.between) == ("the mount's outline", "the edge of bed-250's bed")
    assert -1 < told(job, free).closed_form < 0  # with a millimetre more the best place of all goes on it
    assert limit.gives == pytest.approx(plan.choice.angle - free.choice.angle, abs=0.05)
    assert limit.gives > 0.1


def test_a_large_bed_changes_nothing(door):
    assert plan_ring(on(door, 250, 250, 250)).choice == plan_ring(on(door, 2000, 2000, 2000)).choice


@pytest.mark.parametrize("size", [(250, 250, 11), (120, 120, 250)])
def test_where_even_the_least_ring_is_too_large_it_is_as_if_there_were_no_bed(door, size):
    job = changed(on(door, *size), in_two=False)
    plan = plan_ring(job)
    assert plan.choice == plan_ring(door).choice
    found = told(job, plan)
    assert found.verdict is Verdict.FAIL
    assert "take a larger printer" in found.advice
    assert bool(split_advice(job, plan)) is (size[2] == 250)  # two halves are as high as the whole


def test_where_nothing_fits_on_a_low_printer_it_is_named(door):
    """The rail behind wants a seat at 18.9 at least, whose stops end at 20.1: the rail is missed, not the printer."""
    plan = plan_ring(on(door, 250, 250, 17))
    assert plan.choice.misses == pytest.approx(20.1 - 17, abs=0.1)
    assert told(on(door, 250, 250, 17), plan).verdict is Verdict.PASS
    assert limit_of(plan).gives == pytest.approx(1.0, abs=0.1)
    words = {one.code: one for one in plan.choice.active}
    assert words["clear.thing"].gives == pytest.approx(1.0, abs=0.1)


def test_a_ring_that_may_come_in_two_does_so_only_where_no_pose_keeps_it_whole():
    wide = aimed(jobs_of("linnet-tailgate-halves")[0], panel__ears=jobs_of("linnet-woofer")[0].panel.ears)
    job = replace(wide, seat_offset=(0.0, 0.0))
    assert job.in_two == "as needed"
    parts = parts_of(job)
    assert [part.half for part in parts] == ["a", "b"]
    plan = plan_part(parts[0])
    assert split_bed_room(parts[0], plan.split) >= 0
    assert plan.choice.misses == 0
    assert plan.choice == plan_ring(on(job, 250, 250, 250)).choice  # the whole goes on that one
    assert parts_of(on(job, 250, 250, 250)) == (on(job, 250, 250, 250),)
