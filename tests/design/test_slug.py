"""Names that every file system and STEP reader takes."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mounts.design.lettering import slug
from tests.geometry.shapes import QUICK


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("linnet-woofer-left", "linnet-woofer-left"),
        ("Linnet Woofer", "Linnet-Woofer"),
        ("été à Noël", "ete-a-Noel"),
        ("a/b\\c:d*e", "a-b-c-d-e"),
        ("..", "part"),
        ("", "part"),
        ("山🚐", "part"),
        ("--x--", "x"),
        ("½ inch ²", "1-2-inch-2"),
        ("a" * 100, "a" * 80),
        ("a" * 79 + " b", "a" * 79),
        (" " * 90 + "b", "b"),
    ],
)
def test_slugs(text: str, name: str) -> None:
    assert slug(text) == name


@QUICK
@given(st.text(max_size=200))
def test_letters_digits_and_hyphens_between_them(text: str) -> None:
    assert re.fullmatch(r"[A-Za-z0-9]+(-[A-Za-z0-9]+)*", slug(text))
    assert len(slug(text)) <= 80
    assert slug(slug(text)) == slug(text)
