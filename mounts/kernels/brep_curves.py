"""Vertices, edges, wires and plane faces of the B-rep kernel, made by hand so that neighbours share them.

Every edge is parametrised by what is natural to its curve, length along a line and angle along an arc, from 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, dist, radians, sin
from typing import Any

from mounts.geometry.frames import Array, Frame
from mounts.geometry.outline import Arc, Line, Outline, Span
from mounts.kernels.occ import OCP

SAME = 1e-7  # mm: nearer points are one
gp, Geom, TopoDS, BRep = OCP.gp, OCP.Geom, OCP.TopoDS, OCP.BRep
BUILDER = BRep.BRep_Builder()


def point(at: Array) -> Any:
    """A place as the kernel's point."""
    return gp.gp_Pnt(float(at[0]), float(at[1]), float(at[2]))


def direction(along: Array) -> Any:
    """A vector's direction."""
    return gp.gp_Dir(float(along[0]), float(along[1]), float(along[2]))


def in_space(span: Span, frame: Frame, fraction: float) -> Array:
    """Point of a span of a frame's plane, (3,) float."""
    return frame.out((*span.at(fraction), 0.0))


def vertex(at: Array) -> Any:
    """Vertex at a place."""
    made = TopoDS.TopoDS_Vertex()
    BUILDER.MakeVertex(made, point(at), SAME)
    return made


def line_edge(start: Any, end: Any) -> Any:
    """Straight edge between two vertices."""
    a, b = BRep.BRep_Tool.Pnt_s(start), BRep.BRep_Tool.Pnt_s(end)
    curve = Geom.Geom_Line(a, gp.gp_Dir(gp.gp_Vec(a, b)))
    return _edge(curve, start, end, a.Distance(b))


def arc_edge(arc: Arc, frame: Frame, start: Any, end: Any) -> Any:
    """Circular edge of an arc in a frame's plane; `start` and `end` are one vertex for a whole circle."""
    curve = Geom.Geom_Circle(gp.gp_Ax2(*arc_axes(arc, frame)), arc.diameter / 2)
    return _edge(curve, start, end, radians(abs(arc.sweep)))


def arc_axes(arc: Arc, frame: Frame) -> tuple[Any, Any, Any]:
    """Centre, axis and direction of the arc's start; about that axis the arc runs counter-clockwise."""
    turn = radians(arc.begin)
    axes = frame.axes
    towards = axes @ (cos(turn), sin(turn), 0.0)
    axis = axes[:, 2] if arc.sweep >= 0 else -axes[:, 2]
    return point(frame.out((*arc.centre, 0.0))), direction(axis), direction(towards)


def span_edge(span: Span, frame: Frame, start: Any, end: Any) -> Any:
    """Edge of a span, or None when it has no length."""
    if span.length <= SAME:
        return None
    return line_edge(start, end) if isinstance(span, Line) else arc_edge(span, frame, start, end)


def corners(outline: Outline, frame: Frame) -> list[Any]:
    """Vertices at the starts of an outline's spans; where a span has no length, both its ends are one vertex."""
    spans = outline.spans
    made: list[Any] = []
    for k, span in enumerate(spans):
        same = k > 0 and spans[k - 1].length <= SAME
        made.append(made[-1] if same else vertex(in_space(span, frame, 0.0)))
    k = len(spans)
    while k > 1 and spans[k - 1].length <= SAME:  # the last spans shrink onto the first vertex
        k -= 1
        made[k] = made[0]
    return made


def path(outline: Outline, frame: Frame) -> list[Any]:
    """Edges of an outline, in order, those of no length left out."""
    at = corners(outline, frame)
    ends = at[1:] + at[:1]
    made = [span_edge(span, frame, a, b) for span, a, b in zip(outline.spans, at, ends, strict=True)]
    return [edge for edge in made if edge is not None]


def wire(edges: Iterable[Any]) -> Any:
    """Closed wire of edges in order, each oriented along it."""
    made = TopoDS.TopoDS_Wire()
    BUILDER.MakeWire(made)
    for edge in edges:
        BUILDER.Add(made, edge)
    made.Closed(True)
    return made


def plane_face(frame: Frame, outline: Sequence[Any], islands: Iterable[Sequence[Any]] = ()) -> Any:
    """Face of a frame's plane inside a path of edges and outside others; all run counter-clockwise about its z."""
    axes = frame.axes
    plane = Geom.Geom_Plane(gp.gp_Ax3(point(frame.out((0.0, 0.0, 0.0))), direction(axes[:, 2]), direction(axes[:, 0])))
    made = TopoDS.TopoDS_Face()
    BUILDER.MakeFace(made, plane, SAME)
    BUILDER.Add(made, wire(outline))
    for island in islands:
        BUILDER.Add(made, wire(island).Reversed())
    return made


def polygon_face(points: Sequence[Array], plane: Frame) -> Any:
    """Plane face inside straight lines through points, counter-clockwise about the plane's z."""
    at = [vertex(place) for place, before in zip(points, [points[-1], *points[:-1]], strict=True) if dist(place, before) > SAME]
    return plane_face(plane, [line_edge(a, b) for a, b in zip(at, at[1:] + at[:1], strict=True)])


def _edge(curve: Any, start: Any, end: Any, last: float) -> Any:
    made = TopoDS.TopoDS_Edge()
    BUILDER.MakeEdge(made, curve, SAME)
    BUILDER.Add(made, start.Oriented(OCP.TopAbs.TopAbs_FORWARD))
    BUILDER.Add(made, end.Oriented(OCP.TopAbs.TopAbs_REVERSED))
    BUILDER.Range(made, 0.0, last)
    return made
