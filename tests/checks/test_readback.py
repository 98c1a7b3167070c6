"""A ring read back from its mesh and its STEP: each value off its plan by just less and by just more than it may be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from mounts.checks.printing.patches import Surface
from mounts.checks.ring.readback import (
    find_seat,
    flatness_finding,
    recess_findings,
    ring_readback,
    rocking_findings,
    seat_findings,
    sheet_readback,
    underside_heights,
)
from mounts.findings.report import Verdict
from mounts.geometry.frames import tilt_frame
from mounts.geometry.outline import circle, rectangle
from mounts.kernels import brep
from mounts.kinds.ring.flat import draw_flat, plan_flat
from mounts.kinds.ring.pieces import Recess
from mounts.load.resolve.job import load_job
from mounts.shape.primitives import Prism
from mounts.write.step import step_bytes
from tests.checks.printed import block, changed, nameless, part_of
from tests.checks.rings import GOOD, JOBS, redrawn, ring

PASS, FAIL = Verdict.PASS, Verdict.FAIL
CODES = {
    "hand", "hole.position", "hole.diameter", "base.flat", "base.rocks", "recess.depth",
    "seat.flat", "seat.tilt", "seat.toward", "seat.height",
}  # fmt: skip


def seat_on(tilt=8.0, toward=315.0, height=22.0):
    """A plain ring cut off by the plane that is given, beside the seat of the demo's plan: 8 towards 10:30 at 22."""
    plan = ring("linnet-woofer").plan
    cut = Prism(rectangle(300.0, 300.0, 0.0), 0.0, 90.0, tilt_frame((0.0, 0.0, height), tilt, toward))
    part = part_of(Prism(plan.seat.outline, 0.0, 60.0, islands=(plan.seat.bore,)), trim=cut)
    found = {f.code: f for f in seat_findings(Surface(nameless(part)), plan.seat)}
    assert list(found) == ["seat.flat", "seat.tilt", "seat.toward", "seat.height"]
    return found


@pytest.mark.parametrize("name", GOOD)
def test_a_good_ring_passes_all_named_or_not(name):
    made = ring(name)
    wanted = CODES - ({"seat.toward"} if made.plan.seat.tilt == 0 else set())
    for part in (made.part, nameless(made.part)):
        found = ring_readback(made.job, made.plan, part)
        assert {f.code for f in found} == wanted
        assert [f for f in found if f.verdict is not PASS] == []
        seat = {f.code: f for f in found}
        assert seat["seat.tilt"].measured == pytest.approx(made.plan.seat.tilt, abs=1e-6)
        assert seat["seat.height"].measured == pytest.approx(made.plan.seat.frame.origin[2], abs=1e-6)
        assert seat["seat.flat"].measured == pytest.approx(0.0, abs=1e-9)
        assert seat["hole.position"].measured == pytest.approx(
            0.0, abs=5e-3
        )  # a cut chord's ends lie beside the circle


@pytest.mark.parametrize(("off", "verdict"), [(0.098, PASS), (0.102, FAIL), (-0.098, PASS), (-0.102, FAIL)])
def test_a_tilt_may_be_a_tenth_of_a_degree_off(off, verdict):
    found = seat_on(tilt=8.0 + off)["seat.tilt"]
    assert (found.verdict, found.closed_form, found.unit) == (verdict, 8.0, "deg")
    assert found.measured == pytest.approx(8.0 + off, abs=1e-9)
    assert found.limit == pytest.approx(8.1 if off > 0 else 7.9)
    assert found.advice == ("" if verdict is PASS else "it is off its plan; do not use this part")


@pytest.mark.parametrize(("off", "verdict"), [(0.098, PASS), (0.102, FAIL), (-0.102, FAIL)])
def test_a_clock_may_be_a_tenth_of_a_degree_off(off, verdict):
    found = seat_on(toward=315.0 + off)["seat.toward"]
    assert (found.verdict, found.measured) == (verdict, pytest.approx(315.0 + off, abs=1e-9))


def test_a_clock_is_read_across_noon():
    plan = ring("linnet-woofer").plan
    for drawn, planned in ((359.95, 0.0), (0.05, 359.99)):
        seat = replace(plan.seat, toward=planned, frame=tilt_frame((0.0, 0.0, 22.0), 8.0, planned))
        cut = Prism(rectangle(300.0, 300.0, 0.0), 0.0, 90.0, tilt_frame((0.0, 0.0, 22.0), 8.0, drawn))
        part = part_of(Prism(seat.outline, 0.0, 60.0, islands=(seat.bore,)), trim=cut)
        found = {f.code: f for f in seat_findings(Surface(nameless(part)), seat)}["seat.toward"]
        assert found.verdict is PASS
        assert found.measured - planned == pytest.approx((drawn - planned + 180) % 360 - 180, abs=1e-6)


