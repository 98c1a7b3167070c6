"""Drawings are values: equal when all on them is, and never changed."""

from dataclasses import FrozenInstanceError, replace

import pytest

from mounts.design.drawing import Cross, Drawing, Layer, Note, Stroke
from mounts.geometry.outline import circle

BASE = Drawing(
    title="linnet-woofer, left",
    captions=("seen from the cabin",),
    items=(Stroke(circle(120.0), Layer.CUT, "opening"), Cross((0.0, 0.0)), Note("12:00", (0.0, 45.0))),
)


def test_layers_bear_the_names_that_a_cutting_file_has() -> None:
    assert [str(layer) for layer in Layer] == ["CUT", "ENGRAVE", "REF"]


def test_what_is_not_said_is_for_the_eye_only() -> None:
    assert Cross((0.0, 0.0)) == Cross((0.0, 0.0), 6.0, Layer.REF)
    assert Note("12:00", (0.0, 45.0)) == Note("12:00", (0.0, 45.0), 3.0, 0.0, Layer.REF)
    assert Drawing("empty") == Drawing("empty", (), ())


def test_a_drawing_is_a_value() -> None:
    assert replace(BASE, title="linnet-woofer, right") != BASE
    assert replace(BASE, title="linnet-woofer, right", items=()) == replace(
        replace(BASE, items=()), title="linnet-woofer, right"
    )
    assert hash(BASE) == hash(replace(BASE))
    with pytest.raises(FrozenInstanceError):
        BASE.title = "other"  # type: ignore[misc]
