"""Text in lines: nothing is wider than its room, nothing is lost, names are broken where they have a joint."""

from __future__ import annotations

import pytest

from mounts.write.typesetting import text_width, wrap_text

SIZE = 4.0
TEXTS = (
    "a plain text of several words",
    "RIGHT · linnet-dash-tweeter-press",
    "linnet-front-collar/left.3mf",
    "W" * 60,
    "x" + "-" * 50,
)


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("room", [12.0, 25.0, 60.0])
def test_no_line_is_wider_than_its_room_and_no_letter_is_lost(text, room):
    lines = list(wrap_text(text, SIZE, room))
    assert all(text_width(line, SIZE) <= room for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_a_long_name_is_broken_after_a_joint():
    room = text_width("linnet-dash-twee", SIZE)
    assert list(wrap_text("linnet-dash-tweeter-press", SIZE, room)) == ["linnet-dash-", "tweeter-press"]
    assert list(wrap_text("linnet-front/left.3mf", SIZE, text_width("linnet-front/lef", SIZE))) == [
        "linnet-front/",
        "left.3mf",
    ]
