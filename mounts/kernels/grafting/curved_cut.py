"""Cut of a plug into a curved face: curves where its sides cross the face, and walls down from them.

The curves are polynomials through points found on the surface itself, of a degree that keeps them true to CLOSE. All is
by raw bindings: the letters' edges must be the very edges of the host's new face, with their curves in its parameters,
and cadquery's verbs for faces find such curves by intersecting, which is what this saves.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import takewhile
from math import comb
from typing import Any

import manifold3d
import numpy as np

from mounts.geometry.outline import Outline
from mounts.kernels.booleans import Origin, TrackedShape
from mounts.kernels.brep_solids import SAME
from mounts.kernels.cad import OCP, func
from mounts.kernels.grafting.curved_face import CurvedFace, Floats, bernstein, curved_face, intersect_lines
from mounts.kernels.grafting.graft import BUILDER, Graft, Island
from mounts.kernels.grafting.plugs import SEGMENTS, Plug
from mounts.kernels.nets import contour
from mounts.shape.primitives import Prism

Geom, TopoDS, gp = OCP.Geom, OCP.TopoDS, OCP.gp
DEGREE = 12
CLOSE = 1e-7  # mm
NODES = (1 - np.cos(np.pi * np.arange(DEGREE + 1) / DEGREE)) / 2  # in [0, 1]: where a polynomial is best pinned down
CHECKS = np.array([0.04, 0.23, 0.42, 0.67, 0.91])


@dataclass(frozen=True, slots=True, eq=False)
class _Crossing:
    """Curve in which one side of a plug crosses the face: control values in space and in the face's parameters.

    Attributes:
        poles: (DEGREE + 1, 3) float, mm.
        trace: (DEGREE + 1, 2) float.
    """

    poles: Floats
    trace: Floats


def curved_faces(host: TrackedShape) -> list[tuple[CurvedFace, Origin]]:
    """Return the curved faces of a body, as functions."""
    found = [(curved_face(face), origin) for face, origin in host.origins.items()]
    return [(bent, origin) for bent, origin in found if bent is not None]


def curved_graft(plug: Plug, hosts: Iterable[tuple[CurvedFace, Origin]]) -> Graft | None:
    """Return the graft of a plug in one of the curved faces of its host; None when none takes all of it."""
    outlines = [
        Outline(tuple(span for span in outline.spans if span.length > SAME))
        for outline in (plug.prism.outline, *plug.prism.islands)
    ]
    for bent, origin in hosts:
        crossings = (_crossings(bent, plug.prism, outline) for outline in outlines)
        whole = list(takewhile(bool, crossings))
        volume = _volume(bent, plug.prism) if len(whole) == len(outlines) else None
        if volume is not None:
            return _graft(plug, origin, outlines, whole, volume)
    return None


def _crossings(bent: CurvedFace, drawn: Prism, outline: Outline) -> list[_Crossing]:
    """Return the curves in which an outline's sides cross a face; none where they do not or a curve strays."""
    places = np.array([span.at(f) for span in outline.spans for f in (*NODES, *CHECKS)])
    found = intersect_lines(bent, drawn.frame, places, drawn.low, drawn.high)
    if found is None:
        return []
    sides = len(outline.spans)
    points, uv = bent.at(found[0]).reshape(sides, -1, 3), found[0].reshape(sides, -1, 2)
    # one product for each side: those of a whole stack differ in the last bit from run to run
    made = [_Crossing(*(_inverse_basis() @ values[k, : DEGREE + 1] for values in (points, uv))) for k in range(sides)]
    followed = np.stack([bernstein(DEGREE, CHECKS) @ side.poles for side in made])
    return made if np.abs(followed - points[:, DEGREE + 1 :]).max() < CLOSE else []


@cache
def _inverse_basis() -> Floats:
    """Return the matrix from values at NODES to control values, (DEGREE + 1, DEGREE + 1) float."""
    basis = [comb(DEGREE, k) * NODES**k * (1 - NODES) ** (DEGREE - k) for k in range(DEGREE + 1)]
    return np.asarray(np.linalg.inv(np.stack(basis, axis=1)))


def _volume(bent: CurvedFace, drawn: Prism) -> float | None:
    """Return the volume in mm³ between a face and a plug's floor: its area times the mean height, to a thousandth."""
    rings = [contour(drawn.outline, SEGMENTS), *(contour(island, SEGMENTS)[::-1] for island in drawn.islands)]
    corners = np.concatenate(rings)[np.asarray(manifold3d.triangulate(rings))]
    middles = (corners + np.roll(corners, 1, axis=1)) / 2
    found = intersect_lines(bent, drawn.frame, middles.reshape(-1, 2), drawn.low, drawn.high)
    if found is None:
        return None
    (ax, ay), (bx, by) = (corners[:, 1] - corners[:, 0]).T, (corners[:, 2] - corners[:, 0]).T
    heights = (found[1] - drawn.low).reshape(-1, 3).mean(axis=1)
    area = drawn.outline.area - sum(island.area for island in drawn.islands)
    return area * float(np.average(heights, weights=np.abs(ax * by - ay * bx)))


