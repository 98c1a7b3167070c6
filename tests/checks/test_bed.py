"""Whether a part lies on a bed, by the formula of a turned bar: w = l·cos a + b·sin a, d = l·sin a + b·cos a."""

from math import cos, radians, sin, sqrt

import numpy as np
import pytest

from mounts.checks.printing.findings import TURNS, bed_finding
from mounts.findings.report import Verdict
from mounts.geometry.frames import Array
from mounts.geometry.outline import circle
from mounts.load.models.workshop import Printer


def printer(x: float, y: float, z: float = 180.0) -> Printer:
    return Printer.model_validate({"kind": "printer", "name": "small", "bed": [x, y, z]})


def bar(length: float, breadth: float) -> Array:
    """Corners of a bar that lies along x somewhere beside the origin, (4, 2) float."""
    return np.array([(30 + a * length / 2, b * breadth / 2 - 7) for a in (-1, 1) for b in (-1, 1)])


def test_a_part_that_fits_as_it_lies_is_left_as_it_lies() -> None:
    found = bed_finding(bar(150.0, 20.0), 40.0, printer(180.0, 160.0))
    assert (found.code, found.verdict, found.advice) == ("bed", Verdict.PASS, "")
    assert found.closed_form == pytest.approx(30.0)
    assert (found.limit, found.what) == (0.0, "room left on the bed of small")


def test_a_long_bar_fits_across_the_diagonal() -> None:
    # 200 by 20 takes (200 + 20)/√2 = 155.56 both ways at 45 degrees
    found = bed_finding(bar(200.0, 20.0), 40.0, printer(180.0, 180.0))
    assert found.verdict is Verdict.PASS
    assert found.closed_form == pytest.approx(180 - 220 / sqrt(2), abs=1e-6)
    assert found.advice == "turn it by 45 degrees on the bed"


def test_on_a_bed_that_is_not_square_it_is_turned_until_both_ways_have_the_same_room() -> None:
    found = bed_finding(bar(230.0, 20.0), 40.0, printer(220.0, 180.0))
    rooms = [min(220 - 230 * cos(a) - 20 * sin(a), 180 - 230 * sin(a) - 20 * cos(a)) for a in np.radians(np.arange(90))]
    assert found.closed_form == pytest.approx(max(rooms), abs=1e-6)
    assert found.advice == f"turn it by {int(np.argmax(rooms))} degrees on the bed"
    assert TURNS[int(np.argmax(rooms))] == int(np.argmax(rooms))


def test_one_that_fits_only_the_other_way_round_is_nearly_turned_by_a_right_angle() -> None:
    found = bed_finding(bar(200.0, 60.0), 40.0, printer(160.0, 220.0))
    a = radians(89)
    assert found.verdict is Verdict.PASS
    assert found.closed_form is not None
    assert found.closed_form >= min(160 - 200 * cos(a) - 60 * sin(a), 220 - 200 * sin(a) - 60 * cos(a))


def test_exactly_as_wide_as_the_bed_fits() -> None:
    found = bed_finding(circle(180.0).points(0.01), 180.0, printer(180.0, 180.0))
    assert (found.verdict, found.advice) == (Verdict.PASS, "")
    assert found.closed_form == pytest.approx(0.0, abs=0.03)
    assert bed_finding(bar(180.0 + 1e-9, 180.0), 10.0, printer(180.0, 180.0)).verdict is Verdict.PASS
    assert bed_finding(bar(180.0, 20.0), 10.0, printer(180.0, 180.0)).advice == ""


def test_too_wide_says_by_how_much_and_what_it_needs() -> None:
    found = bed_finding(bar(230.0, 130.0), 31.0, printer(180.0, 180.0))
    room = max(min(180 - 230 * cos(a) - 130 * sin(a), 180 - 230 * sin(a) - 130 * cos(a)) for a in np.radians(range(90)))
    assert found.verdict is Verdict.FAIL
    assert found.closed_form == pytest.approx(room, abs=1e-6)
    assert found.advice.startswith("it needs ")
    assert found.advice.endswith(" × 31, the bed of small has 180 × 180 × 180; take a larger printer")


def test_too_tall_fails_however_it_is_turned() -> None:
    found = bed_finding(bar(100.0, 100.0), 181.5, printer(180.0, 180.0))
    assert (found.verdict, found.closed_form) == (Verdict.FAIL, pytest.approx(-1.5))
    assert found.advice == "it needs 100 × 100 × 182, the bed of small has 180 × 180 × 180; take a larger printer"
