"""What fasteners ask of the plastic, with the library's parts and the job's default limits.

The parts' own sizes are checked against published tables in tests/validation/; here, what is made of them.
"""

from functools import cache
from math import sqrt
from pathlib import Path
from typing import Any

import pytest

from mounts.design.fasteners import Fastening, fastening, thread_diameter, widest_borne
from mounts.load.models.fastener import Pocket
from mounts.load.models.hardware import Hardware
from mounts.load.models.job import PanelFixing
from mounts.load.models.limits import Limits
from mounts.load.resolve.library import load_profile

HARDWARE = Path(__file__).parents[2] / "profiles" / "hardware"
LIMITS = Limits()


@cache
def library() -> dict[str, Any]:
    """Every part of the shipped library, by its name."""
    found: dict[str, Any] = {}
    for file in sorted(HARDWARE.glob("*.yaml")):
        family = load_profile("hardware", file).value
        assert isinstance(family, Hardware), file
        found |= family.items
    return found


def fixed(hardware: str, screw: str, washer: str | None = None, play: float = 1.0, **limits: float) -> Fastening:
    parts = library()
    chosen = PanelFixing(parts[hardware], parts[screw], parts[washer] if washer else None, 0.0)
    hole = thread_diameter(parts[screw].thread) + play
    return fastening(chosen, Limits(**limits), hole, 0.0)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("thread", "diameter"), [("M5", 5.0), ("M2.5", 2.5), ("M10", 10.0), ("ST4.2", 4.2), ("4.0", 4.0), ("3.5-asa", 3.5)]
)
def test_a_threads_diameter_is_in_its_name(thread: str, diameter: float) -> None:
    assert thread_diameter(thread) == diameter


# --- the base's screws -----------------------------------------------------------------------------------------------


def test_a_wide_hole_leaves_its_washer_room_to_go_with_the_screw() -> None:
    # the washer goes with the screw by half of the play: a path wider than the washer by all of it
    assert fixed("rivet-nut-m5", "iso-7380-m5", "iso-7093-m5", play=2.2).path == pytest.approx(15 + 2.2)
    assert fixed("rivet-nut-m5", "iso-7380-m5", "iso-7093-m5", play=0.8).path == 16.0


@pytest.mark.parametrize(
    ("screw", "washer", "widest"),
    [
        ("iso-7380-m5", "iso-7093-m5", 10 - 0.15 - 0.5),  # 15 wide, 5.3 inside: half of 15 + 5, less its slack
        ("iso-7380-m5", "iso-7089-m5", 7.5 - 0.15 - 0.5),
        ("iso-7380-m5", None, 7.25 - 0.5),  # the head, 9.5
        ("iso-10642-m5", None, 11.2 - 1.0),  # the cone
    ],
)
def test_the_widest_hole_that_is_covered(screw: str, washer: str | None, widest: float) -> None:
    parts = library()
    chosen = PanelFixing(parts["rivet-nut-m5"], parts[screw], parts[washer] if washer else None, 5.3)
    assert widest_borne(chosen) == pytest.approx(widest)


def test_an_m5_button_head_on_a_large_washer() -> None:
    # ISO 7380-1 M5: head 9.5 by 2.75; ISO 7093-1 M5: 15 by 1.0. Path 1 wider than the washer, edge 2 holes away
    found = fixed("rivet-nut-m5", "iso-7380-m5", "iso-7093-m5")
    assert found == Fastening(6.0, 15.0, 3.75, 16.0, 24.0, 0.0, (7.9, 0.6))


def test_an_m5_button_head_on_the_plastic_itself() -> None:
    found = fixed("rivet-nut-m5", "iso-7380-m5")
    assert (found.washer, found.stack, found.path) == (9.5, 2.75, 10.5)


def test_a_head_wider_than_its_washer_sets_the_path() -> None:
    # ISO 7380-2 M5: collar 11.8; ISO 7089 M5: 10 by 1.0
    found = fixed("rivet-nut-m5", "iso-7380-2-m5", "iso-7089-m5")
    assert (found.washer, found.path, found.stack) == (10.0, pytest.approx(12.8), 3.75)


def test_a_countersunk_head_is_let_in() -> None:
    # ISO 10642 M5: 11.2 sharp
    found = fixed("rivet-nut-m5", "iso-10642-m5")
    assert (found.sink, found.stack, found.washer, found.path) == (11.2, 0.0, 11.2, pytest.approx(12.2))


