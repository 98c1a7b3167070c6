"""Vertices, edges, wires and plane faces of the B-rep kernel, made by hand so that neighbours share them.

Every edge is parametrised by what is natural to its curve, length along a line and angle along an arc, from 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, dist, hypot, radians, sin
from typing import Any

from mounts.geometry.frames import Frame, Vector
from mounts.geometry.outline import Arc, Line, Outline, Point, Span
from mounts.kernels.occ import OCP

SAME = 1e-7  # mm: nearer points are one
gp, Geom, TopoDS, TopAbs, BRep = OCP.gp, OCP.Geom, OCP.TopoDS, OCP.TopAbs, OCP.BRep
BUILDER = BRep.BRep_Builder()


@dataclass(frozen=True, slots=True)
class Plane:
    """A frame with its y axis worked out, in plain numbers: thousands of points are placed one by one."""

    origin: Vector
    x: Vector
    y: Vector
    z: Vector

    def at(self, place: Point, height: float = 0.0) -> Vector:
        """A point of the plane, or above it, told in the panel frame."""
        (u, v), (ox, oy, oz), x, y, z = place, self.origin, self.x, self.y, self.z
        return (
            ox + u * x[0] + v * y[0] + height * z[0],
            oy + u * x[1] + v * y[1] + height * z[1],
            oz + u * x[2] + v * y[2] + height * z[2],
        )

    def heading(self, angle: float) -> Vector:
        """Unit vector in the plane at an angle in degrees counter-clockwise from x."""
        c, s = cos(radians(angle)), sin(radians(angle))
        return (c * self.x[0] + s * self.y[0], c * self.x[1] + s * self.y[1], c * self.x[2] + s * self.y[2])


def plane(frame: Frame, height: float = 0.0) -> Plane:
    """The plane of a frame, or the one `height` above it."""
    made = Plane(frame.origin, frame.x, cross(frame.z, frame.x), frame.z)
    return Plane(made.at((0.0, 0.0), height), made.x, made.y, made.z) if height else made


def minus(a: Vector, b: Vector) -> Vector:
    """From b to a."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def dot(a: Vector, b: Vector) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def vertex(at: Vector) -> Any:
    """Vertex at a place."""
    made = TopoDS.TopoDS_Vertex()
    BUILDER.MakeVertex(made, gp.gp_Pnt(*at), SAME)
    return made


def line_edge(start: Any, end: Any) -> Any:
    """Straight edge between two vertices."""
    a, b = BRep.BRep_Tool.Pnt_s(start), BRep.BRep_Tool.Pnt_s(end)
    return curve_edge(Geom.Geom_Line(a, gp.gp_Dir(gp.gp_Vec(a, b))), start, end, a.Distance(b))


def arc_edge(arc: Arc, on: Plane, start: Any, end: Any) -> Any:
    """Circular edge of an arc in a plane; `start` and `end` are one vertex for a whole circle."""
    curve = Geom.Geom_Circle(gp.gp_Ax2(*arc_axes(arc, on)), arc.diameter / 2)
    return curve_edge(curve, start, end, radians(abs(arc.sweep)))


def arc_axes(arc: Arc, on: Plane) -> tuple[Any, Any, Any]:
    """Centre, axis and direction of the arc's start; about that axis the arc runs counter-clockwise."""
    z = on.z if arc.sweep >= 0 else (-on.z[0], -on.z[1], -on.z[2])
    return gp.gp_Pnt(*on.at(arc.centre)), gp.gp_Dir(*z), gp.gp_Dir(*on.heading(arc.begin))


def span_edge(span: Span, on: Plane, start: Any, end: Any) -> Any:
    """Edge of a span, or None when it has no length."""
    if span.length <= SAME:
        return None
    return line_edge(start, end) if isinstance(span, Line) else arc_edge(span, on, start, end)


def curve_edge(curve: Any, start: Any, end: Any, last: float) -> Any:
    """Edge along a curve from 0 to `last`."""
    made = TopoDS.TopoDS_Edge()
    BUILDER.MakeEdge(made, curve, SAME)
    BUILDER.Add(made, start.Oriented(TopAbs.TopAbs_FORWARD))
    BUILDER.Add(made, end.Oriented(TopAbs.TopAbs_REVERSED))
    BUILDER.Range(made, 0.0, last)
    return made


def corners(outline: Outline, on: Plane) -> list[Any]:
    """Vertices at the starts of an outline's spans; where a span has no length, both its ends are one vertex."""
    short = [span.length <= SAME for span in outline.spans]
    made: list[Any] = []
    for k, span in enumerate(outline.spans):
        made.append(made[-1] if k and short[k - 1] else vertex(on.at(span.start)))
    for k in range(len(short) - 1, 0, -1):  # the last spans may shrink onto the first vertex
        if not short[k]:
            break
        made[k] = made[0]
    return made


def edges(outline: Outline, on: Plane, at: Sequence[Any] | None = None) -> list[Any]:
    """Edge of every span of an outline, None for one of no length; `at` are its corners when already made."""
    at = at or corners(outline, on)
    ends = [*at[1:], at[0]]
    return [span_edge(span, on, a, b) for span, a, b in zip(outline.spans, at, ends, strict=True)]


def wire(edges: Iterable[Any]) -> Any:
    """Closed wire of edges in order, each oriented along it; those that are None are left out."""
    made = TopoDS.TopoDS_Wire()
    BUILDER.MakeWire(made)
    for edge in edges:
        if edge is not None:
            BUILDER.Add(made, edge)
    made.Closed(True)
    return made


def plane_face(on: Plane, outline: Iterable[Any], islands: Iterable[Iterable[Any]] = ()) -> Any:
    """Face of a plane inside a path of edges and outside others; all run counter-clockwise about its z."""
    made = surface_face(Geom.Geom_Plane(gp.gp_Ax3(gp.gp_Pnt(*on.origin), gp.gp_Dir(*on.z), gp.gp_Dir(*on.x))))
    BUILDER.Add(made, wire(outline))
    for island in islands:
        BUILDER.Add(made, wire(island).Reversed())
    return made


def surface_face(surface: Any) -> Any:
    """Face of a surface, still without its border."""
    made = TopoDS.TopoDS_Face()
    BUILDER.MakeFace(made, surface, SAME)
    return made


def polygon_face(on: Plane, points: Sequence[Point]) -> Any:
    """Face of a plane inside straight lines through points, counter-clockwise; a point given twice counts once."""
    before = [points[-1], *points[:-1]]
    at = [vertex(on.at(p)) for p, q in zip(points, before, strict=True) if dist(p, q) > SAME]
    return plane_face(on, [line_edge(a, b) for a, b in zip(at, [*at[1:], at[0]], strict=True)])


def size(v: Vector) -> float:
    """Length of a vector."""
    return hypot(*v)
