"""Finding a known panel again: what counts as the same, what differs, and how it lies there."""

from __future__ import annotations

import random
from math import hypot

import pytest

from mounts.errors import InputError
from mounts.geometry.registration import Motion, find_registrations
from mounts.matching.match import SearchOptions, readings_agree, search_panels
from tests.libraries import DOOR, nobody, pins, write


def found(root, name, **wish):
    return search_panels(root, name, SearchOptions(**wish), nobody).matches


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("mirrored", [False, True])
def test_the_same_holes_are_found_in_any_order_turn_hand_and_origin(tmp_path, seed, mirrored):
    chance = random.Random(seed)
    motion = Motion(mirrored, chance.uniform(-180, 180), (0.3, -0.2))
    holes = {**DOOR, "E": (20.0, 80.0)}  # so that no other way is nearly as good
    order = chance.sample(sorted(holes), 5)
    write(tmp_path, "known", holes)
    write(tmp_path, "asked", {f"P{k}": motion.moved(holes[name]) for k, name in enumerate(order)})
    (match,) = found(tmp_path, "asked")
    assert (match.known.name, match.is_whole, match.agrees) == ("known", True, True)
    assert match.fit.worst < 1e-3
    assert match.fit.motion.mirrored is mirrored
    assert dict(match.pairs) == {name: f"P{k}" for k, name in enumerate(order)}
    assert [(d.what, d.worse) for d in match.differs] == [("middle of the opening off by", False)]
    assert match.differs[0].here == pytest.approx(hypot(0.3, 0.2), abs=0.01)


def test_one_hole_more_or_fewer_is_a_part_and_comes_after_the_whole(tmp_path):
    write(tmp_path, "asked", {**DOOR, "E": (0.0, 80.0)})
    write(tmp_path, "four")
    write(tmp_path, "five", {**DOOR, "X": (0.0, 80.5)})
    write(tmp_path, "six", {**DOOR, "X": (90.0, 0.0), "Y": (-90.0, 0.0)})
    matches = {match.known.name: match for match in found(tmp_path, "asked")}
    assert list(matches) == ["five", "four", "six"]
    assert (matches["four"].spare, matches["four"].unused) == ((), ("E",))
    assert (matches["six"].spare, matches["six"].unused) == (("X", "Y"), ("E",))
    assert matches["five"].is_whole


def test_another_pattern_and_pins_are_not_found(tmp_path):
    write(tmp_path, "asked")
    write(tmp_path, "narrow", {name: (x * 0.93, y) for name, (x, y) in DOOR.items()})
    pins(tmp_path, "pins", DOOR)
    assert found(tmp_path, "asked") == ()


def test_what_may_lie_off_follows_from_both_readings(tmp_path):
    """One hole lies off: caliper and caliper allow 3 √2 · 0.25 = 1.06, caliper and rubbing 3 · 0.56 = 1.68."""
    write(tmp_path, "asked")
    moved = {name: (x + 2.5 * (name == "A"), y) for name, (x, y) in DOOR.items()}
    write(tmp_path, "off", moved)
    write(tmp_path, "rubbed", moved, head="read_with: {holes: rubbing}\n")
    matches = {match.known.name: match for match in found(tmp_path, "asked")}
    assert matches["off"].spare == ("A",)
    assert matches["rubbed"].is_whole
    assert matches["rubbed"].fit.worst < matches["rubbed"].within == pytest.approx(1.677, abs=1e-3)
    assert {match.is_whole for match in found(tmp_path, "asked", within=2.0)} == {True}


def test_readings_agree_up_to_the_99th_percent_of_chi_square():
    """scipy's quantile; Wilson and Hilferty's, which is used, is within a few per cent of it."""
    from scipy.stats import chi2

    for apart, agrees in ((0.97, True), (1.03, False)):
        off = apart * (2 * chi2.ppf(0.99, 1)) ** 0.5  # of two holes' distance: half of it squared is the sum of squares
        two = find_registrations(((0.0, 0.0), (80.0, 0.0)), ((0.0, 0.0), (80.0 + off, 0.0)), 5.0, 2)[0]
        assert readings_agree(two, 1.0) is agrees


