"""What may be set in without a boolean, and that it gives the same part as the boolean does."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import acos, pi, sqrt

import cadquery
import pytest

from mounts.geometry.frames import PANEL, Frame, heading, tilted
from mounts.geometry.outline import circle, oblong, rectangle
from mounts.kernels import brep, brep_grafts
from mounts.kernels.agree import check_agreement, require_agreement
from mounts.kernels.brep_boolean import Owned, in_turn
from mounts.kernels.part import Part
from mounts.kernels.plugs import Plug, plugs
from mounts.kernels.proved import proved
from mounts.shape.primitives import Body, Prism, Revolved, Ruled
from mounts.shape.recipe import Recipe
from tests.kernels.bank import recipe, ruled
from tests.kernels.ring import glyph, ring, upright

PLATE = Prism(rectangle(60.0, 40.0, 0.0), 0.0, 10.0)


def pocket(x: float, y: float = 0.0, diameter: float = 6.0, floor: float = 5.0) -> Prism:
    return Prism(circle(diameter), floor, 11.0, PANEL.shifted(x, y))


def _admitted(drawn: Recipe) -> Counter[str]:
    return Counter(drawn.features[plug.key[0]].ident.label for plug in plugs(drawn))


def test_letters_pockets_and_groove_of_the_ring_are_admitted() -> None:
    pockets = {f"pocket {k}": 1 for k in range(4)}
    assert _admitted(ring("wall")) == {"label": 13, "groove": 1, **pockets}
    assert _admitted(ring("base")) == {"label": 13, "groove": 1, **pockets}


@pytest.mark.parametrize(
    ("what", "cuts"),
    [
        ("through", {"a": Prism(circle(6.0), -1.0, 11.0)}),
        ("over the edge", {"a": pocket(28.0)}),
        ("a hair from the edge", {"a": pocket(26.98)}),
        ("crossing", {"a": pocket(0.0), "b": pocket(5.0)}),
        ("a hair apart", {"a": pocket(0.0), "b": pocket(6.02)}),
        ("meeting below", {"a": pocket(0.0), "b": Prism(circle(3.0), -1.0, 5.0)}),
        ("floor a hair over the next", {"a": pocket(0.0), "b": Prism(circle(3.0), -1.0, 4.98)}),
        ("inside a larger one", {"a": pocket(0.0, diameter=20.0, floor=8.0), "b": pocket(0.0)}),
        ("buried", {"a": Prism(circle(6.0), 3.0, 6.0)}),
        ("in the air", {"a": Prism(circle(6.0), 12.0, 15.0)}),
        ("at a slant over the edge", {"a": Prism(circle(6.0), -3.0, 3.0, tilted((29.0, 0.0, 10.0), 40.0, 90.0))}),
    ],
)
def test_what_does_not_stand_alone_is_not_admitted(what: str, cuts: dict[str, Body]) -> None:
    assert _admitted(recipe(what, 0, (PLATE,), **cuts)) == {}


def test_what_stands_just_far_enough_apart_is_admitted() -> None:
    drawn = recipe("apart", 0, (PLATE,), a=pocket(0.0), b=pocket(6.4), c=pocket(-26.6), d=Prism(circle(3.0), -1.0, 4.6))
    assert _admitted(drawn) == {"a": 1, "b": 1, "c": 1, "d": 1}


def test_a_face_hidden_under_another_body_takes_nothing() -> None:
    lid = Prism(rectangle(20.0, 20.0, 0.0), 9.0, 14.0)
    assert _admitted(recipe("lidded", 0, (PLATE, lid), a=pocket(0.0))) == {}
    assert _admitted(recipe("lidded", 0, (PLATE, lid), a=pocket(20.0))) == {"a": 1, "body 1": 1}


def _slot(low: float, high: float) -> Ruled:
    """An oblong groove about the origin, as the shape stage draws one."""
    out, inner = oblong(30.0, 16.0), oblong(24.0, 10.0)
    levels = ((low, out), (high, out), (high, inner), (low, inner))
    return ruled(*((PANEL.lifted(z), outline) for z, outline in levels), closed=True)


def _facing(clock: float, reach: float, z: float) -> Frame:
    hx, hy = heading(clock)
    return upright((reach * hx, reach * hy, z), (hx, hy, 0.0))


HOLE = Prism(circle(4.0), -1.0, 11.0, PANEL.shifted(-6.0, 0.0))
LEAD_IN = Revolved(PANEL.shifted(15.0, 0.0), ((-1.0, 9.0), (0.0, 9.0), (2.0, 5.0), (6.0, 5.0)))
DOWN = Frame((5.0, 5.0, 10.0), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))
TOWER = ruled((PANEL, circle(60.0)), (tilted((0.0, 0.0, 30.0), 12.0, 300.0), circle(56.0)))
CONE = ruled((PANEL, circle(60.0)), (PANEL.lifted(20.0), circle(56.0)))
HOSTS: dict[str, tuple[Body, dict[str, Body]]] = {
    "pockets": (PLATE, {"a": pocket(-20.0), "b": pocket(20.0, 5.0), "c": pocket(0.0, 8.0, 3.0)}),
    "from below": (PLATE, {"a": Prism(rectangle(8.0, 6.0, 1.0), -1.0, 4.0), "b": LEAD_IN}),
    "upside down": (PLATE, {"a": Prism(circle(5.0), -1.0, 4.0, DOWN)}),
    "round what is there": (PLATE, {"a": _slot(7.0, 11.0), "b": pocket(6.0), "hole": HOLE, "c": pocket(22.0)}),
    "in a flat side": (PLATE, {"a": glyph("A", _facing(180.0, 20.0, 5.0))}),
    "in a cylinder": (Prism(circle(60.0), 0.0, 20.0), {"a": glyph("P", _facing(135.0, 30.0, 10.0))}),
    "in a cone": (CONE, {"a": glyph("D", _facing(135.0, 29.0, 10.0)), "b": glyph("R", _facing(160.0, 29.0, 10.0))}),
    "in a leaning tower": (TOWER, {"a": glyph("O", _facing(135.0, 29.2, 14.0))}),
    "a dot in a tower": (TOWER, {"a": Prism(circle(4.0), -2.0, 3.0, _facing(30.0, 29.2, 14.0))}),
}


def _left(drawn: Recipe) -> tuple[Part, int]:
    """The part, and how many bodies were left to the boolean."""
    counts: list[int] = []

    def way(added: Sequence[Owned], tools: Sequence[Owned]) -> Owned:
        counts.append(len(added) + len(tools))
        return in_turn(added, tools)

    part = brep.build(drawn, way=way)
    assert len(counts) == 1
    return part, counts[0]


def _faces(part: Part) -> Counter[str]:
    """How many faces show each feature."""
    return Counter(
        part.features[feature] for _, feature in {*zip(part.face.tolist(), part.feature.tolist(), strict=True)}
    )


# the wall of a dot in a curved face is made in two halves
HALVES = {"a dot in a tower"}


@pytest.mark.parametrize("name", HOSTS)
def test_a_graft_gives_what_the_boolean_gives(name: str) -> None:
    host, cuts = HOSTS[name]
    drawn = recipe("host", int("hole" in cuts), (host,), **cuts)
    part, left = _left(drawn)
    assert left == 1 + ("hole" in cuts)
    plain = brep.build(drawn, graft=False)
    assert part.volume == pytest.approx(plain.volume, rel=1e-7)
    assert part.centroid == pytest.approx(plain.centroid, abs=1e-5)
    assert cadquery.Shape.cast(part.solid).isValid()
    assert _faces(part) - _faces(plain) == ({"a": 1} if name in HALVES else {})
    assert abs(require_agreement(check_agreement(part, drawn)).difference_ppm) < 1


@pytest.mark.parametrize("name", [name for name in HOSTS if "hole" not in HOSTS[name][1]])
def test_raised_is_set_on_as_sunk_is_set_in(name: str) -> None:
    host, cuts = HOSTS[name]
    drawn = recipe("host", 0, (host, *cuts.values()))
    part, left = _left(drawn)
    plain = brep.build(drawn, graft=False)
    assert left == 1
    assert part.volume == pytest.approx(plain.volume, rel=1e-7)
    assert _faces(part) - _faces(plain) == ({"body 1": 1} if name in HALVES else {})
    assert cadquery.Shape.cast(part.solid).isValid()


def test_a_letter_across_a_seam_is_left_to_the_boolean() -> None:
    drawn = recipe("seam", 0, (TOWER,), a=glyph("O", _facing(90.0, 29.2, 14.0)))
    part, left = _left(drawn)
    assert left == 2
    assert abs(require_agreement(check_agreement(part, drawn)).difference_ppm) < 1


def test_what_the_guard_lets_through_wrongly_is_still_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two pockets that cross, taken for plugs: their overlap would count twice, and does not in the end."""
    drawn = recipe("crossing", 0, (PLATE,), a=pocket(0.0), b=pocket(5.0))
    wrong = tuple(Plug((k, 0), (0, 0), True, pocket(x), True) for k, x in ((1, 0.0), (2, 5.0)))
    monkeypatch.setattr(brep_grafts, "plugs", lambda recipe: wrong)
    part, found = proved(drawn)
    lens = 2 * 9.0 * acos(5.0 / 6.0) - 5.0 / 2 * sqrt(36.0 - 25.0)
    assert part.volume == pytest.approx(24000.0 - 5.0 * (18.0 * pi - lens), rel=1e-9)
    assert require_agreement(found)


