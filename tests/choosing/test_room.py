"""The room in a place, against what simple geometry says of level ones."""

from __future__ import annotations

from math import cos, radians, tan

import pytest

from mounts.choosing.room import find_rooms
from mounts.choosing.trial import Workshop, find_place
from mounts.load.resolve.library import Library
from tests.libraries import write

LIFT = 2 * (1 - 0.4)  # mm: a speaker gasket of 2, squeezed by 40 %


@pytest.fixture
def shop(profiles_copy):
    """The demo library, and room for panels of one's own."""
    return profiles_copy


def room_of(shop, rest, tilt=0.0, opening="{round: 120}"):
    write(shop, "level", rest="face: {of: steel, thickness: 0.9}\n" + rest, opening=opening)
    library = Library(shop)
    (found,) = find_rooms(library, find_place(library, "level", None), Workshop(), (tilt,))
    return found


def test_level_glass_and_grille_leave_what_is_left_by_subtraction(shop):
    found = room_of(shop, "behind: {glass: 60}\nin_front: {grille: 50}\n")
    seat = found.height + LIFT
    for _, (depth, what) in found.depths:
        assert what == "glass"
        assert depth == pytest.approx(seat + 60 - 10, abs=0.15)  # the limit to the glass is 10
    assert found.front == pytest.approx(50 - 4 - seat, abs=0.15)  # and of the cone to the grille 4
    assert [magnet for magnet, _ in found.depths] == [60.0, 80.0, 100.0]
    assert found.body == pytest.approx(120 - 2 * 2, abs=0.15)  # 2 a side to the opening's edge
    assert found.flange is None  # it stays below the grille, however wide


def test_a_tilted_magnet_is_nearer_to_level_glass_by_its_low_edge(shop):
    tilt = 10.0
    found = room_of(shop, "behind: {glass: 60}\n", tilt)
    for magnet, (depth, _) in found.depths:
        # along the axis from the seat, LIFT before it: the disc's low edge is magnet/2 · sin θ deeper than its middle
        right = (found.height + 50) / cos(radians(tilt)) - magnet / 2 * tan(radians(tilt)) + LIFT
        assert depth == pytest.approx(right, abs=0.15)


def test_a_rail_is_named(shop):
    found = room_of(
        shop, "behind: {glass: 60, things: [{what: lift rail, at: [0, 0], size: 30, depth: 40, moving: true}]}\n"
    )
    for _, (depth, what) in found.depths:
        assert (what, depth) == ("lift rail", pytest.approx(found.height + LIFT + 40 - 8, abs=0.15))


def test_a_low_trim_limits_the_flange_to_its_opening(shop):
    found = room_of(shop, "in_front: {trim: {at_clock: 12, opening: {round: 150}}}\n")
    assert found.flange == pytest.approx(150 - 2 * 3, abs=0.15)
    assert found.front is None
    assert all(what == "nothing measured" for _, (_, what) in found.depths)


def test_a_place_without_room_for_a_ring_says_why(shop):
    """Fixings so near the opening that no gasket's land is left between, however narrow the speaker."""
    write(shop, "level", {"A": (65.0, 0.0), "B": (-65.0, 0.0)})
    library = Library(shop)
    (found,) = find_rooms(library, find_place(library, "level", None), Workshop(), (0.0,))
    assert found.height is None
    assert "gasket" in found.why


def test_on_pins_the_room_is_what_is_left_behind_the_seat(shop):
    library = Library(shop)
    (found,) = find_rooms(library, find_place(library, "linnet-dash-grille", None), Workshop(), (0.0,))
    for _, (depth, what) in found.depths:
        assert what == "room"
        assert depth <= 30 - 3 + found.height + 0.1  # room 30, limit 3, the seat's height below the face
    assert found.depths[0][1][0] == pytest.approx(30 - 3 + found.height, abs=0.15)
