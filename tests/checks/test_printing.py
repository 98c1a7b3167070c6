"""Printing checks on bodies whose print is known by formula: each limit just kept and just missed."""

from __future__ import annotations

from math import hypot, pi, radians, sqrt, tan

import numpy as np
import pytest

from mounts.checks.printing.findings import (
    contact_findings,
    label_findings,
    least_in_layers,
    overhang_findings,
    pose_findings,
    printing_findings,
)
from mounts.checks.printing.least_feature import manifold_of, narrowest_material, stroke_width
from mounts.checks.printing.overhangs import find_overhangs
from mounts.design.lettering import Label, Letter
from mounts.findings.report import Verdict
from mounts.geometry.frames import PANEL, Frame, tilt_frame
from mounts.geometry.outline import circle, polygon, rectangle
from mounts.shape.primitives import Prism, Ruled, Section
from tests.checks.printed import PRINTER, block, box, changed, fin, flaring, nameless, part_of, portal, roofed, shelf
from tests.geometry.discs import hull_of_discs

PASS, WARN, FAIL = Verdict.PASS, Verdict.WARN, Verdict.FAIL


def hung(part, printer=PRINTER):
    return find_overhangs(part, printer, part.vertices)


def overhang(part, printer=PRINTER):
    return [f for f in overhang_findings(part, printer, part.vertices) if f.code == "print.overhang"]


def bridge(part):
    return [f for f in overhang_findings(part, PRINTER, part.vertices) if f.code == "print.bridge"]


def contact(part):
    return list(contact_findings(part, part.vertices, manifold_of(part, part.vertices)))


def least(part):
    return least_in_layers(part, PRINTER, part.vertices, manifold_of(part, part.vertices))


@pytest.mark.parametrize(("lean", "verdict"), [(45.0, PASS), (45.98, PASS), (46.02, WARN)])
def test_an_overhang_turns_at_the_printers_limit_and_a_degree_for_its_facets(lean, verdict):
    (found,) = overhang(flaring(60.0, 20.0, lean))
    assert found.verdict is verdict
    assert found.limit == 46.0
    assert found.measured == pytest.approx(lean, abs=0.01)


def test_the_limit_is_the_printers_own():
    part = flaring(60.0, 20.0, 55.0)
    assert overhang(part)[0].verdict is WARN
    assert overhang(part, PRINTER.model_copy(update={"overhang": 56.0}))[0].verdict is PASS


@pytest.mark.parametrize("lean", [50.0, 65.0, 80.0])
def test_an_overhang_has_the_area_of_its_frustum_and_its_steepness(lean):
    """Lateral area of a frustum: π (r1 + r2) · slant; a part of it next to the foot, two lines wide, holds itself."""
    (found,) = hung(flaring(60.0, 10.0, lean))
    low, high = 30.0, 30.0 + 10.0 * tan(radians(lean))
    assert found.area == pytest.approx(pi * (low + high) * hypot(10.0, high - low), rel=1e-3)
    held = pi * ((low + 0.8) ** 2 - low**2) / (pi * (high**2 - low**2))
    assert found.loose == pytest.approx((1 - held) * found.area, abs=found.area / 15)  # told by 32 places
    assert found.steepest == pytest.approx(lean, abs=0.02)
    assert found.rise == pytest.approx(10.0)
    assert str(found.feature) == "body 0"
    assert found.span == 0.0
    assert low < hypot(*found.loose_at[:2]) < high


@pytest.mark.parametrize(("left", "right", "side"), [(50.0, 50.001, -1), (50.001, 50.0, -1), (50.0, 50.1, 1)])
def test_of_equal_overhangs_the_left_one_is_named_and_else_the_steeper(left, right, side):
    """Equal to a hundredth of a degree, which is far more than rounding does to a facet."""

    def cone(lean, x):
        low, high = (circle(wide, (x, 0.0)) for wide in (20.0, 20.0 + 20.0 * tan(radians(lean))))
        return Ruled((Section(PANEL, low), Section(PANEL.lifted(10.0), high)))

    (found,) = overhang(nameless(part_of(cone(left, -40.0), cone(right, 40.0))))
    assert found.at[0] * side > 0


