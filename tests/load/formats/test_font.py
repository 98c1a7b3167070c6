"""Label outlines, against the areas that fontTools finds by itself in the same font."""

import math
from itertools import pairwise

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.ttLib import TTFont
from shapely.geometry import Polygon

from mounts.load.formats.font import ALWAYS, FONT, SAG, load_glyphs
from mounts.load.models.job import Loop

LATIN = "".join(chr(code) for code in [*range(0x20, 0x7F), *range(0xA1, 0x180)])
WORDS = LATIN + ALWAYS + "ΑΒΓΔΩαβγλωЖЯдйёщ"


def area(loop: Loop) -> float:
    """Signed area by the shoelace formula, positive counter-clockwise."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(loop, loop[1:] + loop[:1], strict=True)) / 2


@pytest.fixture(scope="module")
def font() -> TTFont:
    return TTFont(FONT)


def test_areas_and_advances_in_ems(font: TTFont) -> None:
    shapes, names, em = font.getGlyphSet(), font.getBestCmap(), font["head"].unitsPerEm
    for character, glyph in load_glyphs([WORDS]).items():
        pen = AreaPen(shapes)
        shapes[names[ord(character)]].draw(pen)
        around = sum(math.dist(p, q) for loop in glyph.loops for p, q in pairwise((*loop, loop[0])))
        assert glyph.advance == shapes[names[ord(character)]].width / em
        assert sum(map(area, glyph.loops)) == pytest.approx(-pen.value / em**2, abs=SAG * around + 1e-12)


def test_solid_runs_counter_clockwise_and_its_holes_clockwise() -> None:
    """Solid in hole in solid, to any depth; only solid loops may overlap."""
    for character, glyph in load_glyphs([WORDS]).items():
        shapes = [Polygon(loop) for loop in glyph.loops]
        assert all(shape.is_valid for shape in shapes), character
        for k, shape in enumerate(shapes):
            around = [
                1 if area(glyph.loops[j]) > 0 else -1
                for j, other in enumerate(shapes)
                if j != k and other.contains(shape)
            ]
            assert sum(around) == (0 if area(glyph.loops[k]) > 0 else 1), character
            for j, other in enumerate(shapes[:k]):
                if area(glyph.loops[j]) < 0 or area(glyph.loops[k]) < 0:
                    assert not shape.boundary.intersects(other.boundary), character


def test_an_arrow_points_where_it_says() -> None:
    found = load_glyphs(["→←↑"])
    widest = {c: max((p for loop in found[c].loops for p in loop), key=lambda p: p[0]) for c in found}
    assert widest["→"][0] > 0.5
    tips = [p for p in found["→"].loops[0] if p[0] > widest["→"][0] - 1e-9]
    assert len(tips) <= 2
    assert found["←"].loops[0] != found["→"].loops[0]


@pytest.mark.parametrize("missing", ["\U0001f99c", "漢"])
def test_what_the_font_lacks_is_its_empty_box(missing: str) -> None:
    found = load_glyphs([missing])[missing]
    assert [area(loop) > 0 for loop in found.loops] == [True, False]
    assert all(len(loop) == 4 for loop in found.loops)


def test_a_space_takes_room_and_has_no_outline() -> None:
    space = load_glyphs([" "])[" "]
    assert space.loops == ()
    assert space.advance > 0.2


def test_the_licence_is_shipped() -> None:
    assert "Bitstream Vera" in (FONT.parent / "LICENSE_DEJAVU").read_text(encoding="utf-8")