@pytest.mark.parametrize(("off", "verdict"), [(0.049, PASS), (0.051, FAIL), (-0.049, PASS), (-0.051, FAIL)])
def test_a_height_may_be_a_twentieth_off(off, verdict):
    found = seat_on(height=22.0 + off)["seat.height"]
    assert (found.verdict, found.closed_form) == (verdict, 22.0)
    assert found.measured == pytest.approx(22.0 + off, abs=1e-9)


@pytest.mark.parametrize(("dent", "verdict"), [(0.049, PASS), (0.051, FAIL)])
def test_a_seat_may_be_a_twentieth_uneven(dent, verdict):
    """Its corners alternate up and down along the axis, so that the plane through them stays."""
    plan = ring("linnet-cargo-glass").plan
    part = part_of(Prism(plan.seat.outline, 0.0, plan.seat.frame.origin[2], islands=(plan.seat.bore,)))
    vertices = part.vertices.copy()
    top = np.flatnonzero(vertices[:, 2] > 1.0)
    clock = np.arctan2(vertices[top, 1], vertices[top, 0])
    vertices[top, 2] += dent / 2 * np.sign(np.cos(2 * clock))
    found = {f.code: f for f in seat_findings(Surface(nameless(replace(part, vertices=vertices))), plan.seat)}
    assert found["seat.flat"].verdict is verdict
    assert found["seat.flat"].measured == pytest.approx(dent, abs=2e-3)


def test_a_let_in_seat_is_the_bottom_of_its_bed():
    made = ring("linnet-front-flush")
    flat, level = find_seat(Surface(made.part), made.plan.seat)
    assert (flat.feature.label, level) == ("gasket bed", 0.0)
    bare = replace(made.plan.seat, gasket=None)
    flat, level = find_seat(Surface(made.part), bare)
    assert (flat.feature.label, level) == ("flange room", made.plan.seat.lift)
    found = {f.code: f for f in seat_findings(Surface(made.part), bare)}
    assert found["seat.height"].measured == pytest.approx(made.plan.seat.frame.origin[2], abs=1e-6)


def test_no_seat_is_said():
    plan = ring("linnet-woofer").plan
    (found,) = seat_findings(Surface(part_of(Prism(circle(20.0), 0.0, 5.0))), plan.seat)
    assert (found.code, found.verdict) == ("seat.flat", FAIL)
    assert found.advice == "no flat face is there where the speaker should sit; do not use this part"


@pytest.mark.parametrize(("lift", "verdict"), [(0.049, PASS), (0.051, FAIL), (-0.051, FAIL)])
def test_the_underside_lies_on_the_face(lift, verdict):
    part = changed(part_of(block(60.0, 40.0, 6.0)), np.eye(3), (0.0, 0.0, lift))
    found = flatness_finding(Surface(part))
    assert (found.code, found.verdict) == ("base.flat", verdict)
    assert found.measured == pytest.approx(lift)


@pytest.mark.parametrize(("slope", "verdict"), [(0.049, PASS), (0.051, FAIL)])
def test_an_underside_that_slopes_is_off_at_its_end(slope, verdict):
    tip = np.eye(3)
    tip[2, 0] = slope / 30.0
    found = flatness_finding(Surface(changed(part_of(block(60.0, 40.0, 6.0)), tip)))
    assert found.verdict is verdict
    assert abs(found.measured) == pytest.approx(slope)
    assert abs(found.at[0]) == pytest.approx(30.0)


def test_a_part_in_the_air_has_no_underside():
    found = flatness_finding(Surface(changed(part_of(block(60.0, 40.0, 6.0)), np.eye(3), (0.0, 0.0, 1.0))))
    assert (found.verdict, found.measured) == (FAIL, None)
    assert found.advice == "nothing lies on the face; do not use this part"


def stepped(height):
    """A base with a raised underside round one of the demo's fixings, and the plan of such a fixing."""
    fixing = replace(ring("linnet-woofer").plan.fixings[0], at=(0.0, 0.0), step=1.2, recess=Recess(9.9, 1.0))
    step = Prism(circle(24.0), -1.0, height)
    recess, hole = Prism(circle(9.9), -1.0, height + 1.0), Prism(circle(6.0), -1.0, 9.0)
    return Surface(part_of(block(60.0, 60.0, 8.0), step_A=step, recess_A=recess, hole_A=hole)), [fixing]


