"""Holes on both sides of their limits, in a mesh and among exact cylinders; and the hand of a pattern."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest

from mounts.checks.printing.patches import Surface
from mounts.checks.ring.holes import (
    ReadHole,
    WantedHole,
    hand_finding,
    hole_findings,
    read_in_mesh,
    read_in_step,
    wanted_in_ring,
    worst_or_all_that_fail,
)
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import PANEL, tilt_frame
from mounts.geometry.outline import circle
from mounts.kernels.readback import Cylinder
from mounts.shape.primitives import Prism
from tests.checks.printed import block, part_of
from tests.checks.rings import ring
from tests.idents import ident

PASS, FAIL = Verdict.PASS, Verdict.FAIL
POINTS = {"A": (20.0, 10.0), "B": (-20.0, -5.0)}
WANTED = tuple(WantedHole(ident(f"hole {name}"), PANEL, at, 6.0) for name, at in POINTS.items())


def plate(aside=0.0, wider=0.0):
    """A plate with two holes 6 wide, of which B stands aside along y and is wider."""
    holes = tuple(
        Prism(circle(6.0 + (wider if name == "B" else 0.0), (x, y + (aside if name == "B" else 0.0))), -1.0, 6.0)
        for name, (x, y) in POINTS.items()
    )
    return Surface(part_of(block(80.0, 60.0, 5.0), holes=holes))


def findings(surface):
    return list(hole_findings(read_in_mesh(surface, [PANEL]), WANTED, "mesh"))


@pytest.mark.parametrize(("off", "verdict"), [(0.049, PASS), (0.051, FAIL), (-0.051, FAIL)])
def test_a_hole_may_be_a_twentieth_off_its_place(off, verdict):
    place, size = findings(plate(aside=off))
    assert (place.code, place.verdict, place.limit, place.closed_form) == ("hole.position", verdict, 0.05, 0.0)
    assert place.measured == pytest.approx(abs(off), abs=1e-9)
    assert place.what == "offset of hole B from its place, read in the mesh"
    assert place.at == (-20.0, -5.0, 0.0)
    assert place.advice == ("" if verdict is PASS else "it is not at its place; do not use this part")
    assert size.verdict is PASS


@pytest.mark.parametrize(
    ("off", "verdict", "how"), [(0.049, PASS, ""), (0.051, FAIL, "wide"), (-0.049, PASS, ""), (-0.051, FAIL, "narrow")]
)
def test_a_hole_may_be_a_twentieth_off_its_diameter(off, verdict, how):
    place, size = findings(plate(wider=off))
    assert place.verdict is PASS
    assert (size.code, size.verdict, size.closed_form) == ("hole.diameter", verdict, 6.0)
    assert (size.measured, size.limit) == (pytest.approx(6.0 + off, abs=1e-9), pytest.approx(6.05 if off > 0 else 5.95))
    assert size.advice == ("" if verdict is PASS else f"it is too {how}; do not use this part")


def test_a_hole_that_is_not_there_fails_and_a_recess_may_run_out():
    recess = WantedHole(ident("recess A"), PANEL, (5.0, 20.0), 10.0, whole=False)
    (place,) = hole_findings(
        read_in_mesh(plate(), [PANEL]), [WantedHole(ident("hole C"), PANEL, (5.0, 20.0), 6.0), recess], "mesh"
    )
    assert (place.verdict, place.measured) == (FAIL, None)
    assert place.advice == "none like it is near its place; do not use this part"


def test_all_that_fail_are_told_else_the_worst():
    def told(*offs):
        found = [(off, Finding("hole.place", FAIL if off > 1 else PASS, f"{off:g}")) for off in offs]
        return [finding.what for finding in worst_or_all_that_fail(found)]

    assert told(0.1, 0.3, 0.2) == ["0.3"]
    assert told(0.1, 3.0, 0.2, inf) == ["3", "inf"]
    assert told() == []


def test_exact_cylinders_are_read_in_the_frame_that_they_run_along():
    seat = tilt_frame((1.0, 2.0, 20.0), 9.0, 120.0)
    ends = seat.out([(7.0, 3.0, -6.0), (7.0, 3.0, 0.0)])
    start, end = (tuple(float(v) for v in point) for point in ends)
    pocket = Cylinder(start, end, 5.6, True, 360.0)
    (read,) = read_in_step([pocket], [PANEL, seat])
    assert read.frame == seat
    assert read.at == pytest.approx((7.0, 3.0))
    pin, slot = Cylinder(start, end, 5.6, False, 360.0), Cylinder(start, end, 5.6, True, 180.0)
    assert read_in_step([pin, slot], [seat]) == ()


@pytest.mark.parametrize(("lean", "count"), [(0.099, 1), (0.101, 0)])
def test_an_axis_may_lean_by_a_tenth_of_a_degree(lean, count):
    axis = tilt_frame((0.0, 0.0, 0.0), lean, 30.0).z
    assert len(read_in_step([Cylinder((0.0, 0.0, 0.0), axis, 6.0, True, 360.0)], [PANEL])) == count


def hand(holes, points, clearance=0.5):
    read = [ReadHole(PANEL, at, 6.0) for at in holes]
    return hand_finding(read, points, 6.0, clearance, "left")


@pytest.mark.parametrize(("x", "verdict"), [(0.01, PASS), (-0.01, FAIL)])
def test_a_pattern_is_of_the_hand_that_it_is_nearer_to(x, verdict):
    """A hole half way between A and its mirror image, and a little on."""
    found = hand([(x, 0.0), (0.0, 20.0)], {"A": (10.0, 0.0), "B": (0.0, 20.0)})
    assert (found.code, found.verdict) == ("hand", verdict)
    assert (found.measured, found.limit) == (pytest.approx(10.0 - x), pytest.approx(10.0 + x))
    assert found.advice == ("" if verdict is PASS else "this is the part for the other side of the vehicle")


@pytest.mark.parametrize(
    ("clearance", "what"), [(0.51, "hand of the hole pattern; either fits"), (0.49, "hand of the hole pattern, left")]
)
def test_a_pattern_within_its_clearance_of_its_mirror_image_fits_either_hand(clearance, what):
    points = {"A": (58.0, 53.5), "D": (-58.0, 54.0)}
    found = hand(points.values(), points, clearance)
    assert (found.verdict, found.what) == (PASS, what)


def test_no_holes_no_hand():
    found = hand([], {"A": (10.0, 0.0)})
    assert (found.verdict, found.measured, found.advice) == (FAIL, None, "it has no hole like the fixings'")


def test_every_hole_of_a_ring_is_wanted_at_the_panels_own_points():
    made = ring("linnet-rear-three-holes")
    points = made.job.panel.fixings.points
    wanted = wanted_in_ring(made.plan, points)
    screws = len(made.plan.seat.screws)
    assert [one.ident.label for one in wanted if one.frame == PANEL] == [
        f"{what} {name}" for name in points for what in ("hole", "recess")
    ]
    assert sum(one.ident.label.startswith("speaker screw") for one in wanted) == screws
    assert {one.at for one in wanted if one.frame == PANEL} == set(points.values())
    assert np.allclose(
        [one.diameter for one in wanted if one.ident.label.startswith("hole")], made.plan.fixings[0].hole
    )