def test_a_chamfer_at_the_bed_is_held_by_the_bed():
    """0.8 wide, two lines, at 60 degrees it holds itself; wider it does not."""
    for high, verdict in ((0.45, PASS), (0.48, WARN)):
        foot, top = circle(40.0), circle(40.0 + 2 * high * tan(radians(60.0)))
        levels = [(0.0, foot), (high, top), (10.0, top)]
        part = part_of(Ruled(tuple(Section(PANEL.lifted(z), outline) for z, outline in levels)))
        assert overhang(part)[0].verdict is verdict


def test_what_needs_support_is_told_from_what_sags():
    sags, falls = overhang(flaring(60.0, 10.0, 69.0))[0], overhang(flaring(60.0, 10.0, 71.0))[0]
    assert sags.advice == "let the slicer support it there and clean it afterwards: it sags over 10.0 of height"
    assert falls.advice == "let the slicer support it there and clean it afterwards: its first lines fall"


@pytest.mark.parametrize(("juts", "verdict"), [(0.78, PASS), (0.82, WARN)])
def test_a_ledge_of_two_lines_is_held_and_a_wider_one_is_not(juts, verdict):
    (found,) = overhang(shelf(juts))
    assert found.verdict is verdict
    if verdict is WARN:
        assert found.measured == pytest.approx(90.0)
        assert found.at is not None
        assert found.at[2] == pytest.approx(5.0)


def test_a_patch_smaller_than_a_line_squared_is_nothing():
    speck = box((19.0, 5.0), (22.0, 5.075), 5.0, 10.0)  # 0.15 mm² hang, 2 out; a line squared is 0.16
    wider = box((19.0, 5.0), (22.0, 5.085), 5.0, 10.0)
    post = box((0.0, 0.0), (20.0, 20.0), 0.0, 10.0)
    assert hung(part_of(post, speck)) == ()
    assert overhang(part_of(post, wider))[0].verdict is WARN


@pytest.mark.parametrize(("wide", "verdict"), [(19.98, PASS), (20.02, WARN)])
def test_a_bridge_turns_at_twenty(wide, verdict):
    (found,) = bridge(portal(wide))
    assert found.verdict is verdict
    assert found.measured == pytest.approx(wide, abs=1e-6)
    assert found.what == "bridge over the tunnel"
    assert found.at is not None
    assert found.at[2] == pytest.approx(4.0)
    assert overhang(portal(wide))[0].verdict is PASS


@pytest.mark.parametrize(
    ("part", "span"),
    [
        (roofed(circle(19.0)), 19.0),  # a disc: its diameter
        (roofed(circle(19.0), circle(6.0)), 19.0),  # its screw hole is bridged over
        (roofed(rectangle(40.0, 12.0, 2.0)), 12.0),  # the shorter side
        (roofed(hull_of_discs([((-15.0, 5.0), 14.0), ((20.0, -8.0), 14.0)])), 14.0),  # a slot that lies askew
    ],
)
def test_a_roof_is_as_wide_as_its_shortest_way_across(part, span):
    (found,) = bridge(part)
    assert found.measured == pytest.approx(span, abs=0.01)


def test_a_groove_is_as_wide_as_its_ring():
    groove = Prism(circle(70.0), -1.0, 2.0, islands=(circle(57.0),))
    (found,) = bridge(part_of(block(90.0, 90.0, 10.0), gasket_groove=groove))
    assert found.measured == pytest.approx(6.5, abs=0.01)
    assert found.what == "bridge over the gasket groove"


def test_a_roof_that_is_open_on_one_side_is_bridged_between_the_others():
    bay = part_of(block(60.0, 30.0, 10.0), bay=box((-9.0, -20.0), (9.0, 5.0), -1.0, 4.0))
    assert bridge(bay)[0].measured == pytest.approx(18.0, abs=1e-6)
    assert overhang(bay)[0].verdict is PASS


