"""Both kernels over one bank of recipes: against closed formulas, against each other, and against the plan."""

from __future__ import annotations

import random

import numpy as np
import pytest

from mounts.errors import KernelError
from mounts.geometry.outline import circle, rectangle
from mounts.kernels import brep, mesh
from mounts.kernels.agreement import check_agreement, require_agreement
from mounts.kernels.booleans import TrackedShape, build_from_cells, fuse_then_cut
from mounts.shape.primitives import Prism
from mounts.shape.recipe import Recipe
from tests.kernels.bank import CASES, recipe
from tests.kernels.ring import FIXINGS, ring

PLATE = Prism(rectangle(40.0, 30.0, 0.0), 0.0, 5.0)


@pytest.mark.parametrize("name", CASES)
def test_kernels_agree_with_the_formula_and_with_each_other(name: str) -> None:
    case = CASES[name]
    part = brep.build(case.recipe)
    found = require_agreement(check_agreement(part, case.recipe))
    assert abs(found.difference_ppm) < 1
    assert found.shift < 1e-3
    assert part.solid.isValid()
    assert part.solid.ShapeType() == "Solid"
    if case.volume is not None:
        assert part.volume == pytest.approx(case.volume, rel=1e-7)
        assert found.mesh_volume == pytest.approx(case.volume, rel=1e-7)
    if case.centroid is not None:
        assert part.centroid == pytest.approx(np.array(case.centroid), abs=2e-6)
    if case.box is not None:
        corners = np.array([part.vertices.min(axis=0), part.vertices.max(axis=0)])
        assert corners == pytest.approx(np.array(case.box), abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_kernels_agree_on_random_rings(seed: int) -> None:
    dice = random.Random(seed)
    fixings = tuple((x + dice.uniform(-3, 3), y + dice.uniform(-3, 3)) for x, y in FIXINGS[: dice.choice((2, 3, 4))])
    drawn = ring(
        dice.choice(("wall", "base")),
        height=dice.uniform(24, 34),
        tilt=dice.choice((0.0, dice.uniform(0.1, 10))),
        toward=dice.uniform(0, 360),
        turn=dice.uniform(0, 90),
        fixings=fixings,
    )
    found = require_agreement(check_agreement(brep.build(drawn), drawn))
    assert abs(found.difference_ppm) < 3
    assert found.shift < 2e-3
    assert (found.solids, found.shells, found.brep_genus) == (1, 1, 1 + len(fixings))


def test_what_one_way_gets_wrong_another_gets_right() -> None:
    """Fusing first leaves edges of the base that do not meet here; splitting all at once does not."""
    fixings = (
        (55.791348780255255, 54.76928105360815),
        (57.313500335506895, -51.37004835134837),
        (-59.343689916408024, -51.428089956826376),
        (-60.006150715590636, 56.796522876924726),
    )
    drawn = ring("", height=32.73608392904437, tilt=0.0, fixings=fixings)
    with pytest.raises(KernelError, match=r"part demo-ring, triangulate .*: 56 of \d+ edges of triangles stay open"):
        brep.build(drawn, way=fuse_then_cut)
    part, found = brep.build_verified(drawn)
    assert require_agreement(found)
    assert part.solid.isValid()
    assert part.genus == 5


def test_every_way_makes_the_same_part() -> None:
    for name in ("ring wall", "ring base", "letters", "steps"):
        drawn = CASES[name].recipe
        volumes = [brep.build(drawn, way=way, graft=graft).volume for way, graft in brep.ATTEMPTS]
        assert volumes == pytest.approx([volumes[0]] * 3, rel=1e-6)


def test_another_way_is_asked_when_the_first_goes_astray(monkeypatch: pytest.MonkeyPatch) -> None:
    def careless(added: list[TrackedShape], tools: list[TrackedShape]) -> TrackedShape:
        return build_from_cells(added, tools[:-1])

    drawn = CASES["2 holes"].recipe
    monkeypatch.setattr(brep, "ATTEMPTS", ((careless, False), (fuse_then_cut, False)))
    part, found = brep.build_verified(drawn)
    assert part.volume == pytest.approx(CASES["2 holes"].volume, rel=1e-9)
    assert found.brep_genus == 2
    monkeypatch.setattr(brep, "ATTEMPTS", ((careless, False),))
    with pytest.raises(
        KernelError, match=r"part 2 holes: expected 2 through holes, got 1 \(B-rep kernel\) and 2 \(mesh"
    ):
        brep.build_verified(drawn)


def _message(drawn: Recipe) -> str:
    with pytest.raises(KernelError) as caught:
        require_agreement(check_agreement(brep.build(drawn), drawn))
    return str(caught.value)


def test_a_genus_that_the_plan_states_wrongly() -> None:
    drawn = recipe("plate", 2, (PLATE,), hole=Prism(circle(4.0), -1.0, 6.0))
    assert _message(drawn) == "part plate: expected 2 through holes, got 1 (B-rep kernel) and 1 (mesh kernel)"


def test_two_lumps() -> None:
    drawn = recipe("plate", 0, (PLATE,), saw=Prism(rectangle(1.0, 50.0, 0.0), -1.0, 6.0))
    assert _message(drawn) == "part plate: expected 1 solid, got 2 (B-rep kernel) and 2 (mesh kernel)"


def test_a_void_inside() -> None:
    drawn = recipe("plate", 0, (PLATE,), label=Prism(circle(4.0), 1.0, 4.0))
    assert _message(drawn) == "part plate: expected 1 shell, got 2 (B-rep kernel) and 2 (mesh kernel)"


def test_nothing_left() -> None:
    drawn = recipe("plate", 0, (PLATE,), saw=Prism(rectangle(50.0, 50.0, 0.0), -1.0, 6.0))
    with pytest.raises(KernelError, match="part plate: nothing is left, expected one solid, got 0 of 0 mm³"):
        brep.build(drawn)
    with pytest.raises(KernelError, match="mesh kernel: part plate, 2 bodies at 256 segments: encloses 0 mm³"):
        mesh.build(drawn)


def test_volumes_and_centroids_that_differ() -> None:
    drawn = recipe("plate", 0, (PLATE,), pocket=Prism(circle(4.0), 2.0, 6.0))
    other = recipe("plate", 0, (PLATE,), pocket=Prism(circle(4.0), 1.99, 6.0))
    with pytest.raises(KernelError, match=r"expected volumes within 10 ppm, got 59\d\d\.\d{3} mm³ .*, [+-]21\.\d ppm"):
        require_agreement(check_agreement(brep.build(drawn), other))
    moved = recipe("plate", 0, (PLATE,), pocket=Prism(circle(6.0, (6.0, 0.0)), 2.0, 6.0))
    there = recipe("plate", 0, (PLATE,), pocket=Prism(circle(6.0, (5.0, 0.0)), 2.0, 6.0))
    with pytest.raises(KernelError, match=r"part plate: expected centroids within 0.01 mm, got 0\.0143 mm between"):
        require_agreement(check_agreement(brep.build(moved), there))
