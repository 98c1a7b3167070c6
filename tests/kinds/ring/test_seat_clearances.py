"""Clearances told from rims for many seats at once, against fine sampling of surfaces, seat by seat."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import numpy as np
import pytest

from mounts.design.body import body_rings, least_on_body, terminal_block, to_sheet
from mounts.geometry.frames import PANEL, Array, Frames, tilt_frame
from mounts.geometry.planes import plate_distances
from mounts.kinds.ring.aiming.walls import wall_rooms
from mounts.kinds.ring.base import base_for, fastening_of
from mounts.kinds.ring.height import height_bounds, lowest_height
from mounts.kinds.ring.seat import lay_out_seat, seat_at
from mounts.kinds.ring.seat_clearances import _to_thing, speaker_rooms
from mounts.kinds.ring.trim import speaker_bodies
from mounts.kinds.ring.turn import screw_gaps
from mounts.load.models.job import AimAngles
from mounts.load.models.surroundings import Thing
from tests.design.sampled import least_on_block
from tests.idents import labels
from tests.kinds.ring.conftest import changed, jobs_of

POSES = [
    (0.0, 0.0, 22.0, 0.0, 0.0),
    (7.0, 315.0, 24.0, 1.5, -2.0),
    (14.0, 100.0, 33.0, -3.0, 2.0),
    (22.0, 200.0, 42.0, 0.0, 4.0),
]
ALIKE = 5e-3  # mm, as rims say of themselves


@pytest.fixture(scope="module", params=["linnet-woofer", "linnet-slider-oblong", "linnet-rear-square"])
def job(request):
    """Jobs with round, oblong and square shapes, all with a thing so near that it comes into play."""
    found = jobs_of(request.param)[0]
    things = (
        Thing.model_validate({"what": "stop", "at": [46, -38], "size": [18, 30], "depth": 12}),
        Thing.model_validate({"what": "pin", "at": [-20, 30], "size": 10, "depth": 40}),
    )
    return changed(found, panel__behind__things=things)


def told(job, code: str) -> dict[tuple[str, str], Array]:
    """Least distance of each pair of things at every pose."""
    seat = seat_at(job, lay_out_seat(job, 33.0), AimAngles(), 0.0)
    tilts, towards, heights, x, y = np.array(POSES).T
    frames = Frames.tilted(np.column_stack([x, y, heights]), tilts, towards)
    rooms = [room for room in speaker_rooms(job, seat) if room.code == code]
    return {labels(room.between[0]): room.measure(frames).values.min(axis=1) for room in rooms}


def seats(job):
    """The seat at every pose."""
    for tilt, toward, height, x, y in POSES:
        yield replace(
            seat_at(job, lay_out_seat(job, 33.0), AimAngles(), 0.0), frame=tilt_frame((x, y, height), tilt, toward)
        )


def test_body_and_terminals_to_the_sheet_and_to_things(job):
    cost = partial(to_sheet, job.panel.opening.outline(), job.face_thickness)
    costs = {"opening": cost} | {thing.what: partial(_to_thing, thing) for thing in job.panel.behind.things}
    found = told(job, "clear.body-opening") | told(job, "clear.terminals") | told(job, "clear.thing")
    rings = body_rings(job.speaker, next(seats(job)).lift)
    for (what, other), values in found.items():
        for value, seat in zip(values, seats(job), strict=True):
            if what == "body":
                least = least_on_body(seat.frame, rings, costs[other])[0]
            else:
                blocks = [terminal_block(one, seat.frame, seat.turn, seat.lift) for one in job.speaker.terminals]
                least = min(least_on_block(block, costs[other])[0] for block in blocks)
            if least > 0:
                assert value == pytest.approx(least, abs=ALIKE)
            else:
                assert value < ALIKE


def test_front_to_trim_and_grille(job):
    from mounts.kinds.ring.trim import _opening, _place

    plate = partial(plate_distances, _place(job), _opening(job))
    for (what, _), values in told(job, "clear.trim").items():
        for value, seat in zip(values, seats(job), strict=True):
            standing = [one for one in speaker_bodies(job, seat) if one.ident.label == what]
            over = [one.height_over(_place(job)) > 0 for one in standing]
            least = min(one.least(plate, reaching=through)[0] for one, through in zip(standing, over, strict=True))
            if least > 0:
                assert value == pytest.approx(least, abs=ALIKE)
            else:
                assert value < ALIKE


def test_slopes_are_told_at_the_picks(job):
    """What a small step changes is told as well by the places that were picked before it."""
    seat = seat_at(job, lay_out_seat(job, 33.0), AimAngles(), 0.0)
    here = Frames.of(tilt_frame((0.4, 0.3, 24.0), 7.0, 315.0))
    beside = Frames.of(tilt_frame((0.4, 0.3, 24.001), 7.001, 315.0))
    for room in speaker_rooms(job, seat):
        first = room.measure(here)
        assert room.measure(beside, first.picks).values == pytest.approx(room.measure(beside).values, abs=2e-5)


def test_a_tool_path_beside_a_pocket_is_as_the_turn_has_it(job):
    screw = fastening_of(job)
    if job.speaker.holes is None:
        pytest.skip("no speaker screws")
    for seat in seats(job):
        rooms = [room for room in wall_rooms(job, replace(seat, frame=PANEL), screw) if room.code == "wall.screw-path"]
        least = min(float(room.measure(Frames.of(seat.frame)).values.min()) for room in rooms)
        if all(one.nut is None for one in seat.screws):
            assert least == pytest.approx(float(screw_gaps(job, screw, seat.frame, np.array([33.0]))[0]), abs=0.02)


def test_least_heights_of_many_seats_are_those_of_each(job):
    screw = fastening_of(job)
    base = base_for(job, screw)
    layout = lay_out_seat(job, 0.0)
    tilts, towards, _, x, y = np.array(POSES).T
    frames = Frames.tilted(np.column_stack([x, y, np.zeros(len(x))]), tilts, towards)
    bounds = height_bounds(job, seat_at(job, layout, AimAngles(), 0.0), base, screw)
    found = bounds.least(frames).max(axis=1)
    for height, (tilt, toward, _, dx, dy) in zip(found, POSES, strict=True):
        there = replace(job, seat_offset=(dx, dy))
        assert height == pytest.approx(lowest_height(there, layout, base, screw, AimAngles(tilt, toward))[0], abs=1e-9)
    assert bounds.margins(frames, found).min(axis=1) == pytest.approx(np.zeros(len(found)), abs=1e-9)
