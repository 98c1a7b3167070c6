"""Outlines as they are given: their exact shape, greatest and least width. Areas by elementary formula."""

from math import hypot, pi
from typing import Any

import pytest
from pydantic import TypeAdapter

from mounts.geometry.outline import Arc, Line, Outline, convex_outline
from mounts.load.models.outline import Flange, OutlineSpec


@pytest.mark.parametrize(
    ("given", "area", "box", "widths"),
    [
        (120, pi / 4 * 120**2, (-60, -60, 60, 60), (120, 120)),
        ("4 3/4 in", pi / 4 * 120.65**2, (-60.325,) * 2 + (60.325,) * 2, (120.65, 120.65)),
        ({"round": 120}, pi / 4 * 120**2, (-60, -60, 60, 60), (120, 120)),
        ({"oblong": [150, 110]}, pi / 4 * 110**2 + 40 * 110, (-75, -55, 75, 55), (110, 150)),
        ({"oblong": [110, 150]}, pi / 4 * 110**2 + 40 * 110, (-55, -75, 55, 75), (110, 150)),
        ({"oblong": [110, 110]}, pi / 4 * 110**2, (-55, -55, 55, 55), (110, 110)),
        (
            {"rectangle": [150, 110, 20]},
            150 * 110 - (4 - pi) * 20**2,
            (-75, -55, 75, 55),
            (110, hypot(110, 70) + 40),
        ),
        ({"square": 130, "corner": 12}, 130**2 - (4 - pi) * 12**2, (-65, -65, 65, 65), (130, hypot(106, 106) + 24)),
        ({"rectangle": [100, 100, 50]}, pi / 4 * 100**2, (-50, -50, 50, 50), (100, 100)),
    ],
)
def test_shapes(given: Any, area: float, box: tuple[float, ...], widths: tuple[float, float]) -> None:
    spec = OutlineSpec.model_validate(given)
    outline = spec.outline()
    assert outline.is_convex
    assert outline.area == pytest.approx(area, rel=1e-12)
    assert outline.box == pytest.approx(box, abs=1e-9)
    assert (spec.least, spec.across) == pytest.approx(widths, abs=1e-9)
    assert spec.mirrored() is spec


def leaning() -> Outline:
    """A slot of 60 × 30 that leans by 30° to the right, so that its mirror image differs."""
    end = 30.0
    return convex_outline([Arc((15.0, 0.0), end, -90, 180), Arc((-15.0, 0.0), end, 90, 180)]).turned(30)


def test_a_drawn_outline_and_its_mirror_image() -> None:
    spec = OutlineSpec.model_validate({"outline": leaning()})
    assert spec.outline() == leaning()
    assert (spec.least, spec.across) == pytest.approx((30.0, 60.0), abs=1e-3)
    assert spec.mirrored().outline().box == pytest.approx(spec.outline().box)
    assert spec.outline().holds((20.0, 12.0))
    assert not spec.outline().holds((-20.0, 12.0))
    assert spec.mirrored().outline().holds((-20.0, 12.0))


@pytest.mark.parametrize("key", ["diameter", "round"])
def test_a_round_flange_has_either_name(key: str) -> None:
    flange = Flange.model_validate({key: 135, "thickness": 4, "ears": "1/2 in"})
    assert flange.outline().is_circle
    assert (flange.across, flange.thickness, flange.ears) == (135.0, 4.0, 12.7)


def test_a_flange_may_be_square_or_oblong() -> None:
    square = Flange.model_validate({"square": 130, "corner": 12, "thickness": 4})
    assert [type(span) for span in square.outline().spans] == [Arc, Line] * 4
    assert Flange.model_validate({"oblong": [230, 160], "thickness": 5}).across == 230.0


def test_models_never_change() -> None:
    spec = OutlineSpec.model_validate(120)
    with pytest.raises(ValueError, match="frozen"):
        spec.round = 130  # type: ignore[misc]
    assert TypeAdapter(OutlineSpec).validate_python(spec) is spec
