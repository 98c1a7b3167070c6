"""Ruled surfaces of the B-rep kernel are what the primitive promises: points at equal fractions, joined straight."""

from __future__ import annotations

import numpy as np
import pytest

from mounts.geometry.frames import PANEL, Frame, tilt_frame
from mounts.geometry.hull import match_spans
from mounts.geometry.outline import circle, offset_outline, polygon, rectangle
from mounts.kernels.brep_solids import solid
from mounts.kernels.cad import OCP
from mounts.kernels.nets import net
from mounts.shape.primitives import Ruled
from tests.geometry.discs import hull_of_discs
from tests.kernels.bank import ruled

TILTED = tilt_frame((2.0, -1.0, 22.0), 11.0, 70.0)
FOOT = hull_of_discs([((0.0, 0.0), 60.0), ((12.0, 5.0), 50.0), ((-8.0, 9.0), 44.0)])
BODIES = {
    "tower": ruled(*zip((PANEL, TILTED), match_spans(FOOT, circle(48.0)), strict=True)),
    "tilted bore": ruled((PANEL, circle(40.0)), (PANEL.lifted(5.0), circle(36.0)), (TILTED, circle(35.0))),
    "square to round": ruled(*zip((PANEL, TILTED), match_spans(rectangle(40.0, 30.0, 0.0), circle(24.0)), strict=True)),
    "twisted": ruled(
        (PANEL, polygon([(-10.0, -8.0), (10.0, -8.0), (10.0, 8.0), (-10.0, 8.0)])),
        (TILTED, polygon([(-7.0, -9.0), (9.0, -5.0), (6.0, 9.0), (-8.0, 6.0)])),
    ),
    "to a tip": ruled(
        *zip(
            (PANEL, TILTED),
            match_spans(rectangle(20.0, 10.0, 2.0), offset_outline(circle(2.0, (3.0, 1.0)), -1.0)),
            strict=True,
        )
    ),
}


def _sides(body: Ruled) -> np.ndarray:
    """Points P(t, v) = (1 − v)·A(t) + v·B(t) of every span of every level, (n, 3) float."""
    made = []
    for low, high in zip(body.sections, body.sections[1:], strict=False):
        for a, b in zip(low.outline.spans, high.outline.spans, strict=True):
            for t in (0.0, 0.13, 0.5, 0.81):
                start, end = (section.frame.out((*span.at(t), 0.0)) for section, span in ((low, a), (high, b)))
                made += [(1 - v) * start + v * end for v in (0.0, 0.3, 0.5, 0.9)]
    return np.array(made)


@pytest.mark.parametrize("name", BODIES)
def test_points_of_the_formula_lie_on_the_surface(name: str) -> None:
    shape = solid(BODIES[name])
    assert shape.isValid()
    shell = shape.Shells()[0].wrapped
    for at in _sides(BODIES[name]):
        corner = OCP.BRepBuilderAPI.BRepBuilderAPI_MakeVertex(OCP.gp.gp_Pnt(*map(float, at))).Vertex()
        assert OCP.BRepExtrema.BRepExtrema_DistShapeShape(corner, shell).Value() < 1e-6


@pytest.mark.parametrize("name", BODIES)
def test_edges_keep_to_their_surfaces(name: str) -> None:
    """An edge's curve and its trace on each face say the same point at the same parameter, to the kernel's 1e-7."""
    for face in solid(BODIES[name]).Faces():
        for edge in face.Edges():
            if not OCP.BRep.BRep_Tool.Degenerated_s(edge.wrapped):
                check = OCP.BRepLib.BRepLib_ValidateEdge(
                    OCP.BRepAdaptor.BRepAdaptor_Curve(edge.wrapped),
                    _on_surface(edge.wrapped, face.wrapped),
                    True,
                )
                check.Process()
                assert check.IsDone()
                assert check.GetMaxDistance() < 1e-7


def _on_surface(edge: object, face: object) -> object:
    trace = OCP.BRepAdaptor.BRepAdaptor_Curve2d(edge, face)
    return OCP.Adaptor3d.Adaptor3d_CurveOnSurface(trace, OCP.BRepAdaptor.BRepAdaptor_Surface(face))


def _kinds(body: Ruled) -> dict[str, int]:
    found: dict[str, int] = {}
    for face in solid(body).Faces():
        kind = face.geomType()
        found[kind] = found.get(kind, 0) + 1
    return found


def test_what_can_be_analytic_is() -> None:
    plate = rectangle(30.0, 20.0, 3.0)
    broken = ruled((PANEL, offset_outline(plate, -1.0)), (PANEL.lifted(1.0), plate), (PANEL.lifted(5.0), plate))
    assert _kinds(broken) == {"PLANE": 10, "CONE": 4, "CYLINDER": 4}
    assert _kinds(ruled((PANEL, circle(9.0)), (PANEL.lifted(4.0), circle(9.0)))) == {"PLANE": 2, "CYLINDER": 1}
    assert _kinds(ruled((TILTED, circle(9.0)), (TILTED.lifted(4.0), circle(7.0)))) == {"PLANE": 2, "CONE": 1}
    frames = (PANEL, PANEL.lifted(2.0), PANEL.lifted(2.0), PANEL)
    outlines = (circle(20.0), circle(20.0), circle(12.0), circle(12.0))
    assert _kinds(ruled(*zip(frames, outlines, strict=True), closed=True)) == {"PLANE": 2, "CYLINDER": 2}
    sheared = ruled((PANEL, plate), (Frame((4.0, 0.0, 5.0)), plate))
    assert _kinds(sheared) == {"PLANE": 6, "BSPLINE": 4}
    twisted = ruled((PANEL, polygon([(0.0, 0.0), (9.0, 0.0), (0.0, 9.0)])), (TILTED, polygon([(0, 0), (7, 1), (1, 7)])))
    assert _kinds(twisted) == {"PLANE": 2, "BSPLINE": 3}


def test_a_line_that_shrinks_to_a_point_leaves_a_flat_triangle() -> None:
    """Where the foot has a line and the seat's circle none, the wall is plane, and the next patch shares its edge."""
    low, high = match_spans(hull_of_discs([((-10.0, 0.0), 20.0), ((10.0, 0.0), 20.0)]), circle(24.0))
    body = ruled((PANEL, low), (PANEL.lifted(9.0), high))
    kinds = _kinds(body)
    assert kinds == {"PLANE": 4, "BSPLINE": 4}
    triangles = [face for face in solid(body).Faces() if len(face.Edges()) == 3]
    assert len(triangles) == 2
    assert all(face.Area() == pytest.approx(20.0 / 2 * np.hypot(9.0, 2.0)) for face in triangles)


def test_the_mesh_kernel_draws_the_same_surface() -> None:
    """Every corner of its net lies on the B-rep kernel's surface."""
    body = BODIES["tower"]
    shell = solid(body).Shells()[0].wrapped
    points = net(body, 64).points
    assert len(points) > 128
    for at in points[::3]:
        corner = OCP.BRepBuilderAPI.BRepBuilderAPI_MakeVertex(OCP.gp.gp_Pnt(*map(float, at))).Vertex()
        assert OCP.BRepExtrema.BRepExtrema_DistShapeShape(corner, shell).Value() < 1e-6
