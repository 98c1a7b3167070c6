"""Outlines out of DXF files. $INSUNITS: 1 inch, 4 mm, 5 cm, 6 m (DXF reference, header variables); areas by formula."""

from collections.abc import Callable
from math import copysign, cos, pi, radians, sin, tau
from pathlib import Path
from random import Random
from typing import Any

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mounts.geometry.outline import Arc, Outline, polygon
from mounts.load.formats.convex import make_convex
from mounts.load.formats.dxf import read_outline

Draw = Callable[[Any], object]
SLOT = pi * 30**2 + 80 * 60


def drawn(folder: Path, draw: Draw, units: int = 4) -> Path:
    """A DXF file with what `draw` puts into its model space."""
    drawing = ezdxf.new()
    drawing.header["$INSUNITS"] = units
    draw(drawing.modelspace())
    path = folder / "traced.dxf"
    drawing.saveas(path)
    return path


def polyline(space: Any, points: list[tuple[float, ...]], **attributes: Any) -> None:
    space.add_lwpolyline(points, format="xyb", close=True, dxfattribs=attributes)


def slot(space: Any) -> None:
    polyline(space, [(-40, -30, 0), (40, -30, 1), (40, 30, 0), (-40, 30, 1)])


def slot_clockwise(space: Any) -> None:
    polyline(space, [(-40, 30, 0), (40, 30, -1), (40, -30, 0), (-40, -30, -1)])


def slot_seen_from_behind(space: Any) -> None:
    polyline(space, [(-40, -30, 0), (40, -30, 1), (40, 30, 0), (-40, 30, 1)], extrusion=(0, 0, -1))


def slot_old_polyline(space: Any) -> None:
    space.add_polyline2d([(-40, -30, 0), (40, -30, 1), (40, 30, 0), (-40, 30, 1)], format="xyb", close=True)


def slot_in_pieces(space: Any) -> None:
    """Lines and arcs in no order and no direction, with gaps of a few hundredths."""
    space.add_arc((40, 0), 30, -90, 90)
    space.add_line((-40.01, 30.02), (40, 29.99))
    space.add_line((-39.98, -30), (40, -30.03))
    space.add_arc((-40, 0), 30, 90, 270)
    space.add_text("opening, traced")
    space.add_point((0, 0))


def slot_rounded_to_hundredths(space: Any) -> None:
    """Turned by 17°, its corners' coordinates rounded, so that arcs and lines no longer meet quite smoothly."""
    c, s = cos(radians(17)), sin(radians(17))
    corners = [(-40, -30, 0), (40, -30, 1), (40, 30, 0), (-40, 30, 1)]
    polyline(space, [(round(x * c - y * s, 2), round(x * s + y * c, 2), b) for x, y, b in corners])


@pytest.mark.parametrize(
    ("draw", "rel"),
    [
        (slot, 1e-12),
        (slot_clockwise, 1e-12),
        (slot_seen_from_behind, 1e-12),
        (slot_old_polyline, 1e-12),
        (slot_in_pieces, 1e-12),
        (slot_rounded_to_hundredths, 1e-3),
    ],
)
def test_a_slot_keeps_its_arcs(tmp_path: Path, draw: Draw, rel: float) -> None:
    outline = read_outline(drawn(tmp_path, draw))
    assert outline.is_convex
    assert outline.area == pytest.approx(SLOT, rel=rel)
    assert [arc.diameter for arc in outline.arcs] == pytest.approx([60.0, 60.0], abs=0.02)
    assert len(outline.spans) == 4


@pytest.mark.parametrize(
    ("units", "unit", "diameter"),
    [(4, None, 120.0), (1, None, 3048.0), (5, None, 1200.0), (0, "mm", 120.0), (0, "in", 3048.0), (4, "mm", 120.0)],
)
def test_units(tmp_path: Path, units: int, unit: str | None, diameter: float) -> None:
    path = drawn(tmp_path, lambda space: space.add_circle((0, 0), 60), units)
    assert read_outline(path, unit) == Outline((Arc((0.0, 0.0), pytest.approx(diameter), 0.0, 360.0),))


def ellipse(space: Any) -> None:
    space.add_ellipse((0, 0), (110, 0), 0.68)


def chords(space: Any) -> None:
    turns = [k / 180 * tau for k in range(180)]
    polyline(space, [(110 * cos(turn), 74.8 * sin(turn), 0) for turn in turns])


