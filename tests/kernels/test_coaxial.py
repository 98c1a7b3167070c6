"""Coaxial cylinders of a feature become one body of revolution, and only those."""

from __future__ import annotations

from math import pi

import pytest

from mounts.geometry.frames import PANEL, Frame, tilt_frame
from mounts.geometry.outline import circle, rectangle
from mounts.kernels import mesh
from mounts.kernels.brep import merge_coaxial
from mounts.shape.primitives import Body, Prism, Revolved
from mounts.shape.recipe import Feature, Recipe
from tests.idents import ident
from tests.kernels.ring import ring

PLACE = tilt_frame((3.0, -2.0, 5.0), 20.0, 40.0)


def _bodies(*bodies: Body) -> tuple[Body, ...]:
    return merge_coaxial(Recipe("part", (Feature(ident("hole"), bodies, cut=True),), 0)).features[0].bodies


def _cylinder(diameter: float, low: float, high: float, frame: Frame = PLACE) -> Prism:
    return Prism(circle(diameter), low, high, frame)


def test_a_stepped_hole_is_one_body() -> None:
    (hole,) = _bodies(_cylinder(6.0, -1.0, 7.0), _cylinder(16.0, 4.5, 60.0), _cylinder(11.0, -1.0, 1.4))
    profile = ((-1.0, 11.0), (1.4, 11.0), (1.4, 6.0), (4.5, 6.0), (4.5, 16.0), (7.0, 16.0), (7.0, 16.0), (60.0, 16.0))
    assert hole == Revolved(PLACE, profile)
    volume = pi / 4 * (121.0 * 2.4 + 36.0 * 3.1 + 256.0 * 55.5)
    assert mesh.solid(hole, 512).volume() == pytest.approx(volume, rel=2e-4)


def test_heights_are_told_in_the_first_frame_wherever_the_others_stand() -> None:
    low, high = (
        _cylinder(6.0, 0.0, 4.0),
        Prism(circle(8.0, (2.0, 1.0)), 1.0, 3.0, PLACE.shifted(-2.0, -1.0).lifted(3.0)),
    )
    (hole,) = _bodies(low, high)
    assert isinstance(hole, Revolved)
    assert [z for z, _ in hole.profile] == pytest.approx([0.0, 4.0, 4.0, 6.0])
    assert [d for _, d in hole.profile] == [6.0, 8.0, 8.0, 8.0] or [d for _, d in hole.profile] == [6.0, 6.0, 8.0, 8.0]


@pytest.mark.parametrize(
    "other",
    [
        _cylinder(8.0, 5.0, 9.0),
        _cylinder(8.0, 2.0, 9.0, PLACE.shifted(0.001, 0.0)),
        _cylinder(8.0, 2.0, 9.0, PANEL),
        Prism(rectangle(8.0, 8.0, 1.0), 2.0, 9.0, PLACE),
        Prism(circle(8.0), 2.0, 9.0, PLACE, (circle(2.0),)),
        Revolved(PLACE, ((2.0, 8.0), (9.0, 8.0))),
    ],
    ids=["a gap between", "beside the axis", "another axis", "not round", "hollow", "turned already"],
)
def test_what_is_no_stack_stays_as_it_is(other: Body) -> None:
    first = _cylinder(6.0, 0.0, 4.0)
    assert _bodies(first, other) == (first, other)


def test_features_are_never_mixed() -> None:
    features = tuple(Feature(ident(name), (_cylinder(d, 0.0, 4.0),), cut=True) for name, d in (("a", 6.0), ("b", 8.0)))
    assert merge_coaxial(Recipe("part", features, 0)).features == features


def test_the_ring_keeps_its_volume() -> None:
    drawn = ring("")
    assert sum(len(f.bodies) for f in merge_coaxial(drawn).features) == sum(len(f.bodies) for f in drawn.features) - 8
    volumes = [mesh.build(one, 256).volume for one in (drawn, merge_coaxial(drawn))]
    assert volumes[0] == pytest.approx(volumes[1], rel=1e-5)
