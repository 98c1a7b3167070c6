"""A screw in a sheet: its thread in the material, or what is published of the sheet, whichever gives first."""

from __future__ import annotations

from math import pi, sqrt
from pathlib import Path

import pytest

from mounts.checks.fastening.loads import grip_link
from mounts.load.models.hardware import Pilot
from mounts.load.resolve.library import Library

LIBRARY = Library(Path(__file__).parents[2] / "profiles")
PILOT = Pilot.model_validate(
    {"is": "pilot", "name": "any", "thread": "5.0", "diameter": 5, "hole": 4, "wall": 2.4, "engagement": 10}
)


@pytest.mark.parametrize("hold", [None, 10.0, 1000.0])
def test_the_weaker_of_thread_and_sheet_gives(hold: float | None) -> None:
    material = LIBRARY.get("material", "mdf").value.model_copy(update={"screw_hold": hold})
    thread = 0.5 * pi * 5 * 12 * 9.0 / sqrt(3)  # half of what the thread's cylinder bears in shear at 9 MPa, 12 long
    sheet = 0.6 * 10.0 * 12 * 5 / 4  # repeated 0.6; by the diameter, of which the figure is for 4
    grip = PILOT.grip(12.0, 12.0)
    assert grip is not None
    link = grip_link(grip, 9.0, material)
    assert link.bears == pytest.approx(sheet if hold == 10.0 else thread)
    assert link.what == ("screw out of the sheet" if hold == 10.0 else "thread out of the plastic")
