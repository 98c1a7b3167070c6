"""The speaker as solid things: rings, least values on its surface, the sheet round an opening, terminals."""

from math import cos, hypot, radians, sin, sqrt, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mounts.design.body import (
    body_rings,
    body_sheet,
    from_body,
    front_rings,
    least_on_body,
    least_on_lid,
    screw_head,
    terminal_block,
    terminal_corners,
    to_sheet,
)
from mounts.geometry.frames import PANEL, Array, clock_vector, tilt_frame
from mounts.geometry.outline import Outline, circle, oblong, rectangle
from mounts.geometry.planes import Plane, disc_gap
from mounts.load.models.hardware import Pilot, Screw
from mounts.load.models.job import SpeakerFixing
from mounts.load.models.speaker import Terminals
from tests.design.sampled import least_on_block
from tests.design.speakers import speaker
from tests.geometry.shapes import QUICK, read
from tests.idents import ident

RINGS = ((1.2, 115.0), (-28.8, 84.0), (-38.8, 78.0), (-54.8, 78.0))


# --- rings -----------------------------------------------------------------------------------------------------------


def test_rings_run_from_the_seat_to_the_rear_on_the_squeezed_gasket() -> None:
    assert body_rings(speaker(), 1.2) == tuple(pytest.approx(ring) for ring in RINGS)


@pytest.mark.parametrize(
    ("given_body", "rings"),
    [
        ([], ((0.0, 116.0), (-56.0, 116.0))),  # never measured: as wide as the cutout all the way
        ([{"depth": 20, "across": 90}], ((0.0, 116.0), (-20.0, 90.0), (-56.0, 90.0))),
        ([{"depth": 0, "across": 110}], ((0.0, 110.0), (-56.0, 110.0))),
        ([{"depth": 0, "across": 110}, {"depth": 56, "across": 70}], ((0.0, 110.0), (-56.0, 70.0))),
    ],
)
def test_what_was_not_measured_is_as_wide_as_the_cutout(given_body: list[dict[str, float]], rings: object) -> None:
    assert body_rings(speaker(body=given_body), 0.0) == rings


def test_what_passes_a_slot_is_as_wide_as_its_narrower_side() -> None:
    slotted = speaker(cutout={"oblong": [150, 100]}, flange={"oblong": [170, 120], "thickness": 4}, body=[], holes=None)
    assert body_rings(slotted, 0.0) == ((0.0, 100.0), (-56.0, 100.0))


def test_what_stands_in_front() -> None:
    assert front_rings(speaker(), 1.2) == ((ident("flange"), 5.2, 135.0), (ident("surround"), 7.2, 105.0))
    assert front_rings(speaker(front=None), 0.0) == ((ident("flange"), 4.0, 135.0),)
    assert front_rings(speaker(piston=None), 0.0) == ((ident("flange"), 4.0, 135.0),)


SCREW = {"is": "screw", "thread": "4.0", "head_diameter": 8, "head_height": 2.6, "lengths": [12]}
PILOT = {"is": "pilot", "thread": "4.0", "diameter": 4, "hole": 3.1, "wall": 2.4, "engagement": 8}


@pytest.mark.parametrize(
    ("head", "holes", "top"), [("pan", True, (1.2 + 4.0 + 2.6, 8.0)), ("countersunk", True, None), ("pan", False, None)]
)
def test_a_screws_head_stands_on_the_flange_unless_it_is_let_in(head: str, holes: bool, top: object) -> None:
    unit = speaker() if holes else speaker(holes=None)
    fixing = SpeakerFixing(Pilot.model_validate(PILOT), Screw.model_validate({**SCREW, "head": head}))
    assert screw_head(unit, 1.2, fixing) == (pytest.approx(top) if top else None)
    assert screw_head(unit, 1.2, SpeakerFixing(fixing.hardware, None)) is None
    assert screw_head(unit, 1.2, None) is None


# --- least values on a surface ---------------------------------------------------------------------------------------


@QUICK
@given(st.tuples(read(0, 25), read(0, 360)), read(-0.3, 0.3), read(-0.3, 0.3))
def test_the_least_gap_of_a_body_to_a_plane_is_that_of_one_of_its_rings(
    lean: tuple[float, float], sx: float, sy: float
) -> None:
    # a body of revolution is the hull of its rings along each ruling, so a plane comes nearest to a ring
    seat, plane = tilt_frame((2.0, 1.0, 22.0), *lean), Plane(-70.0, (sx, sy))
    rings = [disc_gap(plane, _on_axis(seat.out((0, 0, level))), seat.z, across)[0] for level, across in RINGS]

    def gap(points: Array) -> Array:
        found: Array = (points - (0.0, 0.0, plane.at)) @ plane.normal
        return found

    least, at = least_on_body(seat, RINGS, gap)
    assert least == pytest.approx(min(rings), abs=1e-4)
    assert plane.gaps(np.array(at)) == pytest.approx(least, abs=1e-12)