def _graft(
    plug: Plug, host: Origin, outlines: Sequence[Outline], crossings: Sequence[list[_Crossing]], volume: float
) -> Graft:
    """Return the graft of a plug whose outlines cross a face in known curves."""
    faces, curves, ends = [], [], []
    for k, (outline, sides) in enumerate(zip(outlines, crossings, strict=True)):
        flat, bent, walls = _walls(outline, plug.prism, sides)
        curves.append(bent)
        ends.append(closed_wire(flat))
        faces += walls if k else [wall.Reversed() for wall in walls]
    floor = _plane_face(plug.prism.frame.out((0.0, 0.0, plug.prism.low)), plug.prism.frame.z, ends[0])
    for end in ends[1:]:
        BUILDER.Add(floor, end.Reversed())
    borders = [closed_wire(bent) for bent in curves]
    traces = [
        (edge, _parameter_curve(side.trace))
        for bent, sides in zip(curves, crossings, strict=True)
        for edge, side in zip(bent, sides, strict=True)
    ]
    return Graft(
        host=host,
        origin=(*plug.key, 0),
        at=tuple(crossings[0][0].poles[0]),
        hole=borders[0].Reversed(),
        islands=tuple(
            Island(border, island, plug.prism.frame)
            for border, island in zip(borders[1:], plug.prism.islands, strict=True)
        ),
        faces=(*faces, floor),
        gain=-volume,
        traces=tuple(traces),
    )


def _walls(outline: Outline, drawn: Prism, sides: Sequence[_Crossing]) -> tuple[list[Any], list[Any], list[Any]]:
    """Return edges at the plug's floor, edges in the face, and the walls between, seen from outside the plug."""
    floor = drawn.frame.out([(*span.start, drawn.low) for span in outline.spans])
    below = [func.vertex(tuple(at)).wrapped for at in floor]
    above = [func.vertex(tuple(side.poles[0])).wrapped for side in sides]
    flat = [_line(a, b) for a, b in zip(below, [*below[1:], below[0]], strict=True)]
    bent = [_crossing_edge(side, a, b) for side, a, b in zip(sides, above, [*above[1:], above[0]], strict=True)]
    rails = [_line(a, b) for a, b in zip(below, above, strict=True)]
    normals = np.cross(np.roll(floor, -1, axis=0) - floor, drawn.frame.z)
    borders = zip(flat, [*rails[1:], rails[0]], bent, rails, strict=True)
    walls = [
        _plane_face(at, normal, closed_wire([low, right, high.Reversed(), left.Reversed()]))
        for at, normal, (low, right, high, left) in zip(floor, normals, borders, strict=True)
    ]
    return flat, bent, walls


def _line(start: Any, end: Any) -> Any:
    """Return the straight edge between two vertices."""
    a, b = OCP.BRep.BRep_Tool.Pnt_s(start), OCP.BRep.BRep_Tool.Pnt_s(end)
    return _edge(Geom.Geom_Line(a, gp.gp_Dir(gp.gp_Vec(a, b))), start, end, a.Distance(b))


def _crossing_edge(side: _Crossing, start: Any, end: Any) -> Any:
    """Return the edge in which one side crosses the face."""
    poles = OCP.TColgp.TColgp_Array1OfPnt(1, DEGREE + 1)
    for k, pole in enumerate(side.poles, start=1):
        poles.SetValue(k, gp.gp_Pnt(*map(float, pole)))
    return _edge(Geom.Geom_BezierCurve(poles), start, end, 1.0)


def _parameter_curve(values: Floats) -> Any:
    """Return the curve of an edge in the face's parameters."""
    poles = OCP.TColgp.TColgp_Array1OfPnt2d(1, DEGREE + 1)
    for k, pole in enumerate(values, start=1):
        poles.SetValue(k, gp.gp_Pnt2d(*map(float, pole)))
    return OCP.Geom2d.Geom2d_BezierCurve(poles)


def _edge(curve: Any, start: Any, end: Any, last: float) -> Any:
    """Return the edge along a curve from 0 to `last`."""
    made = TopoDS.TopoDS_Edge()
    BUILDER.MakeEdge(made, curve, SAME)
    BUILDER.Add(made, start.Oriented(OCP.TopAbs.TopAbs_FORWARD))
    BUILDER.Add(made, end.Oriented(OCP.TopAbs.TopAbs_REVERSED))
    BUILDER.Range(made, 0.0, last)
    return made


def closed_wire(edges: Iterable[Any]) -> Any:
    """Return the closed wire of edges in order, each oriented along it."""
    made = TopoDS.TopoDS_Wire()
    BUILDER.MakeWire(made)
    for edge in edges:
        BUILDER.Add(made, edge)
    made.Closed(True)
    return made


def _plane_face(at: Floats, normal: Sequence[float] | Floats, border: Any) -> Any:
    """Return the face of a plane inside a wire that runs counter-clockwise about the normal."""
    made = TopoDS.TopoDS_Face()
    BUILDER.MakeFace(made, Geom.Geom_Plane(gp.gp_Pnt(*map(float, at)), gp.gp_Dir(*map(float, normal))), SAME)
    BUILDER.Add(made, border)
    return made