def test_a_plug_too_large_for_its_face_goes_to_the_boolean(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = recipe("edge", 0, (PLATE,), a=pocket(28.0), b=pocket(0.0))
    wrong = tuple(Plug((k, 0), (0, 0), True, pocket(x), True) for k, x in ((1, 28.0), (2, 0.0)))
    monkeypatch.setattr(brep_grafts, "plugs", lambda recipe: wrong)
    part, _ = proved(drawn)
    half = 9.0 * acos(2.0 / 3.0) - 2.0 * sqrt(5.0)  # of the pocket beyond the edge
    assert part.volume == pytest.approx(24000.0 - 5.0 * (18.0 * pi - half), rel=1e-9)


def test_plugs_of_a_part_in_two_lumps_are_left_to_the_boolean() -> None:
    drawn = recipe("sawn", 0, (PLATE,), saw=Prism(rectangle(1.0, 50.0, 0.0), -1.0, 11.0), a=pocket(20.0))
    part = brep.build(drawn)
    assert (part.solids, part.shells) == (2, 2)
    assert part.volume == pytest.approx(59.0 * 400.0 - 45.0 * pi, rel=1e-9)


def test_volumes_by_formula_for_what_was_set_in() -> None:
    drawn = recipe("host", 0, (PLATE,), **HOSTS["pockets"][1])
    assert _left(drawn)[0].volume == pytest.approx(24000.0 - 5.0 * pi * (9.0 + 9.0 + 2.25), rel=1e-9)
