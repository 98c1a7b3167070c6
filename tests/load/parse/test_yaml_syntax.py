"""What a person sees who mistypes YAML: the place of the mistake, not the one where a parser got stuck."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mounts.errors import InputError
from mounts.load.parse.document import parse

DOOR = """\
kind: panel
name: door
face:
  of: steel
  thickness: 0.9
fixings:
  hole: 7.0
  distances:
    between: inside edges
    level: [B, A]
behind:
  glass:
    at_clock: {"12:00": 60, "3:00": 62}
"""
HEAD = "this is not readable as YAML: "


@pytest.mark.parametrize(
    ("old", "new", "at", "says"),
    [
        ("    level", "   level", (10, 4), "this key begins in column 4; let it begin where its like do: between (5)"),
        (
            "    level",
            "      level",
            (10, 7),
            "this key begins in column 7; let it begin where its like do: between (5)",
        ),
        (
            "  hole: 7.0",
            "   hole: 7.0",
            (8, 3),
            "this key begins in column 3; let it begin where its like do: hole (4)",
        ),
        ("hole: 7.0", "hole 7.0", (7, 3), "no key is given here; write a colon and a space, as in hole: …"),
        ("hole: 7.0", "hole:7.0", (7, 3), "no key is given here; write a colon and a space, as in hole: …"),
        ("hole: 7.0", "hole = 7.0", (7, 3), "no key is given here; write a colon and a space, as in hole: …"),
        ("face:", "face", (3, 1), "no key is given here; write a colon and a space, as in face: …"),
        ("[B, A]", "[B, A", (10, 12), "the bracket [ that begins here does not end; close it with ]"),
        ('"3:00": 62}', '"3:00": 62', (13, 15), "the bracket { that begins here does not end; close it with }"),
        ('"3:00": 62}', '"3:00": 62]', (13, 39), "] stands where } is needed: line 13 has {"),
        ('60, "3:00"', '60 "3:00"', (13, 34), "a comma is missing before this, or a colon and a space after the word"),
        ("hole: 7.0", 'hole: "7.0" mm', (7, 15), "something stands after the closing quote; put all of the value in"),
        ("hole: 7.0", "hole: '7.0", (7, 9), "the quote ' that begins here does not end; close it, or take it out"),
        ("hole: 7.0", "hole: @7.0", (7, 9), "a value cannot begin with @; put it in quotes"),
        ("name: door", "name: door: left", (2, 11), "a second colon in this line; put the value in quotes"),
    ],
)
@pytest.mark.parametrize("pure", [False, True])
def test_the_mistake_is_told_where_it_stands(old, new, at, says, pure):
    with pytest.raises(InputError) as caught:
        parse(DOOR.replace(old, new, 1), Path("a.yaml"), pure=pure)
    (one,) = caught.value.problems
    assert one.what.startswith(HEAD + says)
    assert (one.line, one.column) == at


def test_a_decimal_comma_between_braces():
    (one,) = parse(DOOR.replace("60,", "60,5,"), Path("a.yaml")).problems
    assert str(one) == (
        "a.yaml:13:28 behind.glass.at_clock.5: a comma ends the value before it; write a decimal point, as in 0.5"
    )


@settings(max_examples=300, deadline=None)
@given(st.integers(0, len(DOOR) - 1), st.sampled_from(["", " ", ":", '"', "'", "[", "}", ",", "\n", "#", "- ", "@"]))
def test_any_slip_of_a_finger_ends_in_words(at, typed):
    try:
        parse(DOOR[:at] + typed + DOOR[at + 1 :], Path("a.yaml"))
    except InputError as error:
        (one,) = error.problems[:1]
        assert one.line >= 1
        assert one.column >= 1
        assert one.line <= DOOR.count("\n") + 2