@pytest.mark.parametrize("draw", [ellipse, chords])
def test_smooth_curves_become_few_smooth_arcs_close_by(tmp_path: Path, draw: Draw) -> None:
    """An ellipse is π·a·b; its least radius of curvature is b²/a, its greatest a²/b."""
    outline = read_outline(drawn(tmp_path, draw))
    assert outline.is_convex
    assert outline.area == pytest.approx(pi * 110 * 74.8, rel=3e-4)
    for turn in range(0, 360, 7):
        point = (110 * cos(radians(turn)), 74.8 * sin(radians(turn)))
        assert abs(outline.depth(point)) < 0.05
    radii = [arc.diameter / 2 for arc in outline.arcs]
    assert len(radii) <= 40
    assert min(radii) > 0.95 * 74.8**2 / 110
    assert max(radii) < 1.05 * 110**2 / 74.8


@given(
    width=st.floats(60, 300),
    height=st.floats(60, 300),
    power=st.floats(2.0, 6.0),
    count=st.integers(60, 400),
    lean=st.floats(0, 180),
)
@settings(deadline=None, max_examples=60)
def test_chords_of_any_rounded_shape_are_followed(
    width: float, height: float, power: float, count: int, lean: float
) -> None:
    """Superellipses from round to nearly square, traced with many chords or few, lying at any angle."""
    c, s = cos(radians(lean)), sin(radians(lean))
    points = []
    for k in range(count):
        x, y = cos(k / count * tau), sin(k / count * tau)
        x, y = width / 2 * copysign(abs(x) ** (2 / power), x), height / 2 * copysign(abs(y) ** (2 / power), y)
        points.append((x * c - y * s, x * s + y * c))
    found = make_convex(polygon(points), 0.05)
    assert found is not None
    assert found.is_convex
    assert max(abs(found.depth(point)) for point in points) < 0.05
    assert found.area == pytest.approx(polygon(points).area, rel=2e-3)
    assert all(arc.diameter > 0 for arc in found.arcs)


def test_thousands_of_short_lines_in_any_order_are_joined_and_thinned(tmp_path: Path) -> None:
    """An ellipse of 140 by 110 in 6000 chords, whose area is π a b."""
    ring = [(70 * cos(tau * k / 6000), 55 * sin(tau * k / 6000)) for k in range(6000)]
    rows = [(ring[k - 1], ring[k])[:: 1 if k % 3 else -1] for k in range(6000)]
    Random(3).shuffle(rows)
    outline = read_outline(drawn(tmp_path, lambda space: [space.add_line(*row) for row in rows]))
    assert len(outline.spans) <= 40
    assert outline.area == pytest.approx(pi * 70 * 55, rel=2e-4)
    assert max(abs(outline.depth(point)) for point in ring[::50]) <= 0.05


def test_a_star_of_lines_is_refused_with_its_place(tmp_path: Path, said: Callable[..., str]) -> None:
    ends = [(50 * cos(tau * k / 300), 50 * sin(tau * k / 300)) for k in range(300)]
    path = drawn(tmp_path, lambda space: [space.add_line((2, 3), end) for end in ends])
    what = 'in "traced.dxf" more than 100 ends of lines meet at (2.00, 3.00); keep only the outline in it'
    assert said(read_outline, path) == what


def test_sharp_corners_get_the_least_radius(tmp_path: Path) -> None:
    corners = [(-50, -30, 0), (50, -30, 0), (50, 30, 0), (-50, 30, 0)]
    outline = read_outline(drawn(tmp_path, lambda space: polyline(space, corners)))
    assert [arc.diameter for arc in outline.arcs] == pytest.approx([1.0] * 4)
    assert outline.area == pytest.approx(6000 - (4 - pi) * 0.25, rel=1e-12)


def test_a_half_moon_is_rounded_where_arc_meets_line(tmp_path: Path) -> None:
    def half_moon(space: Any) -> None:
        space.add_arc((0, 0), 50, -120, 120)
        space.add_line((-25, 50 * sin(radians(120))), (-25, -50 * sin(radians(120))))

    outline = read_outline(drawn(tmp_path, half_moon))
    sector = 50**2 / 2 * (radians(240) - sin(radians(240)))
    assert outline.is_convex
    assert outline.area == pytest.approx(sector, rel=1e-3)
    assert min(arc.diameter for arc in outline.arcs) >= 1.0 - 1e-9


def open_angle(space: Any) -> None:
    space.add_line((0, 0), (10, 0))
    space.add_line((10, 0), (10, 10))


def two_circles(space: Any) -> None:
    space.add_circle((0, 0), 10)
    space.add_circle((30, 0), 10)


def hook(space: Any) -> None:
    polyline(space, [(-50, -50, 0), (50, -50, 0), (50, 0, 0), (0, 0.1, 0), (0, 50, 0), (-50, 50, 0)])


