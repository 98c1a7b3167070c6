"""Text of any script. The order of mixed text is that of Unicode Standard Annex 9, worked out by hand."""

from __future__ import annotations

import unicodedata

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from mounts.write.text_shaping import CAP_HEIGHT, FONT, plain_text, shape_text


@pytest.mark.parametrize(
    ("given_text", "wanted"),
    [
        ("linnet <b>door</b> & co", "linnet <b>door</b> & co"),
        ("two\nlines\tand\r\nmore", "two lines and more"),
        ("red \x1b[31mtext\x07", "red [31mtext"),
        ("turned \u202eround\u2066", "turned round"),
        ("half \ud83d a letter", "half \ufffd a letter"),
        ("e\u0301", "é"),
        ("   ", ""),
    ],
)
def test_plain_keeps_what_is_seen(given_text: str, wanted: str) -> None:
    assert plain_text(given_text) == wanted


@pytest.mark.parametrize(
    ("given_text", "wanted"),
    [
        ("Żółw, Тест, ⌀ → ✓", "Żółw, Тест, ⌀ → ✓"),
        ("bus 🚐", "bus (minibus)"),
        ("山川 left", "(U+5C71 U+5DDD) left"),
        ("👨‍👩‍👧", "(man woman girl)"),
    ],
)
def test_what_the_font_lacks_is_told_in_words(given_text: str, wanted: str) -> None:
    assert shape_text(given_text) == wanted


@pytest.mark.parametrize(
    ("given_text", "wanted"),
    [
        ("דלת", "תלד"),
        ("דלת 12", "12 תלד"),
        ("12 דלת", "תלד 12"),
        ("דלת 12.5 ב", "ב 12.5 תלד"),
        ("door דלת 12", "door 12 תלד"),
        ("דלת (abc)", "(abc) תלד"),
        ("bo\u0301x", "bóx"),
    ],
)
def test_right_to_left_text_is_put_in_visual_order(given_text: str, wanted: str) -> None:
    assert shape_text(given_text) == wanted


def test_arabic_letters_join() -> None:
    told = shape_text("\u0628\u0627\u0628")  # ba, alif, ba: "door"; alif joins only to the letter before it
    assert [unicodedata.name(letter) for letter in told] == [
        "ARABIC LETTER BEH ISOLATED FORM",
        "ARABIC LETTER ALEF FINAL FORM",
        "ARABIC LETTER BEH INITIAL FORM",
    ]


@given(st.text())
def test_every_drawable_letter_is_in_the_font(text: str) -> None:
    assert all(ord(letter) in GLYPHS for letter in shape_text(text))


def test_cap_height_is_the_fonts_own() -> None:
    with TTFont(FONT) as font:
        assert font["glyf"]["H"].yMax / font["head"].unitsPerEm == pytest.approx(CAP_HEIGHT, abs=1e-3)


with TTFont(FONT) as _font:
    GLYPHS = frozenset(_font.getBestCmap())