def test_a_rim_that_juts_into_a_bore_is_no_roof():
    """A ring 10 wide all round a bore 60 wide: its lines would have to cross the bore."""
    rim = part_of(block(90.0, 90.0, 10.0), bore=(Prism(circle(80.0), -1.0, 5.0), Prism(circle(60.0), -1.0, 11.0)))
    (patch,) = hung(rim)
    assert patch.area == pytest.approx(pi * (40.0**2 - 30.0**2), rel=1e-3)
    assert WARN in {f.verdict for f in (*overhang(rim), *bridge(rim))}


def test_a_printer_claims_no_bridge_over_sixty():
    assert bridge(portal(58.0))[0].verdict is WARN
    wide = part_of(block(90.0, 30.0, 10.0), tunnel=box((-30.5, -20.0), (30.5, 20.0), -1.0, 4.0))
    (found,) = overhang(wide)
    assert (found.verdict, found.measured) == (WARN, pytest.approx(90.0))


@pytest.mark.parametrize(("wide", "verdict"), [(7.97, PASS), (8.03, WARN)])
def test_a_pointed_arch_closes_by_itself_up_to_eight(wide, verdict):
    peak = 4.0 + wide / 2 / tan(radians(60.0))  # its two sides lean by 60 degrees
    gable = polygon([(-wide / 2, 0.0), (wide / 2, 0.0), (wide / 2, 4.0), (0.0, peak), (-wide / 2, 4.0)])
    along = Frame((0.0, 20.0, 0.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0))  # its y is up
    (found,) = overhang(part_of(block(60.0, 30.0, 20.0), passage=Prism(gable, -1.0, 41.0, along)))
    assert found.verdict is verdict


@pytest.mark.parametrize(("across", "verdict"), [(8.0, PASS), (16.0, WARN)])
def test_a_round_passage_prints_while_it_is_small(across, verdict):
    along = Frame((0.0, 20.0, 12.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0))
    (found,) = overhang(part_of(block(60.0, 30.0, 24.0), passage=Prism(circle(across), -1.0, 41.0, along)))
    assert found.verdict is verdict


def test_no_roof_no_bridge():
    (found,) = bridge(part_of(block(20.0, 20.0, 10.0)))
    assert (found.verdict, found.measured, found.what) == (PASS, 0.0, "longest bridge, of no roof")


def test_overhangs_are_the_same_in_any_pose():
    """Standing on its head the frustum hangs nowhere; its finding's place is told in the panel frame."""
    cone = flaring(60.0, 10.0, 60.0)
    over = np.diag([1.0, -1.0, -1.0, 1.0])
    over[2, 3] = 10.0
    codes = {f.code: f for f in printing_findings(cone, PRINTER, over)}
    assert codes["print.overhang"].verdict is PASS
    assert codes["print.pose"].verdict is PASS
    sunk = changed(cone, np.diag([1.0, -1.0, -1.0]), (0.0, 0.0, 10.0))
    (found,) = [f for f in printing_findings(sunk, PRINTER, over) if f.code == "print.overhang"]
    assert found.verdict is WARN
    assert found.at is not None
    assert 0.0 <= found.at[2] <= 10.0
    reach = 30.0 + (10.0 - found.at[2]) * tan(radians(60.0))  # on the cone, as it lies in the panel frame
    assert hypot(*found.at[:2]) == pytest.approx(reach, rel=0.15)


