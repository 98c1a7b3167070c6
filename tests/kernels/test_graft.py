"""What may be set in without a boolean, and that it gives the same part as the boolean does."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import pytest

from mounts.geometry.frames import PANEL, Frame, clock_vector, tilt_frame
from mounts.geometry.outline import circle, oblong, rectangle
from mounts.kernels import brep, grafting
from mounts.kernels.agreement import check_agreement, require_agreement
from mounts.kernels.booleans import TrackedShape, fuse_then_cut
from mounts.kernels.brep import build_verified
from mounts.kernels.grafting.plugs import Plug, find_plugs
from mounts.kernels.part import Part
from mounts.shape.primitives import Body, Prism
from mounts.shape.recipe import Recipe
from tests.kernels.bank import recipe, ruled
from tests.kernels.ring import glyph, ring, upright

PLATE = Prism(rectangle(60.0, 40.0, 0.0), 0.0, 10.0)


SLANT = tilt_frame((29.0, 0.0, 10.0), 40.0, 90.0)


def pocket(x: float, wide: float = 6.0, floor: float = 5.0, top: float = 11.0) -> Prism:
    return Prism(rectangle(wide, wide, 0.0), floor, top, PANEL.shifted(x, 0.0))


def hole(floor: float) -> Prism:
    return Prism(circle(3.0), -1.0, floor)


def _admitted(drawn: Recipe) -> Counter[str]:
    return Counter(drawn.features[plug.key[0]].ident.label for plug in find_plugs(drawn))


def test_letters_with_straight_sides_are_admitted() -> None:
    """Of DEMO RING LEFT the E, the N, I, L, E, F and T; what has round sides goes to the boolean."""
    for label in ("wall", "base"):
        drawn = ring(label)
        straight = [body for feature in drawn.features if feature.ident.label == "label" for body in feature.bodies]
        count = sum(not any(o.arcs for o in (body.outline, *body.islands)) for body in straight)
        assert 0 < count < len(straight)
        assert _admitted(drawn) == {"label": count}


@pytest.mark.parametrize(
    ("what", "cuts"),
    [
        ("through", {"a": pocket(0.0, floor=-1.0)}),
        ("over the edge", {"a": pocket(28.0)}),
        ("a hair from the edge", {"a": pocket(26.98)}),
        ("crossing", {"a": pocket(0.0), "b": pocket(5.0)}),
        ("a hair apart", {"a": pocket(0.0), "b": pocket(6.02)}),
        ("meeting below", {"a": pocket(0.0), "b": hole(5.0)}),
        ("floor a hair over the next", {"a": pocket(0.0), "b": hole(4.98)}),
        ("inside a larger one", {"a": pocket(0.0, wide=20.0, floor=8.0), "b": pocket(0.0)}),
        ("buried", {"a": pocket(0.0, floor=3.0, top=6.0)}),
        ("in the air", {"a": pocket(0.0, floor=12.0, top=15.0)}),
        ("from below", {"a": pocket(0.0, floor=-1.0, top=4.0)}),
        ("round", {"a": Prism(circle(6.0), 5.0, 11.0)}),
        (
            "at a slant over the edge",
            {"a": Prism(rectangle(6, 6, 0), -3.0, 3.0, tilt_frame((29.0, 0.0, 10.0), 40.0, 90.0))},
        ),
    ],
)
def test_what_does_not_stand_alone_is_not_admitted(what: str, cuts: dict[str, Body]) -> None:
    assert _admitted(recipe(what, 0, (PLATE,), **cuts)) == {}


def test_what_stands_just_far_enough_apart_is_admitted() -> None:
    drawn = recipe("apart", 0, (PLATE,), a=pocket(0.0), b=pocket(6.4), c=pocket(-26.6), d=hole(4.6))
    assert _admitted(drawn) == {"a": 1, "b": 1, "c": 1}


def test_a_face_hidden_under_another_body_takes_nothing() -> None:
    lid = Prism(rectangle(20.0, 20.0, 0.0), 9.0, 14.0)
    assert _admitted(recipe("lidded", 0, (PLATE, lid), a=pocket(0.0))) == {}
    assert _admitted(recipe("lidded", 0, (PLATE, lid), a=pocket(20.0))) == {"a": 1}


def _facing(clock: float, reach: float, z: float) -> Frame:
    hx, hy = clock_vector(clock)
    return upright((reach * hx, reach * hy, z), (hx, hy, 0.0))


TOWER = ruled((PANEL, circle(60.0)), (tilt_frame((0.0, 0.0, 30.0), 12.0, 300.0), circle(56.0)))
CONE = ruled((PANEL, circle(60.0)), (PANEL.lifted(20.0), circle(56.0)))
SHEARED = ruled((PANEL, oblong(60.0, 50.0)), (Frame((4.0, 2.0, 20.0)), oblong(60.0, 50.0)))
HOSTS: dict[str, tuple[Body, dict[str, Body]]] = {
    "in a cylinder": (Prism(circle(60.0), 0.0, 20.0), {"a": glyph("A", _facing(135.0, 30.0, 10.0))}),
    "in a cone": (CONE, {"a": glyph("E", _facing(135.0, 29.0, 10.0)), "b": glyph("N", _facing(160.0, 29.0, 10.0))}),
    "in a leaning tower": (TOWER, {"a": glyph("A", _facing(135.0, 29.2, 14.0))}),
    "in a sheared side": (SHEARED, {"a": glyph("T", _facing(80.0, 31.5, 10.0))}),
}


def _left(drawn: Recipe) -> tuple[Part, int]:
    """The part, and how many bodies were left to the boolean."""
    counts: list[int] = []

    def way(added: Sequence[TrackedShape], tools: Sequence[TrackedShape]) -> TrackedShape:
        counts.append(len(added) + len(tools))
        return fuse_then_cut(added, tools)

    part = brep.build(drawn, way=way)
    return part, counts[-1]


def _faces(part: Part) -> Counter[str]:
    """How many faces show each feature."""
    return Counter(
        part.features[feature] for _, feature in {*zip(part.face.tolist(), part.feature.tolist(), strict=True)}
    )


@pytest.mark.parametrize("name", HOSTS)
def test_a_graft_gives_what_the_boolean_gives(name: str) -> None:
    host, cuts = HOSTS[name]
    drawn = recipe("host", 0, (host,), **cuts)
    part, left = _left(drawn)
    assert left == 1
    plain = brep.build(drawn, graft=False)
    assert part.volume == pytest.approx(plain.volume, rel=1e-7)
    assert part.centroid == pytest.approx(plain.centroid, abs=1e-5)
    assert part.solid.isValid()
    assert _faces(part) == _faces(plain)
    assert abs(require_agreement(check_agreement(part, drawn)).difference_ppm) < 1


@pytest.mark.parametrize(
    ("where", "host", "letter"),
    [
        ("across a seam", TOWER, glyph("E", _facing(90.0, 29.2, 14.0))),
        ("in a flat side", PLATE, glyph("A", _facing(180.0, 20.0, 5.0))),
        ("with round sides", TOWER, glyph("O", _facing(135.0, 29.2, 14.0))),
    ],
)
def test_other_letters_are_left_to_the_boolean(where: str, host: Body, letter: Prism) -> None:
    drawn = recipe(where, 0, (host,), a=letter)
    part, left = _left(drawn)
    assert left == 2
    assert abs(require_agreement(check_agreement(part, drawn)).difference_ppm) < 1


def _mistaken(monkeypatch: pytest.MonkeyPatch, **letters: Prism) -> Recipe:
    """A tower with letters, all of which are taken for plugs."""
    wrong = tuple(Plug((k, 0), (0, 0), letter) for k, letter in enumerate(letters.values(), start=1))
    monkeypatch.setattr(grafting, "find_plugs", lambda recipe: wrong)
    return recipe("mistaken", 0, (TOWER,), **letters)


def test_letters_that_cross_are_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two letters that cross, taken for plugs: their overlap would count twice, and does not in the end."""
    places = (_facing(clock, 29.2, 14.0) for clock in (135.0, 139.0))
    drawn = _mistaken(monkeypatch, **dict(zip("ab", (glyph("E", place) for place in places), strict=True)))
    part, found = build_verified(drawn)
    assert part.volume == pytest.approx(brep.build(drawn, graft=False).volume, rel=1e-7)
    assert require_agreement(found)


def test_a_letter_over_the_edge_of_its_face_goes_to_the_boolean(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = _mistaken(monkeypatch, a=glyph("E", _facing(135.0, 29.2, 1.0)), b=glyph("E", _facing(160.0, 29.2, 14.0)))
    part, left = _left(drawn)
    assert left == 2
    assert part.volume == pytest.approx(brep.build(drawn, graft=False).volume, rel=1e-7)


def test_letters_of_a_part_in_two_lumps_are_left_to_the_boolean() -> None:
    saw = Prism(rectangle(1.0, 80.0, 0.0), -1.0, 45.0)
    drawn = recipe("sawn", 0, (TOWER,), saw=saw, a=glyph("E", _facing(135.0, 29.2, 14.0)))
    part, left = _left(drawn)
    assert left == 3
    assert (part.solids, part.shells) == (2, 2)
