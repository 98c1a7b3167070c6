"""A printer's file with a few values changed: everything else stays as it was written."""

from __future__ import annotations

from pathlib import Path

import pytest

from mounts.errors import InputError
from mounts.load.editing.edit import set_entries
from mounts.load.parse.document import parse

FILE = Path("p.yaml")
CASES = {
    "flow, one more": ("a: 1\ns: {petg: 0.2}   # mine\n", "a: 1\ns: {petg: 0.2, asa: 0.5}   # mine\n"),
    "flow, replaced": ("s: {asa: 0.2, b: 3} # x\n", "s: {asa: 0.5, b: 3} # x\n"),
    "flow, empty": ("s: {}\nb: 2\n", "s: {asa: 0.5}\nb: 2\n"),
    "flow over lines": ("s: {a: 1,\n    b: 2}  # c\n", "s: {a: 1,\n    b: 2, asa: 0.5}  # c\n"),
    "block": ("s:\n  petg: 0.2  # old\nb: 2\n", "s:\n  petg: 0.2  # old\n  asa: 0.5\nb: 2\n"),
    "block, replaced": ("s:\n  asa: 0.2  # old\n  b: 1\n", "s:\n  asa: 0.5  # old\n  b: 1\n"),
    "block of blocks": ("s:\n  asa:\n    3: 1\n    4: 2\n  b: 1\n", "s:\n  asa:\n    0.5\n  b: 1\n"),
    "no value": ("s:\nb: 2\n", "s: {asa: 0.5}\nb: 2\n"),
    "not there": ("b: 2\n", "b: 2\ns: {asa: 0.5}\n"),
    "no end of line": ("b: 2", "b: 2\ns: {asa: 0.5}\n"),
    "block without end of line": ("s:\n  a: 1", "s:\n  a: 1\n  asa: 0.5\n"),
    "windows": ("b: 2\r\ns: {}\r\n", "b: 2\r\ns: {asa: 0.5}\r\n"),
    "marked": ("\ufeffb: 2\n", "\ufeffb: 2\ns: {asa: 0.5}\n"),
    "accents before it": ("b: été  # ça\ns: {x: 1}\n", "b: été  # ça\ns: {x: 1, asa: 0.5}\n"),
}


@pytest.mark.parametrize("case", CASES)
def test_one_value_changes_and_nothing_else(case: str) -> None:
    before, after = CASES[case]
    assert set_entries(before, FILE, {("s", "asa"): "0.5"}) == after


def test_a_comment_takes_the_place_of_the_older_one() -> None:
    once = set_entries("b: 2\n", FILE, {("s", "asa"): "{3: 0.2, 20: 0.1}"}, "coupon of asa: shrink ± 0.1")
    twice = set_entries(once, FILE, {("s", "asa"): "0.5"}, "coupon of asa: shrink ± 0.2")
    assert once == "b: 2\ns: {asa: {3: 0.2, 20: 0.1}}\n# coupon of asa: shrink ± 0.1\n"
    assert twice == "b: 2\ns: {asa: 0.5}\n# coupon of asa: shrink ± 0.2\n"


def test_every_printer_of_the_library_can_be_edited() -> None:
    for path in (Path(__file__).parents[3] / "profiles" / "printers").glob("*.yaml"):
        text = path.read_text("utf-8")
        after = set_entries(
            text, path, {("shrink_pct", "asa"): "0.44", ("fits", "asa"): "{push: 0.1}"}, "coupon of asa: x"
        )
        assert parse(after, path).data["shrink_pct"]["asa"] == 0.44
        kept = [line for line in text.splitlines() if not line.startswith("shrink_pct")]
        assert [line for line in after.splitlines() if line in kept] == kept


def test_what_cannot_be_edited_says_what_to_write_by_hand() -> None:
    with pytest.raises(InputError, match=r"by hand: s: \{asa: 0.5\}"):
        set_entries("s: 3\n", FILE, {("s", "asa"): "0.5"})
