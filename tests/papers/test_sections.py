"""Sections and hidden lines against trimesh and the part's own box."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh

from mounts.design.drawing import Area, Callout
from mounts.geometry.frames import Frame
from mounts.geometry.outline import circle
from mounts.identity import BODY
from mounts.kernels.hidden_lines import visible_edges
from mounts.kernels.sections import body_loops, part_loops
from mounts.papers.caliper import caliper_checks
from mounts.papers.section import DARK, HATCHED, section_view
from mounts.papers.sheets import drawing_sheet, front_view
from mounts.papers.values import ViewFigure
from mounts.shape.primitives import Prism
from mounts.write.layout import SCALES, lay_out


def area(loops):
    """Area inside loops, holes taken off: by shapely."""
    rings = [shapely.Polygon(loop) for loop in loops]
    found = shapely.Polygon()
    for ring in rings:
        found = found.symmetric_difference(ring)
    return found.area


def test_a_cut_is_what_trimesh_cuts(ring):
    upright = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0))
    mesh = trimesh.Trimesh(ring.part.vertices, ring.part.triangles)
    theirs = mesh.section(plane_origin=(0, 0, 0), plane_normal=(0, -1, 0)).to_2D()[0].area
    assert area(part_loops(ring.part, upright)) == pytest.approx(theirs, rel=1e-6)


def test_a_window_bounds_what_is_shown():
    plate = Prism(circle(200.0), -3.0, 0.0)
    upright = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0))
    (loop,) = body_loops((plate,), upright, (-30.0, -10.0, 50.0, 10.0))
    us, vs = zip(*loop, strict=True)
    assert (min(us), max(us), min(vs), max(vs)) == pytest.approx((-30, 50, -3, 0))


def test_the_cut_runs_through_the_low_and_the_high_side(ring):
    view = section_view(ring)
    (mount,) = [shown for shown in view.items if isinstance(shown, Area) and shown.fill == HATCHED]
    corners = np.array([point for loop in mount.loops for point in loop])
    for check in caliper_checks(ring)[2:4]:  # low and high side
        x, y, z = check.ends[1]
        way = 1 if check.what == "low side" else -1
        assert np.linalg.norm(corners - (way * np.hypot(x, y), z), axis=1).min() < 0.1
    assert "10:30 at the right" in view.title


def test_every_thing_that_was_measured_is_in_the_cut_with_its_clearance(ring):
    said = " ".join(item.text for item in section_view(ring).items if isinstance(item, Callout))
    for name in ("glass", "trim", "grille", "sheet", "lift rail", "terminals"):
        assert f"{name}: " in said
    glass = next(f for f in ring.report.findings if f.code == "clear.glass" and BODY in f.between)
    assert f"glass: {glass.measured:.1f} to body (min 10)" in said


def test_hidden_lines_fill_the_parts_box_and_no_more(cup):
    for frame in (Frame(), Frame(x=(-1.0, 0.0, 0.0), z=(0.0, 0.0, -1.0))):
        drawn = visible_edges(cup.part, frame)
        points = np.array([point for path in (*drawn.sharp, *drawn.smooth) for point in path])
        flat = frame.into(cup.part.vertices)[:, :2]
        np.testing.assert_allclose(points.min(axis=0), flat.min(axis=0), atol=0.06)
        np.testing.assert_allclose(points.max(axis=0), flat.max(axis=0), atol=0.06)


def test_what_lies_behind_is_not_seen(ring):
    """From the cabin the four recesses of the back are hidden; from behind they are seen."""

    def circles(frame):
        found = [np.array(path) for path in visible_edges(ring.part, frame).sharp]
        return [p for p in found if abs(np.ptp(p[:, 0]) - 9.9) < 0.1 and abs(np.ptp(p[:, 1]) - 9.9) < 0.1]

    assert len(circles(Frame(x=(-1.0, 0.0, 0.0), z=(0.0, 0.0, -1.0)))) >= 4
    assert circles(Frame()) == []


def test_views_are_at_usual_scales_and_inside_their_paper(all_kinds):
    for made in all_kinds:
        for view in (front_view(made), section_view(made)):
            drawing, scale = lay_out(view, 190.0, 100.0)
            one, other = scale.split(" : ")
            assert float(one) / float(other) == pytest.approx(
                min(SCALES, key=lambda s: abs(s - float(one) / float(other)))
            )
            points = [p for item in drawing.items for p in getattr(item, "points", ())]
            assert all(-1 <= x <= 191 and -1 <= y <= 101 for x, y in points)


def test_every_part_has_its_drawing(all_kinds):
    for made in all_kinds:
        assert sum(isinstance(block, ViewFigure) for block in drawing_sheet(made).blocks) >= 2


def test_a_trim_is_drawn_as_a_plate_since_nobody_measures_how_thick_it_is(ring):
    shown = section_view(ring)
    dark = [item for item in shown.items if isinstance(item, Area) and item.fill == DARK]
    levels = [v for area in dark for loop in area.loops for _, v in loop]
    assert max(levels) < 60  # grille at 53 at most, plates of 3; the trim's wall is checked up to 105