def _on_axis(point: Array) -> tuple[float, float, float]:
    return (float(point[0]), float(point[1]), float(point[2]))


@pytest.mark.parametrize(
    ("place", "least"),
    [
        ((0.0, 0.0, -80.0), 80 - 54.8),  # behind the rear disc, over its middle
        ((20.0, -10.0, -60.0), 5.2),  # over the rear disc
        ((60.0, 0.0, -48.0), 21.0),  # beside the magnet
        ((60.0, 0.0, -60.0), hypot(21.0, 5.2)),  # off the rear edge
        ((0.0, 70.0, 1.2), 12.5),
        ((0.0, -90.0, 30.0), hypot(90 - 57.5, 28.8)),
    ],
)
def test_the_least_distance_from_a_point_to_a_body(place: tuple[float, float, float], least: float) -> None:
    found, at = least_on_body(PANEL, RINGS, lambda points: np.linalg.norm(points - place, axis=1))
    assert found == pytest.approx(least, abs=1e-3)
    assert np.linalg.norm(np.subtract(at, place)) == pytest.approx(found, abs=1e-12)


@pytest.mark.parametrize("tilt", [0.0, 8.0, 15.0])
@pytest.mark.parametrize("clock", [0.0, 120.0, 315.0])
def test_a_tilted_cylinder_in_a_round_opening_needs_more_than_its_diameter(tilt: float, clock: float) -> None:
    # seen along z the part of a cylinder within the sheet is an ellipse d by d / cos θ, moved along by up to t·tan θ;
    # about its axis the opening leaves (D − d / cos θ) / 2 at the lean's ends, less what the axis is off at the face
    across, opening, sheet = 90.0, 120.0, 2.0
    seat = tilt_frame((0.0, 0.0, 22.0), tilt, clock)
    gap, at = least_on_body(
        seat, ((0.0, across), (-80.0, across)), lambda points: to_sheet(circle(opening), sheet, points)
    )
    off = (22 + sheet) * tan(radians(tilt))
    # nearest at the back edge of the sheet, towards where the axis runs: square to the cylinder's wall
    level = opening / 2 - across / 2 / cos(radians(tilt)) - off
    assert gap == pytest.approx(level * cos(radians(tilt)), abs=2e-3)
    if tilt:
        assert np.array(at[:2]) @ clock_vector(clock) < 0


def test_the_least_on_a_lid_is_taken_within_it_and_on_its_rim() -> None:
    frame, outline = tilt_frame((0.0, 0.0, 30.0), 10.0, 90.0), oblong(150.0, 110.0)
    lowest, at = least_on_lid(frame, outline, lambda points: points[:, 2])
    assert lowest == pytest.approx(30 - 75 * sin(radians(10)), abs=1e-3)
    assert outline.depth(tuple(frame.into(at)[:2])) == pytest.approx(0.0, abs=1e-3)
    place = frame.out((20.0, -15.0, 7.0))
    within, at = least_on_lid(frame, outline, lambda points: np.linalg.norm(points - place, axis=1))
    assert within == pytest.approx(7.0, abs=1e-3)
    assert frame.into(at) == pytest.approx((20.0, -15.0, 0.0), abs=0.1)


def test_the_bodys_sheet_runs_from_the_rear_to_the_front() -> None:
    seat = tilt_frame((2.0, 1.0, 22.0), 8.0, 315.0)
    wall = body_sheet(seat, RINGS)
    for k, (level, across) in enumerate(reversed(RINGS)):
        told = seat.into(wall.at(np.linspace(0, 0.99, 50), np.full(50, float(k))))
        assert np.hypot(told[:, 0], told[:, 1]) == pytest.approx(np.full(50, across / 2), abs=1e-9)
        assert told[:, 2] == pytest.approx(np.full(50, level), abs=1e-9)


# --- the sheet round an opening --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("place", "distance"),
    [
        ((0, 0, 0), 60.0),
        ((50, 0, -0.5), 10.0),  # in the opening, level with the sheet
        ((50, 0, 3), hypot(10, 3)),  # before it
        ((50, 0, -5), hypot(10, 4)),  # behind it, 1 thick
        ((70, 0, 3), 3.0),  # over it
        ((70, 0, -4), 3.0),
        ((60.2, 0, -0.5), -0.2),  # in its edge
        ((70, 0, -0.3), -0.3),  # in it, nearer to its face
        ((70, 0, -0.9), -0.1),
        ((60, 0, -0.5), 0.0),
    ],
)
def test_how_far_a_point_is_from_a_sheet_one_thick_with_an_opening_of_120(
    place: tuple[float, float, float], distance: float
) -> None:
    assert to_sheet(circle(120.0), 1.0, np.array([place], dtype=float)) == pytest.approx([distance], abs=1e-9)


