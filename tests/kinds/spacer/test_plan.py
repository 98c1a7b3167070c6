"""A spacer's dimensions, each by hand."""

from __future__ import annotations

from math import radians, tan

import pytest

from mounts.geometry.outline import circle, rectangle
from mounts.kinds.spacer.plan import plan_spacer, spacer_pose
from tests.spacers import spacer, spacers

SLIDE = 0.2 * 0.8  # on bed-180, whose error is 0.08


def widths(outline):
    x0, y0, x1, y1 = outline.box
    return (x1 - x0, y1 - y0)


def test_a_round_sleeve(tmp_path):
    plan = plan_spacer(spacer(tmp_path))
    assert widths(plan.outside.wall) == pytest.approx((30 - SLIDE, 30 - SLIDE))
    assert widths(plan.bore.outline) == pytest.approx((20 + SLIDE, 20 + SLIDE))
    assert plan.wall == pytest.approx(5 - SLIDE)
    assert plan.lip is not None
    assert widths(plan.lip.levels[0][1]) == pytest.approx((34, 34))
    assert (plan.front, plan.genus, plan.side, plan.name) == (1.6, 1, "", "any")


def test_the_device_stands_flush_on_a_seat_that_its_edge_meets(tmp_path):
    """Seat of 45 degrees: as wide as the device where the device ends, by its reach narrower as much deeper."""
    plan = plan_spacer(spacer(tmp_path))
    assert plan.stop is not None
    assert (plan.bore.device_front, plan.bore.device_back) == pytest.approx((1.6, 1.6 - 22))
    assert plan.bore.back == pytest.approx(1.6 - 22 + SLIDE / 2)
    assert widths(plan.stop.passage) == pytest.approx((20 - 2.4, 20 - 2.4))
    places = [z for z, _ in plan.bore.levels]
    assert places[1] == pytest.approx(1.6 - 22 - 1.2)
    assert plan.stop.behind == pytest.approx(1.6)
    assert plan.outside.back == pytest.approx(1.6 - 22 - 1.2 - 1.6)


def test_without_a_stop_it_reaches_as_deep_as_the_port(tmp_path):
    assert plan_spacer(spacer(tmp_path, stop=False)).outside.back == -30
    assert plan_spacer(spacer(tmp_path, stop=False, length=12)).outside.back == -12
    assert plan_spacer(spacer(tmp_path, device__length=40)).stop is None  # no room for one, and none was asked for
    assert plan_spacer(spacer(tmp_path, device__bezel={"round": 25})).stop is None  # its bezel is one


def test_a_taper_is_followed(tmp_path):
    plan = plan_spacer(spacer(tmp_path, port__taper=3, stop=False))
    back, rear = plan.outside.levels[1]
    assert widths(rear)[0] == pytest.approx(30 - SLIDE + 2 * back * tan(radians(3)))
    assert plan.wall == pytest.approx(5 - SLIDE - 29.5 * tan(radians(3)))


def test_a_press_comes_from_three_ribs_on_either_face(tmp_path):
    plan = plan_spacer(spacer(tmp_path, fit={"panel": "press", "device": "press"}))
    assert [rib.name for rib in plan.outside.ribs] == ["rib 1", "rib 2", "rib 3"]
    for rib in plan.outside.ribs:
        tip = (rib.centre[0] ** 2 + rib.centre[1] ** 2) ** 0.5 + rib.diameter / 2
        assert tip == pytest.approx(15 + 0.25)
    for rib in plan.bore.ribs:
        tip = (rib.centre[0] ** 2 + rib.centre[1] ** 2) ** 0.5 - rib.diameter / 2
        assert tip == pytest.approx(10 - 0.25)
    assert plan.outside.pressing.clearance == plan.bore.pressing.clearance == -0.5
    assert plan.outside.fit.word == plan.bore.fit.word == "slide"  # the walls themselves go in


def test_a_press_by_the_wall_alone_is_drawn_larger_than_the_opening(tmp_path):
    plan = plan_spacer(spacer(tmp_path, fit={"panel": "press"}, hold={"panel": "wall"}))
    assert plan.outside.ribs == ()
    assert widths(plan.outside.wall)[0] == pytest.approx(30 + 0.1 * 0.8)