def test_a_regular_pattern_is_laid_on_upright_and_in_the_right_hand(tmp_path):
    square = {"A": (50.0, 50.0), "B": (50.0, -50.0), "C": (-50.0, -50.0), "D": (-50.0, 50.0)}
    noisy = {name: (x + 0.1 * (name == "B"), y - 0.2 * (name == "C")) for name, (x, y) in square.items()}
    write(tmp_path, "left", square, head="side: left\nother_side: mirrored\n", opening="{oblong: [80, 60]}")
    write(tmp_path, "asked", noisy, head="side: right\n", opening="{oblong: [80, 60]}")
    (match,) = found(tmp_path, "asked")
    assert match.fit.motion.mirrored
    assert abs(match.fit.motion.turn) < 1
    write(tmp_path, "asked", noisy, head="side: left\n", opening="{oblong: [80, 60]}")
    (match,) = found(tmp_path, "asked")
    assert not match.fit.motion.mirrored
    assert abs(match.fit.motion.turn) < 1


def test_what_differs_is_told_with_less_room_as_worse(tmp_path):
    more = "behind: {glass: %d, things: [{what: rail, at: [0, -60], size: 20, depth: 50}]}\nin_front: {grille: %d}\n"
    write(tmp_path, "known", rest=more % (55, 50), head="place: door\n")
    write(tmp_path, "asked", rest=more % (48, 52), head="place: door\n", opening="{round: 123}")
    (match,) = found(tmp_path, "asked")
    assert [(d.what, d.here, d.there, d.worse) for d in match.differs] == [
        ("opening", "round 123", "round 120", False),
        ("depth to glass", 48.0, 55.0, True),
        ("height of grille", 52.0, 50.0, False),
    ]
    write(tmp_path, "asked", head="place: boot\n", opening="{round: 118}")
    (match,) = found(tmp_path, "asked")
    assert [(d.what, d.here, d.worse) for d in match.differs] == [
        ("opening", "round 118", True),
        ("depth to glass", None, True),
        ("depth to rail", None, True),
        ("height of grille", None, True),
        ("place", "boot", True),
    ]


def test_pins_are_found_among_pins(tmp_path):
    write(tmp_path, "ring")
    dash = {"A": (-30.5, 12.0), "B": (30.0, 13.0), "C": (22.0, -26.5), "D": (-23.0, -25.5)}
    pins(tmp_path, "known", dash)
    pins(tmp_path, "asked", {name: (40 - x, 7 + y) for name, (x, y) in dash.items()})
    (match,) = found(tmp_path, "asked")
    assert (match.known.name, match.fit.motion.mirrored, match.differs) == ("known", True, ())
    assert match.fit.worst < 1e-3


def test_a_file_outside_the_library_is_looked_for_too(tmp_path):
    write(tmp_path / "lib", "known")
    file = write(tmp_path / "van", "asked")
    (match,) = found(tmp_path / "lib", str(file))
    assert match.known.name == "known"


def test_a_wrong_name_tells_the_nearest(tmp_path):
    write(tmp_path, "front-door")
    with pytest.raises(InputError, match=r'no panel "front-dor" in .*; did you mean "front-door"'):
        found(tmp_path, "front-dor")
    with pytest.raises(InputError, match="there is no such file"):
        found(tmp_path, "nowhere.yaml")


def test_a_panel_that_does_not_load_is_named(tmp_path):
    write(tmp_path, "asked")
    (tmp_path / "panels" / "torn.yaml").write_text("kind: panel\nname: torn\n", "utf-8")
    looked = search_panels(tmp_path, "asked", SearchOptions(), nobody)
    assert (looked.broken, looked.count) == (("torn",), 2)
    with pytest.raises(InputError, match="opening"):
        found(tmp_path, "torn")
