"""The checks bite: five good rings of the library pass, and each way of spoiling one is caught by its own check."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from mounts.checks.printing.findings import printing_findings
from mounts.checks.ring.readback import ring_readback
from mounts.findings.report import Verdict
from mounts.kernels import mesh
from mounts.kinds.ring.plan import plan_ring
from mounts.kinds.ring.shape import draw_ring
from mounts.load.models.job import AimAngles
from mounts.load.resolve.job import load_job
from tests.checks.printed import changed, nameless
from tests.checks.rings import GOOD, JOBS, SEGMENTS, feature, redrawn, ring

MIRRORED = np.diag([-1.0, 1.0, 1.0])


def failing(made, part):
    """Codes that fail: read back by names and without them (as of a file), and in print."""
    found = [*ring_readback(made.job, made.plan, part), *ring_readback(made.job, made.plan, nameless(part))]
    found += printing_findings(part, made.job.printer)
    return {one.code for one in found if one.verdict is Verdict.FAIL}


def moved_hole(made, name, by):
    """The ring with one fixing's hole moved along x, its recess and tool path left where they were."""
    (hole,) = feature(made, f"hole {name}").bodies
    return redrawn(made, f"hole {name}", replace(hole, frame=hole.frame.shifted(by, 0.0)))


@pytest.fixture(params=GOOD)
def made(request):
    return ring(request.param)


def test_a_good_ring_passes_all(made):
    assert failing(made, made.part) == set()


def test_a_hole_moved_by_0_6_is_caught(made):
    for fixing in made.plan.fixings[:2]:
        assert failing(made, moved_hole(made, fixing.name, 0.6)) == {"hole.position"}
    assert failing(made, moved_hole(made, "A", 0.04)) == set()


def test_a_seat_tilted_by_half_a_degree_is_caught(made):
    """The same ring drawn anew for an aim half a degree off, all else left alone."""
    seat = made.plan.seat
    tilt = seat.tilt - 0.5 if seat.tilt else 0.5
    job = replace(made.job, aim=AimAngles(tilt, seat.toward), height=seat.frame.origin[2], turn=seat.turn)
    caught = failing(made, mesh.build(draw_ring(plan_ring(job)).recipe, SEGMENTS))
    assert "seat.tilt" in caught
    assert caught <= {"seat.tilt", "hole.position"}  # the speaker's pockets lean with it


def test_left_and_right_swapped_are_caught(made):
    """A pattern that does not suit both hands says so itself; where it does, the tilt's clock tells."""
    caught = failing(made, changed(made.part, MIRRORED))
    points = made.job.panel.fixings.points.values()
    off = max(min(np.hypot(x + p, y - q) for p, q in points) for x, y in points)
    clearance = (made.plan.fixings[0].hole - 5.0) / 2  # all five are screwed on by M5
    assert ("hand" in caught) == (off > clearance)
    assert "hole.position" in caught
    leans = abs(made.plan.seat.frame.z[0]) > 0.01
    assert ("seat.toward" in caught) == leans


@pytest.mark.parametrize("name", ["linnet-woofer", "linnet-rear-three-holes", "linnet-slider-oblong"])
def test_the_right_sides_ring_is_no_left_one(name):
    left, right = ring(name), load_job(JOBS / f"{name}.yaml")[1]
    plan = plan_ring(right)
    part = mesh.build(draw_ring(plan).recipe, SEGMENTS)
    assert [one for one in ring_readback(right, plan, part) if one.verdict is not Verdict.PASS] == []
    caught = failing(left, part)
    assert {"hand", "hole.position"} <= caught
    assert ("seat.toward" in caught) == (abs(plan.seat.frame.z[0]) > 0.01)


def test_what_mirrors_into_itself_fits_either_hand():
    made = ring("linnet-tailgate-big-bed")
    (hand,) = [one for one in ring_readback(made.job, made.plan, changed(made.part, MIRRORED)) if one.code == "hand"]
    assert (hand.verdict, hand.what) == (Verdict.PASS, "hand of the hole pattern; either fits")


def test_a_ring_one_per_cent_too_large_is_caught(made):
    caught = failing(made, changed(made.part, 1.01 * np.eye(3)))
    assert {"hole.position", "hole.diameter", "seat.height"} <= caught
    assert not caught & {"seat.tilt", "seat.toward", "seat.flat", "base.flat", "hand"}


def test_a_ring_told_in_inches_is_caught(made):
    caught = failing(made, changed(made.part, 25.4 * np.eye(3)))
    assert {"hole.position", "hand", "seat.height", "bed"} <= caught
    caught = failing(made, changed(made.part, np.eye(3) / 25.4))
    assert {"hole.position", "hand", "seat.height"} & caught


@pytest.mark.parametrize("by", [0.6, -0.6])
def test_a_raised_or_sunk_recess_is_caught(made, by):
    (room,) = feature(made, "recess A").bodies
    assert failing(made, redrawn(made, "recess A", replace(room, high=room.high + by))) == {"recess.depth"}


def test_a_ring_lifted_or_turned_on_the_bed_is_caught(made):
    assert {"base.flat", "seat.height", "print.pose"} <= failing(made, changed(made.part, np.eye(3), (0.0, 0.0, 0.6)))
    turn = np.radians(1.0)
    about = np.array([[np.cos(turn), -np.sin(turn), 0.0], [np.sin(turn), np.cos(turn), 0.0], [0.0, 0.0, 1.0]])
    assert "hole.position" in failing(made, changed(made.part, about))