@pytest.mark.parametrize(
    ("lift", "verdict", "limit"),
    [(0.019, PASS, 0.02), (0.021, FAIL, 0.02), (-0.019, PASS, -0.02), (-0.021, FAIL, -0.02)],
)
def test_a_part_stands_on_the_bed_to_a_tenth_of_a_layer(lift, verdict, limit):
    points = np.add(part_of(block(20.0, 20.0, 5.0)).vertices, (0.0, 0.0, lift))
    (found,) = pose_findings(points, np.eye(4), PRINTER)
    assert (found.code, found.verdict, found.limit) == ("print.pose", verdict, pytest.approx(limit))
    assert found.measured == pytest.approx(lift)
    words = "it floats above the bed by 0.02" if lift > 0 else "it reaches below the bed by 0.02"
    assert found.advice == ("" if verdict is PASS else f"{words}; set it on the bed")


def test_a_pose_turns_and_shifts_and_does_nothing_else():
    points = part_of(block(20.0, 20.0, 5.0)).vertices
    turned = np.eye(4)
    turned[:3, :3] = tilt_frame((0.0, 0.0, 0.0), 30.0, 70.0).axes
    assert len(list(pose_findings(points, turned, PRINTER))) == 1
    stretched, mirrored = np.diag([1.00001, 1.0, 1.0, 1.0]), np.diag([-1.0, 1.0, 1.0, 1.0])
    for pose, how in ((stretched, "stretches"), (mirrored, "mirrors")):
        first, _ = pose_findings(points, pose, PRINTER)
        assert first.verdict is FAIL
        assert first.advice == f"the print pose {how} the part; a pose only turns and shifts"


@pytest.mark.parametrize(("side", "verdict"), [(10.01, PASS), (9.99, WARN)])
def test_a_hundred_square_millimetres_hold(side, verdict):
    area = contact(part_of(block(side, side, 4.0)))[0]
    assert (area.code, area.verdict, area.unit) == ("print.contact", verdict, "mm²")
    assert area.measured == pytest.approx(side**2)
    assert area.advice == ("" if verdict is PASS else "print it with a brim")


@pytest.mark.parametrize(("foot", "verdict"), [(20.02, PASS), (19.98, WARN)])
def test_a_quarter_of_the_footprint_touches_the_bed(foot, verdict):
    """A frustum 40 across on a foot of d touches (d / 40)² of it."""
    cone = Ruled((Section(PANEL, circle(foot)), Section(PANEL.lifted(12.0), circle(40.0))))
    area, share, _ = contact(part_of(cone))
    assert (share.verdict, share.unit, share.limit) == (verdict, "%", 25.0)
    assert share.measured == pytest.approx(100 * (foot / 40) ** 2, rel=1e-6)
    assert share.what == "share of the footprint on the bed"
    assert area.measured == pytest.approx(pi / 4 * foot**2, rel=2e-3)


@pytest.mark.parametrize(("side", "verdict"), [(10.02, PASS), (9.98, WARN)])
def test_a_tall_part_tips(side, verdict):
    """A post 40 high has its weight at 20: it wants 5 from there to the edge of its foot."""
    steady = contact(part_of(block(side, side, 40.0)))[2]
    assert steady.verdict is verdict
    assert steady.measured == pytest.approx(side / 2)
    assert steady.limit == pytest.approx(5.0)


@pytest.mark.parametrize(("off", "verdict"), [(-0.02, WARN), (0.02, FAIL)])
def test_a_part_whose_weight_is_beside_its_foot_falls(off, verdict):
    """Foot 10 × 10 × 2 under a bar of length L: the weight is over the foot's edge when L = 10 + √200."""
    long = 10.0 + sqrt(200.0) + off
    foot, bar = box((0.0, 0.0), (10.0, 10.0), 0.0, 2.0), box((0.0, 0.0), (long, 10.0), 2.0, 4.0)
    steady = contact(part_of(foot, bar))[2]
    assert steady.verdict is verdict
    middle = (200.0 * 5.0 + 20.0 * long * long / 2) / (200.0 + 20.0 * long)
    assert steady.measured == pytest.approx(10.0 - middle, abs=1e-9)
    assert (steady.advice == "it falls over; lay it down") is (verdict is FAIL)