def dented(space: Any) -> None:
    polyline(space, [(-40, -30, 0), (40, -30, 1), (40, 30, 0.1), (-40, 30, 1)])


def dented_inward(space: Any) -> None:
    polyline(space, [(-40, -30, 0), (40, -30, 1), (40, 30, -0.1), (-40, 30, 1)])


BENT = "bends inward: the outline must bulge outward everywhere; give the largest convex outline inside it"


@pytest.mark.parametrize(
    ("draw", "units", "unit", "message"),
    [
        (slot, 0, None, '"traced.dxf" does not say its unit; give unit: mm or unit: in beside outline'),
        (slot, 4, "in", '"traced.dxf" is drawn in units of 1 mm, but unit says in; leave unit out'),
        (open_angle, 4, None, 'the outline in "traced.dxf" is open: 14.14 are missing at (10.00, 10.00)'),
        (two_circles, 4, None, '"traced.dxf" holds 2 outlines; keep one'),
        (hook, 4, None, f'the outline in "traced.dxf" {BENT}'),
        (dented_inward, 4, None, f'the outline in "traced.dxf" {BENT}'),
        (
            lambda space: space.add_circle((100, 0), 60),
            4,
            None,
            'the outline in "traced.dxf" does not go round the drawing\'s origin, where its centre belongs; its '
            "middle is at (100.00, 0.00)",
        ),
        (
            lambda space: space.add_circle((0, 0), 60),
            6,
            None,
            'the outline in "traced.dxf" is 120000 across; the most is 10000',
        ),
        (
            lambda space: space.add_text("nothing"),
            4,
            None,
            '"traced.dxf" holds no outline: no circle, polyline, lines, arcs, ellipse or spline',
        ),
        (
            lambda space: space.add_blockref("PART", (0, 0)),
            4,
            None,
            '"traced.dxf" holds INSERT, which is no outline; keep one closed outline in it',
        ),
    ],
)
def test_refused(  # noqa: PLR0917
    tmp_path: Path, said: Callable[..., str], draw: Draw, units: int, unit: str | None, message: str
) -> None:
    assert said(read_outline, drawn(tmp_path, draw, units), unit) == message


@pytest.mark.parametrize(
    "content", [b"", b"\x00\xff\x00", b"0\nSECTION\n", b"<html></html>", b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nx\n"]
)
def test_not_a_drawing(tmp_path: Path, content: bytes, said: Callable[..., str]) -> None:
    path = tmp_path / "junk.dxf"
    path.write_bytes(content)
    message = said(read_outline, path)
    assert message in {
        '"junk.dxf" is not a DXF file that can be read',
        '"junk.dxf" does not say its unit; give unit: mm or unit: in beside outline',
    }


def test_a_panel_takes_its_opening_from_a_drawing_and_mirrors_it(shop: Any) -> None:
    def leaning(space: Any) -> None:
        c, s = cos(radians(30)), sin(radians(30))
        corners = [(-20, -50, 0), (20, -50, 1), (20, 50, 0), (-20, 50, 1)]
        polyline(space, [(x * c - y * s, x * s + y * c, b) for x, y, b in corners])

    drawn(Path("profiles/panels"), leaning)
    shop.change("panels/door.yaml", "{round: 120}", "{outline: traced.dxf}")
    left, right = shop.load()
    opening, mirrored = left.panel.opening.outline(), right.panel.opening.outline()
    assert opening.box == pytest.approx((-67.3205, -60.0, 67.3205, 60.0), abs=1e-3)
    assert mirrored.box == pytest.approx(opening.box)
    assert opening.depth((-40.0, 40.0)) == pytest.approx(-mirrored.depth((-40.0, -40.0)) * -1)
    assert mirrored.depth((40.0, 40.0)) == pytest.approx(opening.depth((-40.0, 40.0)))
    assert mirrored.depth((-40.0, 40.0)) != pytest.approx(opening.depth((-40.0, 40.0)), abs=1.0)


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("none.dxf", 'there is no file "none.dxf" beside this one'),
        ("../out.dxf", '"../out.dxf" leaves the folder of this file; keep it inside'),
        ("link.dxf", '"link.dxf" leaves the folder of this file; keep it inside'),
    ],
)
def test_drawings_stay_beside_their_file(shop: Any, name: str, message: str) -> None:
    Path("profiles/out.dxf").write_text("", "utf-8")
    Path("profiles/panels/link.dxf").symlink_to(Path("profiles/out.dxf").resolve())
    shop.change("panels/door.yaml", "{round: 120}", f"{{outline: {name}}}")
    assert shop.problems() == [f"panels/door.yaml:7:20 opening.outline: {message}"]