def test_a_wide_washer_keeps_its_own_wall_to_the_edge() -> None:
    # ISO 7094 M5: 18; with an edge of one hole's diameter the washer decides: 18 + 3
    assert fixed("rivet-nut-m5", "iso-7380-m5", "iso-7094-m5", edge=1.0).disc == 21.0
    assert fixed("rivet-nut-m5", "iso-7380-m5", "iso-7094-m5").disc == 24.0


@pytest.mark.parametrize(
    ("hardware", "proud"),
    [
        ("rivet-nut-m5", (7.9, 0.6)),
        ("rivet-nut-m5-flat", (11.0, 1.0)),
        ("rivet-nut-m5-pan", (10.54, 0.76)),
        ("expansion-nut-m5", (14.0, 1.5)),
        ("clip-nut-m5", (23.0, 0.9)),  # it may come from any side: twice its reach
        ("through-m5", None),
        ("thread-m5", None),
    ],
)
def test_what_stands_proud(hardware: str, proud: tuple[float, float] | None) -> None:
    assert fixed(hardware, "iso-7380-m5").proud == proud


def test_growth_widens_the_hole_and_the_base_round_it_alone() -> None:
    parts = library()
    chosen = PanelFixing(parts["rivet-nut-m5"], parts["iso-7380-m5"], parts["iso-7093-m5"], 5.3)
    plain, grown = fastening(chosen, LIMITS, 6.0, 0.0), fastening(chosen, LIMITS, 6.0, 0.15)
    assert grown.hole == pytest.approx(6.15)
    assert (plain.disc, grown.disc) == pytest.approx((2 * LIMITS.edge * 6.0, 2 * LIMITS.edge * 6.15))
    assert (grown.path, grown.washer, grown.stack) == (plain.path, plain.washer, plain.stack)


@pytest.mark.parametrize(
    ("hardware", "hole"),
    [
        ("rivet-nut-m5", 7.2),
        ("rivet-nut-m5-flat", 8.0),
        ("expansion-nut-m5", 9.5),
        ("clip-nut-m5", 7.0),
        ("thread-m5", None),
    ],
)
def test_the_panel_hole_that_hardware_needs(hardware: str, hole: float | None) -> None:
    assert library()[hardware].needs == hole


def test_a_bolt_needs_a_panel_hole_as_wide_as_itself() -> None:
    assert library()["through-m5"].needs == 5.0


# --- the speaker's screws --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("item", "hole", "depth", "wall"),
    [
        ("insert-m4-short", 5.6, 4.7 + 0.8, 2.1),  # pocket as deep as the insert and 0.8; least wall by the table
        ("insert-m5", 6.4, 9.5 + 0.8, 2.6),
        ("pilot-4.0", 3.2, 8.0 + 2.0, 2.4),  # 0.80 d; relief below the thread half a diameter deep
        ("pilot-4.0-asa", 3.12, 8.0 + 2.0, 2.44),  # 0.78 d
    ],
)
def test_pockets(item: str, hole: float, depth: float, wall: float) -> None:
    part = library()[item]
    assert part.pocket(LIMITS, 0.0) == Pocket(hole, pytest.approx(depth), wall, None)
    assert part.pocket(LIMITS, 0.12).hole == pytest.approx(hole + 0.12)


@pytest.mark.parametrize("item", ["pilot-3.0", "pilot-4.0", "pilot-5.0", "pilot-4.0-asa"])
def test_a_boss_is_twice_as_wide_as_its_thread_forming_screw(item: str) -> None:
    # one screw maker's table for ABS, PC-ABS and ASA: boss 2.0 d outside, engagement 2.0 d
    part = library()[item]
    need = part.pocket(LIMITS, 0.0)
    assert need.hole + 2 * need.wall == pytest.approx(2 * part.diameter)
    assert need.depth >= 2 * part.diameter


@pytest.mark.parametrize(("item", "nut"), [("through-m4", 7.0), ("through-m5", 8.0), ("through-m6", 10.0)])
def test_a_nut_has_room_across_its_corners(item: str, nut: float) -> None:
    # a hexagon is 2/√3 as wide across corners as across flats; 1 more for the spanner
    part = library()[item]
    need = part.pocket(LIMITS, 0.0)
    assert need.nut == (pytest.approx(nut * 2 / sqrt(3) + 1), part.nut_height)
    assert (need.depth, need.wall) == (0.0, LIMITS.wall_least)
    assert need.hole == (part.hole or part.nominal + 1.0)
