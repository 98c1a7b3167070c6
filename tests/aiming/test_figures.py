"""Plot and section: to scale, true to the mesh, and no label on another."""

from __future__ import annotations

from itertools import combinations
from math import atan2, degrees

import numpy as np
import pytest
import trimesh
from PIL import ImageFont

from mounts.aiming.plot import Scales, figures, level_plot
from mounts.aiming.section import draw_section
from mounts.design.drawing import Area, Drawing, DrawnText, Fill, Ink, PenLine
from mounts.geometry.frames import Frame, clock_vector
from mounts.kernels import mesh
from mounts.kernels.sections import part_loops
from mounts.kinds.ring.shape import draw_ring
from mounts.write.text_shaping import FONT

DEMOS = [
    "linnet-woofer",
    "linnet-dash-tweeter-press",
    "linnet-sail-tweeter-flange",
    "linnet-slider-oblong",
    "linnet-cargo-glass",
    "linnet-rear-oval",
    "linnet-front-collar",
]


def words(figure: Drawing) -> list[DrawnText]:
    return [item for item in figure.items if isinstance(item, DrawnText)]


def room_of(said: DrawnText) -> tuple[float, float, float, float]:
    """The box that words take, by the font's own widths."""
    long = ImageFont.truetype(str(FONT), 100).getlength(said.text) * said.em / 100
    left = {"start": 0.0, "middle": -long / 2, "end": -long}[said.anchor]
    (x, y), half = said.at, said.height / 2
    if said.turn:
        return (x - half, y + left, x + half, y + left + long)
    return (x + left, y - half, x + left + long, y + half)


@pytest.mark.parametrize("name", DEMOS)
def test_no_words_lie_on_others_or_beyond_the_edge(demo, name) -> None:
    for stem, figure in figures(demo(name)):
        rooms = [(said.text, room_of(said)) for said in words(figure)]
        for text, (x0, y0, x1, y1) in rooms:
            assert min(x0, y0) >= 0, (stem, text)
            assert x1 <= figure.box[2], (stem, text)
            assert y1 <= figure.box[3], (stem, text)
        for (one, a), (other, b) in combinations(rooms, 2):
            apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
            assert apart, (stem, one, other)


def test_the_section_is_to_scale(demo) -> None:
    """The demo ring at 1:2: its seat 22 above the face is 11 on paper, its depth 32.3 half of that."""
    figure = draw_section(demo("linnet-woofer").sides[0])
    assert figure is not None
    assert any("Scale 1:2" in said.text for said in words(figure))
    dimensions = {said.text: said.at for said in words(figure) if said.turn}
    lines = [item for item in figure.items if isinstance(item, PenLine) and len(item.points) == 2]
    for text, (x, y) in dimensions.items():
        (line,) = [
            one for one in lines
            if one.points[0][0] == one.points[1][0] == pytest.approx(x + 2.0)
            and one.points[0][1] < y < one.points[1][1]
        ]  # fmt: skip
        assert abs(line.points[1][1] - line.points[0][1]) == pytest.approx(float(text) / 2, abs=0.03)
    assert set(dimensions) == {"22.0", "32.3"}


def test_the_red_line_is_the_line_to_the_ear_turned_into_the_plane(demo) -> None:
    (side,) = demo("linnet-woofer").sides
    figure = draw_section(side)
    assert figure is not None
    (line,) = [item for item in figure.items if isinstance(item, PenLine) and item.pen.ink is Ink.RED]
    way = np.array(side.heard[0].listener.ear) - np.array(side.seat.frame.origin)
    along = float(way[:2] @ np.array(clock_vector(315.0)))
    (x0, y0), (x1, y1) = line.points
    assert degrees(atan2(y1 - y0, x1 - x0)) == pytest.approx(degrees(atan2(way[2], along)), abs=1e-6)


def test_the_cut_is_that_of_trimesh(demo) -> None:
    """Area of the cut mount against trimesh's section of the same mesh by the same plane."""
    (side,) = demo("linnet-woofer").sides
    part = mesh.build(draw_ring(side.planned.plan).recipe, 128)
    hx, hy = clock_vector(315.0)
    plane = Frame((*side.seat.frame.origin[:2], 0.0), (hx, hy, 0.0), (hy, -hx, 0.0))
    loops = [np.array(loop) for loop in part_loops(part, plane)]
    ours = sum(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2 for x, y in (loop.T for loop in loops))
    whole = trimesh.Trimesh(part.vertices, part.triangles, process=False)
    section = whole.section(plane_origin=plane.origin, plane_normal=plane.z)
    assert section is not None
    theirs = section.to_2D()[0].area
    assert ours == pytest.approx(theirs, rel=1e-4)


def test_a_ring_cut_from_sheet_has_a_plot_and_no_section(demo) -> None:
    found = demo("linnet-front-sheet")
    assert [stem for stem, _ in figures(found)] == ["left.level"]
    assert [stem for stem, _ in figures(demo("linnet-rear-oval"))] == ["left.section"]  # nobody's ears are known


def test_the_plots_curve_is_the_level_that_is_told(demo) -> None:
    """Read off the chosen curve at the frequency that is told last, as a person with a ruler would."""
    found = demo("linnet-woofer")
    (side,) = found.sides
    figure = level_plot(side, found.speed)
    assert figure is not None
    blue = [item for item in figure.items if isinstance(item, PenLine) and item.pen.ink is Ink.BLUE]
    (curve,) = [line for line in blue if len(line.points) > 9]
    scales = Scales(200.0, 5000.0, -24.0)
    level = np.interp(scales.x(2800.0), *np.array(curve.points).T)
    assert level == pytest.approx(scales.y(-side.lost[1][-1]), abs=0.05)


def test_estimated_ears_are_drawn_with_their_spread(demo) -> None:
    (side,) = demo("linnet-dash-tweeter-press").sides
    plot = level_plot(side, 343.2)
    section = draw_section(side)
    assert plot is not None
    assert section is not None
    assert [item for item in plot.items if isinstance(item, Area) and item.fill == Fill(Ink.ICE)]
    assert sum(isinstance(item, PenLine) and item.pen.ink is Ink.RED for item in section.items) == 3


def test_inks_differ_in_grey() -> None:
    """Rec. 709 luma: what must be told apart on a grey copy differs by a tenth at least, or by its line."""
    inks = (Ink.BLACK, Ink.BLUE, Ink.GREY, Ink.SILVER, Ink.PAPER)
    luma = sorted(float(np.dot(ink.value, (0.2126, 0.7152, 0.0722))) for ink in inks)
    assert min(np.diff(luma)) > 0.1
