"""The table of demo jobs says what changed and what did not."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from tests.scale.table import compared, differences

HEAD = {"part": "left", "volume": 96297.195, "centroid": [6.85, -6.55, 10.53], "genus": 5, "solids": 1, "shells": 1}
KEPT: list[Any] = [
    {**HEAD, "surfaces": {"cylinder": 49, "plane": 483}, "not_measured": ["behind.glass"]},
    [5.6, [-62.645, -0.299, 10.25], [-63.186, 0.242, 15.697], 360.0],
    ["clear.thing", "body | bracket", "10 0 -30", 12.5, 12.4],
    ["clear.thing", "body | bracket", "-10 0 -30", 12.5],
    ["warn wall.floor", "speaker screw 1 | back", "-0.6 64.5 5.9", 8.1696],
]


def changed(line: int, key: Any, value: Any) -> list[Any]:
    now = deepcopy(KEPT)
    now[line][key] = value
    return now


def test_what_is_the_same_is_told_so() -> None:
    assert list(compared(KEPT, deepcopy(KEPT))) == []
    assert list(compared(KEPT, [KEPT[0], *KEPT[:0:-1]])) == []  # in any order


@pytest.mark.parametrize(
    ("line", "key", "value", "words"),
    [
        (0, "volume", 96297.395, "volume 96297.195 mm³ is now 96297.395 (+2.1 ppm)"),
        (0, "centroid", [6.8503, -6.55, 10.53], "centroid moved by 0.000300 mm"),
        (0, "genus", 4, "genus 5 is now 4"),
        (0, "surfaces", {"cylinder": 49, "plane": 482, "cone": 1}, "483 faces of type plane are now 482"),
        (0, "not_measured", [], "behind.glass is no longer among what was not measured"),
        (1, 0, 5.601, "hole 5.6 at [-62.645"),
        (2, 3, 12.501, "planned 12.5 is now 12.501"),
        (2, 4, 12.41, "measured 12.4 is now 12.41"),
        (4, 0, "wall.floor", "warn is now pass"),
        (4, 0, "warn wall.roof", "wall.floor 8.1696 (speaker screw 1 | back) at -0.6 64.5 5.9: gone"),
    ],
)
def test_each_change_is_told_in_words(line: int, key: Any, value: Any, words: str) -> None:
    found = differences(KEPT, changed(line, key, value))
    assert any(words in text for text in found), found


@pytest.mark.parametrize(("line", "key", "value"), [(0, "volume", 96297.27), (2, 3, 12.5001), (2, 4, 12.401)])
def test_less_than_a_millionth_or_a_rounding_is_no_change(line: int, key: Any, value: Any) -> None:
    assert differences(KEPT, changed(line, key, value)) == []


def test_new_names_and_places_are_told_but_are_no_difference() -> None:
    ((text, counts),) = compared(KEPT, changed(4, 2, "-0.6 64.5 7.9"))
    assert (text.endswith("at -0.6 64.5 5.9: now at -0.6 64.5 7.9"), counts) == (True, False)
    now = changed(2, 1, "body | bracket 1")
    now[3][1] = "body | bracket 2"
    assert differences(KEPT, now) == []
    words = [text for text, _ in compared(KEPT, now)]
    assert any('(body | bracket) at 10 0 -30: now called "body | bracket 1"' in text for text in words), words
    assert any('(body | bracket) at -10 0 -30: now called "body | bracket 2"' in text for text in words), words


def test_a_part_that_comes_or_goes_is_told() -> None:
    assert differences(KEPT, []) == ["left: not made any more"]
    assert differences([], KEPT) == ["left: new"]
