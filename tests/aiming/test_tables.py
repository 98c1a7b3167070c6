"""The words on the screen."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rich.console import Console

from mounts.aiming.tables import NO_EARS, NO_PISTON, aim_table, choice_lines
from mounts.design.choice import Active, Choice, Faced
from mounts.design.listening import Listener, arrivals, frequency_text
from mounts.lengths import Units
from mounts.load.models.job import AimAngles
from tests.idents import pair

EAR = Listener("this_seat", "left seat", (0.0, 0.0, 1.0), (0.0, 0.0, 1.0), (0.0, 0.0, 1.0), False, (3.0, 3.0, 3.0))
GLASS = Active("clear.glass", pair("body", "glass"), 11.6, 10.0, 1.6, "behind.glass", "mm", 0.55)


def on_screen(found) -> str:
    console = Console(width=80, highlight=False, no_color=True)
    with console.capture() as caught:
        console.print(aim_table(found))
    return caught.get()


def chosen(**changes) -> Choice:
    """A choice whose fields that are not told here are left as the solver's own."""
    given = {
        "aim": AimAngles(11.0, 300.0), "height": 24.0, "seat_offset": (0.0, 2.0), "turn": 0.0,
        "faced": (Faced(EAR, 1.0, 45.2, 56.0),), "angle": 45.2, "active": (GLASS,), "sure": 0.95, "quantile": 1.64,
        "misses": 0.0, **changes,
    }  # fmt: skip
    return Choice(**{name: given[name] for name in Choice.__dataclass_fields__})


def test_a_choice_says_what_holds_it_and_what_more_would_bring() -> None:
    lines = list(choice_lines(chosen(), Units.MM))
    assert lines[0] == "found: left seat 45.2°, with room for the readings' uncertainty at 95 %"
    assert lines[1] == "  held by body to glass: 11.6 mm; it needs 10 and 1.6 for the reading; 1 mm more gains 0.6°"


def test_a_limit_that_is_no_clearance_says_where_more_of_it_is_given() -> None:
    aside = Active("aside", pair("the seat", "the opening's centre"), 0.0, 0.0, 0.0, "limits.aside", "mm", 0.4)
    (_, line) = choice_lines(chosen(active=(aside,)), Units.MM)
    assert line == "  held by the seat to the opening's centre: 1 mm more of limits: {aside: …} gains 0.4°"


def test_where_only_the_height_was_sought_millimetres_are_told() -> None:
    lines = list(choice_lines(chosen(angle=None, faced=()), Units.MM))
    assert lines[0].startswith("height found")
    assert lines[1].endswith("1 mm more gains 0.6 mm of height")


def test_an_estimate_is_called_one(demo) -> None:
    said = on_screen(demo("linnet-dash-tweeter-press"))
    assert "ears ESTIMATED from the seat" in said
    assert "a short person 49.8°, a tall one 43.2° (5th and 95th of 100)" in said
    assert "UN R46" in said


def test_what_is_not_known_is_said(demo) -> None:
    assert NO_EARS.split(":")[0] in on_screen(demo("linnet-rear-oval"))
    found = demo("linnet-woofer")
    (side,) = found.sides
    deaf = replace(side, job=replace(side.job, speaker=side.job.speaker.model_copy(update={"piston": None})))
    said = on_screen(replace(found, sides=(replace(deaf, lost=((), ())),)))
    assert NO_PISTON.split(":")[0] in said
    assert "rigid piston" not in said


def test_the_tuners_table_has_a_row_for_every_mount_and_seat(demo) -> None:
    found = demo("linnet-woofer")
    ways = [
        replace(one.path, mount=mount, length=one.path.length + more)
        for one in found.arrivals
        for mount, more in (("front left", 0.0), ("front right", 490.0), ("dash left", 120.0))
    ]
    said = on_screen(replace(found, arrivals=arrivals(ways, 20.0)))
    rows = [line for line in said.splitlines() if line.startswith(("left seat  ", "right seat "))]
    assert len(rows) == 6
    assert rows[0].split()[2:4] == ["front", "right"]  # the furthest of a seat comes first and waits for none
    assert rows[0].split()[7] == "0.000"


@pytest.mark.parametrize(
    ("frequency", "said"), [(700, "700 Hz"), (1400, "1.4 kHz"), (16000, "16 kHz"), (99.6, "100 Hz")]
)
def test_frequencies_are_spoken(frequency, said) -> None:
    assert frequency_text(frequency) == said