@pytest.mark.parametrize(
    ("thickness", "verdict", "limit"), [(0.77, FAIL, 0.8), (0.82, WARN, 1.2), (1.17, WARN, 1.2), (1.22, PASS, 1.2)]
)
def test_the_least_feature_is_two_lines_and_three_as_a_rule(thickness, verdict, limit):
    found = least(fin(thickness))
    assert (found.code, found.verdict, found.limit) == ("print.least", verdict, pytest.approx(limit))
    assert found.measured == pytest.approx(thickness, abs=0.01)
    assert found.at is not None
    assert abs(found.at[1]) <= thickness / 2 + 0.01
    assert 6.0 < found.at[2] < 16.0


def test_a_finer_nozzle_prints_a_finer_fin():
    part, fine = fin(0.7), PRINTER.model_copy(update={"nozzle": 0.2})
    assert least_in_layers(part, fine, part.vertices, manifold_of(part, part.vertices)).verdict is PASS


def test_what_runs_out_flat_is_no_thin_wall():
    """A ring under a tilted seat: every slice near its top ends in slivers that the layer below carries."""
    seat = tilt_frame((0.0, 0.0, 20.0), 8.0, 30.0)
    ring = Prism(circle(80.0), 0.0, 60.0, islands=(circle(60.0),))
    part = part_of(ring, trim=Prism(rectangle(200.0, 200.0, 0.0), 0.0, 60.0, seat))
    assert narrowest_material(part, manifold_of(part, part.vertices), part.vertices, 0.2) is None


def test_lettering_is_not_taken_for_a_thin_wall():
    strokes = tuple(box((x, -5.0), (x + 0.8, 5.0), 4.4, 6.0) for x in np.arange(-8.0, 8.0, 1.5))  # 0.7 between them
    plain = part_of(block(60.0, 30.0, 5.0), strokes=strokes)
    named = part_of(block(60.0, 30.0, 5.0), label_III=strokes)
    assert least(plain).measured == pytest.approx(0.7, abs=0.01)
    assert least(named).verdict is PASS


def label_of(*widths):
    shapes = tuple((rectangle(width, 6.0, 0.0).moved(8.0 * k, 0.0), ()) for k, width in enumerate(widths))
    return Label("III", (Letter(PANEL, shapes),), 0.6, raised=False)


@pytest.mark.parametrize(("width", "verdict"), [(0.41, PASS), (0.37, WARN)])
def test_a_stroke_is_as_wide_as_a_line(width, verdict):
    (found,) = label_findings([label_of(0.9, width)], PRINTER)
    assert found.verdict is verdict
    assert found.closed_form == pytest.approx(width, abs=0.01)
    assert found.what == "width of the strokes of the label III"


def test_the_stroke_of_a_ring_is_its_wall():
    letter = Letter(PANEL, ((circle(6.0), (circle(4.6, (0.1, 0.0)),)),))
    assert stroke_width(Label("O", (letter,), 0.6, raised=False)) == pytest.approx(0.6, abs=0.01)  # 3 - 2.3 - 0.1


def test_the_bed_is_measured_on_the_mesh():
    """Room left by a square of side s on a bed of 250: 250 - s, turned or not."""
    for side, verdict in ((249.98, PASS), (250.02, FAIL)):
        found = next(f for f in printing_findings(part_of(block(side, side, 5.0)), PRINTER) if f.code == "bed")
        assert found.verdict is verdict
        assert found.measured == pytest.approx(250.0 - side)


def test_a_mesh_that_closes_no_solid_still_gets_what_can_be_said():
    part = portal(12.0)
    broken = changed(part, np.eye(3))
    object.__setattr__(broken, "triangles", part.triangles[:-1])
    object.__setattr__(broken, "feature", part.feature[:-1])
    object.__setattr__(broken, "face", part.face[:-1])
    assert manifold_of(broken, broken.vertices) is None
    codes = [f.code for f in printing_findings(broken, PRINTER)]
    contacts = ["print.contact"] * 3
    assert codes == ["print.pose", "bed", "print.overhang", "print.bridge", *contacts]
