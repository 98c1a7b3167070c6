"""Text of any script made fit for a file, a screen and the one font that the tool ships.

A job may be called anything. `plain_text` takes away what is not a character to be seen (line ends, escape codes,
direction marks). `shape_text` goes further, for writers that put glyphs down one after another from the left: it puts
right-to-left text into visual order with joined Arabic letters, and spells out what the font lacks: "⚒" stays, an
unknown picture becomes "(minibus)", an unknown letter "(U+5C71)".
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache
from itertools import groupby
from pathlib import Path

FONT = Path(__file__).parent.parent / "data" / "DejaVuSans.ttf"
CAP_HEIGHT = 0.729  # of an em, DejaVu Sans
_UNSEEN = {"Cc": " ", "Zl": " ", "Zp": " ", "Cf": "", "Cs": "\ufffd", "Cn": "\ufffd", "Co": "\ufffd"}
_MIRRORED = str.maketrans("()[]{}<>«»‹›", ")(][}{><»«›‹")


def plain_text(text: str) -> str:
    """Return the text on one line: composed, without control, formatting and undefined characters, blanks single."""
    seen = "".join(_UNSEEN.get(unicodedata.category(c), c) for c in unicodedata.normalize("NFC", text))
    return " ".join(seen.split())


def shape_text(text: str) -> str:
    """Return the plain text in the order in which glyphs are put down, every character of it in the shipped font."""
    text = plain_text(text)
    return text if text.isascii() else "".join(_spell_out(_visual_order(text)))


@lru_cache(maxsize=1)
def _font_characters() -> frozenset[int]:
    from fontTools.ttLib import TTFont

    with TTFont(FONT, lazy=True) as font:
        return frozenset(font.getBestCmap())


def _spell_out(text: str) -> Iterator[str]:
    """Yield the pieces of the text, each run of characters that the font lacks described in one pair of brackets."""
    for known, run in groupby(text, lambda c: ord(c) in _font_characters()):
        letters = list(run)
        told = (_describe(c) for c in letters if not unicodedata.category(c).startswith("M"))
        yield "".join(letters) if known else f"({' '.join(told)})".replace("()", "")


def _describe(letter: str) -> str:
    if unicodedata.category(letter) in {"So", "Sk", "Sm"}:
        return unicodedata.name(letter, f"U+{ord(letter):04X}").lower()
    return f"U+{ord(letter):04X}"


def _visual_order(text: str) -> str:
    """Return the text from left to right as the eye meets it: a small form of the Unicode bidirectional algorithm.

    The first letter with a direction gives it to the line; runs against it are turned round. It knows no embeddings.
    """
    base = next((way for way in map(_direction, text) if way in "RL"), "L")
    ways = list(_directions(text, base))
    if "R" not in ways:
        return text
    runs = [
        ("".join(c for _, c in run), way)
        for way, run in groupby(_resolve_neutrals(text, ways, base), lambda pair: pair[0])
    ]
    turned = [_reverse(_join_letters(run)) if way == "R" else run for run, way in runs]
    return "".join(reversed(turned) if base == "R" else turned)


def _direction(letter: str) -> str:
    """Return R, L, # for a digit, or N for a letter without a direction of its own."""
    kinds = {"R": "R", "AL": "R", "L": "L", "EN": "#", "AN": "#"}
    return kinds.get(unicodedata.bidirectional(letter), "N")


def _directions(text: str, base: str) -> Iterator[str]:
    """Yield R, L or N of each letter; digits belong to the word before them."""
    word = base
    for letter in text:
        way = _direction(letter)
        word = way if way in "RL" else word
        yield word if way == "#" else way


def _resolve_neutrals(text: str, ways: list[str], base: str) -> Iterator[tuple[str, str]]:
    """Yield each letter's direction before it; one without takes its neighbours' where they agree, else the line's."""
    for i, letter in enumerate(text):
        way = ways[i]
        before = next((w for w in reversed(ways[:i]) if w != "N"), base)
        after = next((w for w in ways[i:] if w != "N"), base)
        if way == "N" and unicodedata.combining(letter):
            way = before
        elif way == "N":
            way = before if before == after and letter not in "()[]{}" else base
        yield way, letter


def _reverse(text: str) -> str:
    """Return letters from last to first, brackets turned; a number stays as it is, and so do marks on their letter."""
    pieces: list[str] = []
    for piece in re.findall(r"\d+(?:[.,:/]\d+)*|.", text):
        if pieces and unicodedata.combining(piece[0]):
            pieces[-1] += piece
        else:
            pieces.append(piece.translate(_MIRRORED))
    return "".join(reversed(pieces))


@lru_cache(maxsize=1)
def _presentation_forms() -> dict[str, dict[str, str]]:
    """Return the presentation forms of each Arabic letter, by the name of the form, from the Unicode tables."""
    forms: dict[str, dict[str, str]] = {}
    for code in (*range(0xFB50, 0xFBB2), *range(0xFE80, 0xFEF5)):
        kind, *letters = unicodedata.decomposition(chr(code)).split() or [""]
        if kind in {"<initial>", "<medial>", "<final>", "<isolated>"} and len(letters) == 1:
            forms.setdefault(chr(int(letters[0], 16)), {})[kind[1:-1]] = chr(code)
    return forms


def _join_letters(text: str) -> str:
    """Return the text with Arabic letters in the forms that join them to their neighbours."""
    base = [i for i, c in enumerate(text) if not unicodedata.combining(c)]
    out = list(text)
    for place, i in enumerate(base):
        forms = _presentation_forms().get(text[i], {})
        before = place > 0 and "initial" in _presentation_forms().get(text[base[place - 1]], {})
        after = place + 1 < len(base) and "final" in _presentation_forms().get(text[base[place + 1]], {})
        form = {(True, True): "medial", (True, False): "final", (False, True): "initial"}.get(
            (before, after), "isolated"
        )
        fallback = "final" if before else "isolated"  # a letter that joins only to the one before it
        out[i] = forms.get(form) or forms.get(fallback) or text[i]
    return "".join(out)
