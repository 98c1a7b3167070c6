"""Flat faces and round holes found on meshes without a plan, against the places at which they were drawn."""

from __future__ import annotations

from dataclasses import replace
from math import cos, degrees, pi, radians, sin

import numpy as np
import pytest

from mounts.checks.printing.patches import Surface, circle_of_points, find_flats, find_round_holes, plane_of_points
from mounts.geometry.frames import PANEL, tilt_frame
from mounts.geometry.outline import circle, rectangle
from mounts.shape.primitives import Prism
from tests.checks.printed import block, nameless, part_of

SEAT = tilt_frame((3.0, -2.0, 20.0), 12.0, 70.0)


def wedge():
    """A block under a tilted trim, with a pocket square to its slope and a hole square to its foot."""
    trim = Prism(rectangle(300.0, 300.0, 0.0), 0.0, 100.0, SEAT)
    pocket = Prism(circle(9.0, (8.0, 4.0)), -6.0, 50.0, SEAT)
    hole = Prism(circle(6.0, (-20.0, 5.0)), -1.0, 60.0)
    return part_of(block(80.0, 60.0, 40.0), trim=trim, pocket=pocket, hole=hole)


def test_the_largest_flat_faces_come_first_with_their_plane():
    found = find_flats(Surface(wedge()), 50.0)
    assert [one.feature.label for one in found[:2]] == ["trim", "body 0"]
    slope, foot = found[:2]
    assert slope.normal == pytest.approx(SEAT.z, abs=1e-12)
    assert SEAT.into(slope.middle)[2] == pytest.approx(0.0, abs=1e-9)
    assert slope.area == pytest.approx(
        80 * 60 / cos(radians(12.0)) - pi / 4 * (81.0 + 36.0 / cos(radians(12.0))), abs=0.5
    )
    assert foot.normal == pytest.approx((0.0, 0.0, -1.0))
    assert foot.area == pytest.approx(80 * 60 - pi / 4 * 36.0, abs=0.1)
    assert max(one.flatness for one in found) < 1e-9


def test_a_face_that_is_pushed_out_is_as_uneven_as_it_is_pushed():
    """Four corners of a plane, two opposite ones out by e and two in by e: its flatness is 2 e."""
    part = part_of(block(40.0, 40.0, 5.0))
    vertices = part.vertices.copy()
    top = np.flatnonzero(vertices[:, 2] == 5.0)
    vertices[top, 2] += 0.02 * np.sign(vertices[top, 0] * vertices[top, 1])
    (found,) = [one for one in find_flats(Surface(replace(part, vertices=vertices)), 100.0) if one.normal[2] > 0.9]
    assert found.flatness == pytest.approx(0.04)
    assert found.normal == pytest.approx((0.0, 0.0, 1.0), abs=1e-9)


def test_holes_are_found_along_the_way_they_go():
    surface = Surface(nameless(wedge()))
    (hole,) = find_round_holes(surface)
    assert (*hole.at, hole.diameter) == pytest.approx((-20.0, 5.0, 6.0), abs=1e-9)
    assert hole.low == pytest.approx(0.0, abs=1e-9)
    (pocket,) = find_round_holes(surface, SEAT)
    assert (*pocket.at, pocket.diameter) == pytest.approx((8.0, 4.0, 9.0), abs=1e-9)
    assert (pocket.low, pocket.high) == pytest.approx((-6.0, 0.0), abs=1e-9)


def test_a_pin_a_slot_a_cone_and_a_square_are_no_round_holes():
    pin = part_of(block(40.0, 40.0, 5.0), Prism(circle(8.0), 0.0, 20.0))
    assert find_round_holes(Surface(pin)) == ()
    slot = (Prism(circle(8.0), -1.0, 6.0), Prism(rectangle(8.0, 50.0, 0.0).moved(0.0, 25.0), -1.0, 6.0))
    assert find_round_holes(Surface(part_of(block(40.0, 40.0, 5.0), slot=slot))) == ()
    square = Prism(rectangle(8.0, 8.0, 0.0), -1.0, 6.0)
    assert find_round_holes(Surface(part_of(block(40.0, 40.0, 5.0), square=square))) == ()
    assert find_round_holes(Surface(part_of(block(40.0, 40.0, 5.0), hole=Prism(circle(8.0), -1.0, 6.0)))) != ()


def test_a_lean_of_a_hole_is_seen():
    """Drawn 3 degrees off its frame, 5 deep, a hole is no hole of that frame."""
    off = tilt_frame((0.0, 0.0, 0.0), 3.0, 0.0)
    part = part_of(block(40.0, 40.0, 5.0), hole=Prism(circle(8.0), -5.0, 10.0, off))
    assert find_round_holes(Surface(part)) == ()
    assert len(find_round_holes(Surface(part), off)) == 1


def test_fits_find_what_the_points_lie_on():
    turn = np.linspace(0.0, 4.0, 9)  # not the whole way round
    points = np.stack([7.0 + 3.5 * np.cos(turn), -2.0 + 3.5 * np.sin(turn)], axis=1)
    assert circle_of_points(points) == pytest.approx((7.0, -2.0, 7.0), abs=1e-9)
    flat = SEAT.out(np.column_stack([points, np.zeros(len(points))]))
    middle, normal = plane_of_points(flat)
    assert abs(normal @ SEAT.z) == pytest.approx(1.0, abs=1e-12)
    assert SEAT.into(middle)[2] == pytest.approx(0.0, abs=1e-12)
    assert degrees(np.arccos(PANEL.axes[2] @ SEAT.z)) == pytest.approx(12.0)
    assert SEAT.z[0] == pytest.approx(sin(radians(12.0)) * sin(radians(70.0)))