@pytest.mark.parametrize("opening", [circle(120.0), oblong(150.0, 110.0), rectangle(130.0, 100.0, 8.0)])
def test_as_far_as_a_dense_edge_and_two_faces_are(opening: Outline) -> None:
    rng, thickness = np.random.default_rng(3), 2.5
    places = rng.uniform((-90, -80, -9), (90, 80, 8), (300, 3))
    edge = np.array(opening.points(1e-5, least=400))
    for place, found in zip(places, to_sheet(opening, thickness, places), strict=True):
        aside = np.hypot(*(edge - place[:2]).T).min()
        inside, level = opening.holds(tuple(place[:2])), -thickness <= place[2] <= 0
        off = max(place[2], -thickness - place[2])
        if inside:
            assert found == pytest.approx(aside if level else hypot(aside, off), abs=0.02)
        elif level:
            assert found == pytest.approx(-min(aside, -off), abs=0.02)
        else:
            assert found == pytest.approx(off, abs=1e-12)


# --- terminals -------------------------------------------------------------------------------------------------------

TERMINAL = Terminals.model_validate({"at": "6:00", "reach": 50, "width": 30, "depth": [18, 34]})


@pytest.mark.parametrize(
    ("turn", "ahead", "aside"),
    [(0.0, (0, -1), (1, 0)), (90.0, (-1, 0), (0, 1)), (-45.0, (sqrt(0.5), -sqrt(0.5)), (sqrt(0.5), sqrt(0.5)))],
)
def test_corners_of_a_terminal_at_six_oclock_turned(
    turn: float, ahead: tuple[float, float], aside: tuple[float, float]
) -> None:
    corners = terminal_corners(TERMINAL, turn, 1.2)
    assert corners.shape == (8, 3)
    for reach in (0, 50):
        for way in (-15, 15):
            for depth in (18, 34):
                corner = (*(reach * np.array(ahead) + way * np.array(aside)), 1.2 - depth)
                assert (np.abs(corners - corner).max(axis=1) < 1e-9).sum() == 1


@pytest.mark.parametrize("turn", [0.0, 77.0])
def test_a_terminals_block_has_its_corners_and_its_least_is_exact(turn: float) -> None:
    seat = tilt_frame((3.0, -2.0, 20.0), 9.0, 40.0)
    block = terminal_block(TERMINAL, seat, turn, 1.2)
    rim = np.array(block.outline.points(1.0))
    ends = [block.frame.out(np.column_stack([rim, np.full(len(rim), z)])) for z in (0.0, -block.deep)]
    corners = seat.out(terminal_corners(TERMINAL, turn, 1.2))
    found = np.concatenate(ends)
    assert all(np.linalg.norm(found - corner, axis=1).min() < 1e-9 for corner in corners)
    beside = seat.out(
        (*(53.0 * np.array(clock_vector(180.0 + turn))), 1.2 - 26.0)
    )  # 3 beyond the middle of its outer side
    least, at = least_on_block(block, lambda points: np.linalg.norm(points - beside, axis=1))
    assert least == pytest.approx(3.0, abs=1e-6)
    assert np.linalg.norm(np.subtract(at, beside)) == pytest.approx(3.0, abs=1e-4)


# --- from a body ------------------------------------------------------------------------------------------------------


@QUICK
@given(read(-90, 90), read(-90, 90), read(-80, 30))
def test_the_distance_from_a_body_is_that_of_its_nearest_point(x: float, y: float, z: float) -> None:
    place = np.array([x, y, z])
    told = float(from_body(RINGS, place))
    # the closed top is no part of what `least_on_body` samples, so what lies over it is left out
    if z <= RINGS[0][0] - 1e-6:
        least, _ = least_on_body(PANEL, RINGS, lambda points: np.linalg.norm(points - place, axis=1))
        over_top = RINGS[0][0] - z
        assert abs(told) == pytest.approx(min(least, over_top) if told < 0 else least, abs=1e-3)
    across = np.interp(z, [level for level, _ in RINGS[::-1]], [across for _, across in RINGS[::-1]])
    assert (told < 0) == (hypot(x, y) < across / 2 and RINGS[-1][0] < z < RINGS[0][0])
