"""A clock reading that the others contradict by more than any door is bent."""

from __future__ import annotations

import pytest

from mounts.load.models.panel import Panel
from mounts.load.parse.document import parse
from mounts.load.resolve.contradictions import find_contradictions

DOOR = """\
kind: panel
name: door
side: left
opening: {round: 120}
fixings: {hole: 7, at: {A: [70, 20], B: [-70, 20], C: [0, -80]}}
behind: {glass: {at_clock: {"12:00": 52, "3:00": 55, "6:00": 60, "9:00": 57}}}
in_front: {grille: 53, trim: {at_clock: {"12:00": 45, "3:00": THREE, "6:00": 43, "9:00": 44}, opening: {round: 128}}}
"""


def told(tmp_path, text):
    document = parse(text, tmp_path / "door.yaml")
    return [str(problem) for problem in find_contradictions(Panel.model_validate(document.data), document)]


@pytest.mark.parametrize(("three", "is_told"), [(44, False), (14.1, False), (13.9, True), (4.4, True), (74.1, True)])
def test_a_slip_is_told_where_it_stands(tmp_path, three, is_told):
    """On a level circle opposite readings make the plane: 45 + 43 − 44 = 44 is what 3:00 should be."""
    found = told(tmp_path, DOOR.replace("THREE", str(three)))
    says = f"7:63 in_front.trim.at_clock.3:00: {three:g} lies far off the plane of the other readings, which make it 44"
    assert [line.partition("door.yaml:")[2] for line in found] == ([says] if is_told else [])


def test_a_trim_that_is_bent_like_a_saddle_is_no_slip(tmp_path):
    bent = DOOR.replace(
        '"12:00": 45, "3:00": THREE, "6:00": 43, "9:00": 44', '"12:00": 53, "3:00": 35, "6:00": 53, "9:00": 35'
    )
    assert told(tmp_path, bent) == []


def test_three_readings_make_their_plane(tmp_path):
    text = DOOR.replace(', "9:00": 44', "").replace("THREE", "4.4")
    assert told(tmp_path, text) == []
