"""STEP files, read back with fresh eyes: name, unit, volume, features, and the holes' places and diameters."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from mounts import __version__
from mounts.errors import KernelError
from mounts.geometry.outline import circle, rectangle
from mounts.kernels import brep, mesh
from mounts.kernels.brep import volume_and_centroid
from mounts.kernels.part import Part
from mounts.kernels.readback import read_cylinders, read_solids
from mounts.shape.primitives import Prism
from mounts.write.step import ascii_name, step_bytes
from tests.kernels.bank import recipe
from tests.kernels.ring import FIXINGS, POCKETS_AT, SEAT, ring


@pytest.fixture(scope="module")
def part() -> Part:
    return brep.build(ring("base"))


@pytest.fixture(scope="module")
def step(part: Part) -> bytes:
    return step_bytes(part)


def test_the_solid_comes_back_whole(part: Part, step: bytes) -> None:
    (solid,) = read_solids(step)
    volume, centroid = volume_and_centroid(solid)
    assert volume == pytest.approx(part.volume, rel=1e-6)
    assert centroid == pytest.approx(part.centroid, abs=1e-4)
    assert solid.isValid()
    assert len(solid.Faces()) == part.face.max() + 1


def test_names_and_unit_stand_in_the_file(part: Part, step: bytes) -> None:
    text = step.decode("ascii")
    assert re.findall(r"= PRODUCT\('([^']*)'", text) == ["demo-ring"]
    assert "SI_UNIT(.MILLI.,.METRE.)" in text
    assert set(re.findall(r"LENGTH_UNIT\(\) NAMED_UNIT\(\*\) (SI_UNIT\([^)]*\))", text)) == {"SI_UNIT(.MILLI.,.METRE.)"}
    assert "Open CASCADE" not in text
    header = text.partition("ENDSEC;")[0]
    assert "'demo-ring, millimetres, panel frame'" in header and f"'mounts {__version__}'" in header
    named = re.findall(r"ADVANCED_FACE\('([^']*)'", text)
    faces = {part.features[feature].label: 0 for feature in part.feature}
    for _, feature in {*zip(part.face.tolist(), part.feature.tolist(), strict=True)}:
        faces[part.features[feature].label] += 1
    assert {name: named.count(name) for name in set(named)} == faces


def test_holes_are_true_cylinders_where_the_recipe_put_them(step: bytes) -> None:
    found = [hole for hole in read_cylinders(step) if hole.hole and hole.sweep == pytest.approx(360.0)]
    for x, y in FIXINGS:
        there = [h for h in found if np.hypot(h.start[0] - x, h.start[1] - y) < 1e-6]
        assert [h.diameter for h in there] == pytest.approx([11.0, 6.0, 16.0], abs=1e-9)
        assert [h.start[2] for h in there] == pytest.approx([0.0, 1.4, 4.5], abs=1e-6)
        assert [h.end[2] for h in there[:2]] == pytest.approx([1.4, 4.5], abs=1e-6)
        assert all(h.direction == pytest.approx((0.0, 0.0, 1.0), abs=1e-9) for h in there)
    for at in POCKETS_AT:
        (pocket,) = (h for h in found if np.abs(SEAT.into(h.start) - (*at, -8.0)).max() < 1e-6)
        assert pocket.diameter == pytest.approx(5.6, abs=1e-9)
        assert pocket.direction == pytest.approx(SEAT.z, abs=1e-9)
        assert SEAT.into(pocket.end)[2] == pytest.approx(-0.6, abs=1e-6)
    (bore,) = (h for h in found if h.diameter == pytest.approx(117.0))
    assert SEAT.into(bore.end) == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)


def test_posts_are_told_from_holes_and_pieces_are_joined(tmp_path: Path) -> None:
    post = Prism(circle(10.0), 4.0, 12.0)
    saw = Prism(rectangle(2.0, 30.0, 0.0), 9.0, 13.0)
    hole = Prism(circle(4.0, (15.0, 0.0)), -1.0, 6.0)
    drawn = recipe("post", 1, (Prism(rectangle(50.0, 20.0, 0.0), 0.0, 5.0), post), saw=saw, hole=hole)
    path = tmp_path / "post.step"
    path.write_bytes(step_bytes(brep.build(drawn)))
    found = read_cylinders(path)
    assert [(c.hole, round(c.diameter, 9)) for c in found] == [(False, 10.0), (True, 4.0)]
    assert found[0].start == pytest.approx((0.0, 0.0, 5.0), abs=1e-9)
    assert found[0].end == pytest.approx((0.0, 0.0, 12.0), abs=1e-9)
    assert found[1].start == pytest.approx((15.0, 0.0, 0.0), abs=1e-9)
    assert found[1].sweep == pytest.approx(360.0)


def test_names_are_plain_letters() -> None:
    assert ascii_name("Türverkleidung Ø165 'links'") == "Turverkleidung O165 -links-"
    assert ascii_name("ドア") == "--"
    assert ascii_name("") == "part"


def test_only_a_real_part_can_be_written() -> None:
    with pytest.raises(KernelError, match="part demo-ring: the mesh kernel has no solid for a STEP file"):
        step_bytes(mesh.build(ring(""), 48))


def test_what_is_no_step_file_is_refused() -> None:
    with pytest.raises(KernelError, match=r"part\.step is no STEP file that can be read"):
        read_solids(b"solid ascii\nendsolid\n")


def test_nothing_is_printed(capfd: pytest.CaptureFixture[str]) -> None:
    step_bytes(brep.build(recipe("plate", 0, (Prism(circle(20.0), 0.0, 3.0),))))
    assert capfd.readouterr().out == ""