def test_measured_hole_growth_widens_the_bore_and_its_ribs_alone(tmp_path):
    press = {"panel": "press", "device": "press"}
    grown, plain = (
        plan_spacer(spacer(tmp_path, printer=printer, fit=press))
        for printer in (
            {"bed": [200, 200, 200], "error": 0.08, "hole_growth": {"asa": 0.3}},
            {"bed": [200, 200, 200], "error": 0.08, "slicer_corrects": True},
        )
    )
    assert widths(grown.bore.outline)[0] == pytest.approx(widths(plain.bore.outline)[0] + 0.3)
    assert grown.bore.ribs[1].centre[1] == pytest.approx(plain.bore.ribs[1].centre[1] - 0.15)
    assert grown.outside.wall == plain.outside.wall
    assert grown.bore.fit.clearance == plain.bore.fit.clearance


def test_a_slit_is_as_wide_as_its_cable_and_has_no_ribs_beside_it(tmp_path):
    plan = plan_spacer(spacer(tmp_path, slit=True, device__cable=4.5, fit={"panel": "press", "device": "press"}))
    assert plan.slit is not None
    assert (plan.slit.width, plan.slit.clock, plan.genus) == (5.0, 180.0, 0)
    for rib in (*plan.outside.ribs, *plan.bore.ribs):
        assert rib.at[1] > 0 or abs(rib.at[0]) > 2.5 + 0.6 + 1.0


def test_halves_are_two_parts_with_as_many_ribs_each(tmp_path):
    jobs = spacers(tmp_path, slit="halves", fit={"panel": "press", "device": "press"})
    plans = [plan_spacer(job) for job in jobs]
    assert [plan.side for plan in plans] == ["a", "b"]
    assert [plan.name for plan in plans] == ["any-a", "any-b"]
    assert [len(plan.outside.ribs) for plan in plans] == [2, 2]
    assert {rib.at[1] > 0 for rib in plans[0].outside.ribs} == {True}
    assert {rib.at[1] > 0 for rib in plans[1].outside.ribs} == {False}


def test_a_bump_stands_behind_the_panel_with_its_play(tmp_path):
    """Its flank of 45 degrees crosses the opening's edge the play behind the panel's back."""
    plan = plan_spacer(spacer(tmp_path, bump=True, slit=True))
    assert plan.bump is not None
    assert widths(plan.bump.levels[1][1])[0] == pytest.approx(30 + 2 * 0.6)
    assert plan.bump.levels[2][0] + plan.bump.height - SLIDE / 2 == pytest.approx(-2.5 - 0.2)


def test_beside_the_opening_s_centre_the_wall_is_thinner_by_the_shift(tmp_path):
    plan = plan_spacer(spacer(tmp_path, at=[0.9, 1.2]))
    assert plan.wall == pytest.approx(5 - SLIDE - 1.5)
    x, y, _ = plan.walls[0].at
    assert (x, y) == pytest.approx((0.9 + (10 + SLIDE / 2) * 0.6, 1.2 + (10 + SLIDE / 2) * 0.8))


@pytest.mark.parametrize(
    ("spec", "outline"),
    [({"rectangle": [24, 14, 2]}, rectangle(24, 14, 2)), ({"round": 22}, circle(22))],
)
def test_any_outline_inside(tmp_path, spec, outline):
    plan = plan_spacer(spacer(tmp_path, device__body=spec))
    assert plan.bore.device.area == pytest.approx(outline.area)


def test_a_d_is_a_circle_with_a_flat_below(tmp_path):
    plan = plan_spacer(spacer(tmp_path, port__opening={"d": [30, 26]}))
    x0, y0, x1, y1 = plan.outside.opening.box
    assert (x0, y0, x1, y1) == pytest.approx((-15, -11, 15, 15))
    assert plan.outside.opening.is_convex


def test_it_is_printed_on_its_front(tmp_path):
    plan = plan_spacer(spacer(tmp_path))
    (_, _, row, _) = spacer_pose(plan)
    assert row == (0.0, 0.0, -1.0, 1.6)  # front at z = 0, the rear end above it


def test_an_outline_from_dxf(tmp_path):
    ezdxf = pytest.importorskip("ezdxf")
    document = ezdxf.new(units=4)
    corners = [(-8, -5), (8, -5), (10, 0), (8, 5), (-8, 5), (-10, 0)]
    document.modelspace().add_lwpolyline(corners, close=True)
    document.saveas(tmp_path / "body.dxf")
    plan = plan_spacer(spacer(tmp_path, device__body={"outline": "body.dxf"}, stop=False))
    assert widths(plan.bore.outline) == pytest.approx((20 + SLIDE, 10 + SLIDE), abs=0.1)  # its points are rounded
    assert plan.wall == pytest.approx(5 - SLIDE, abs=0.1)
    pressed = plan_spacer(spacer(tmp_path, device__body={"outline": "body.dxf"}, stop=False, fit={"device": "push"}))
    assert pressed.bore.ribs == ()