@pytest.mark.parametrize(
    ("off", "verdict", "how"),
    [
        (0.049, PASS, ""),
        (-0.049, PASS, ""),
        (0.051, FAIL, "it hangs in the air there, and its screw bends it; measure the heights again"),
        (-0.051, FAIL, "it stands on it and rocks; measure the heights again"),
    ],
)
def test_a_base_bears_on_the_face_where_it_is_higher(off, verdict, how):
    (found,) = rocking_findings(*stepped(1.2 + off))
    assert (found.code, found.verdict, found.advice) == ("base.rocks", verdict, how)
    assert found.measured == pytest.approx(off)


@pytest.mark.parametrize(("off", "verdict"), [(0.049, PASS), (0.051, FAIL), (-0.051, FAIL)])
def test_a_recess_is_as_deep_as_planned(off, verdict):
    """Its roof lies at 1.2 + 1.0; the plan is changed, the part stays."""
    surface, (fixing,) = stepped(1.2)
    (found,) = recess_findings(surface, [replace(fixing, recess=Recess(9.9, 1.0 - off))])
    assert (found.code, found.verdict) == ("recess.depth", verdict)
    assert (found.measured, found.closed_form) == (pytest.approx(1.0), pytest.approx(1.0 - off))


def test_the_underside_is_the_lowest_face_over_a_place():
    part = part_of(block(60.0, 60.0, 8.0), groove=Prism(circle(40.0), -1.0, 2.5, islands=(circle(30.0),)))
    heights = underside_heights(Surface(part), [(0.0, 0.0), (17.5, 0.0), (0.0, -17.5), (25.0, 25.0), (31.0, 0.0)])
    assert heights == pytest.approx([0.0, 2.5, 2.5, 0.0])  # the last lies beside the part


def test_the_exact_solid_and_its_step_are_read_as_well():
    """The square speaker's ring: holes from its STEP, and from the solid that this was written from."""
    made = ring("linnet-rear-square")
    part = brep.build(made.recipe)
    by_solid = ring_readback(made.job, made.plan, part)
    by_step = ring_readback(made.job, made.plan, part, step_bytes(part))
    for found, where in ((by_solid, "solid"), (by_step, "STEP")):
        assert [f for f in found if f.verdict is not PASS] == []
        exact = [f for f in found if f.what.endswith(f"read in the {where}")]
        assert [f.code for f in exact] == ["hole.position", "hole.diameter"]
        assert exact[0].measured == pytest.approx(0.0, abs=1e-6)


def test_a_step_with_a_hole_aside_is_caught_in_the_step():
    made = ring("linnet-woofer")
    points = dict(made.job.panel.fixings.points)
    x, y = points["B"]
    bent = replace(made.job, panel=moved(made.job.panel, {**points, "B": (x + 0.06, y)}))
    step = step_bytes(brep.build(made.recipe))
    found = [f for f in ring_readback(bent, made.plan, made.part, step) if f.verdict is not PASS]
    assert [f.what for f in found] == [
        f"offset of {what} B from its place, read in the {where}"
        for where in ("mesh", "STEP")
        for what in ("hole", "recess")
    ]
    assert [f.measured for f in found] == pytest.approx([0.06] * 4)


def moved(panel, points):
    """The panel with its fixings elsewhere."""
    return panel.model_copy(update={"fixings": panel.fixings.model_copy(update={"at": points})})


def test_a_ring_cut_from_sheet_is_read_back():
    job = load_job(JOBS / "linnet-front-sheet.yaml")[1]
    plan = plan_flat(job)
    part = brep.build(draw_flat(plan).recipe)
    found = sheet_readback(job, plan, part)
    assert {f.code for f in found} == CODES - {"base.rocks", "recess.depth", "seat.toward"}
    assert [f for f in found if f.verdict is not PASS] == []
    thick = changed(part, np.diag([1.0, 1.0, 1.01]))
    assert [f.code for f in sheet_readback(job, plan, thick) if f.verdict is FAIL] == ["seat.height"]


def test_a_recess_that_is_missing_is_no_recess():
    made = ring("linnet-woofer")
    part = redrawn(made, "recess A", Prism(circle(1.0, (0.0, 0.0)), -1.0, 1.0))
    found = [f for f in ring_readback(made.job, made.plan, part) if f.verdict is FAIL]
    assert [(f.code, f.what) for f in found] == [("recess.depth", "depth of recess A, read back")]
    assert found[0].measured == pytest.approx(0.0)
