"""What a plug in a curved face changes there: curves where its sides cross the face, and walls up or down from them.

The curves are polynomials through points found on the surface itself, of a degree that keeps them true to CLOSE.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import takewhile
from math import ceil, radians
from typing import Any

import manifold3d
import numpy as np

from mounts.geometry.frames import Vector
from mounts.geometry.outline import Arc, Outline, Span
from mounts.kernels.brep_boolean import Origin, Owned
from mounts.kernels.brep_curves import (
    BUILDER,
    SAME,
    Geom,
    Plane,
    arc_axes,
    corners,
    cross,
    curve_edge,
    edges,
    gp,
    line_edge,
    minus,
    plane,
    plane_face,
    surface_face,
    vertex,
    wire,
)
from mounts.kernels.brep_graft import Graft, Island
from mounts.kernels.brep_patches import interpolating, lobatto, polynomial, straight
from mounts.kernels.brep_plug import keeps_lower
from mounts.kernels.brep_ruled import WIDEST_PLAIN, in_pieces
from mounts.kernels.brep_sheet import Floats, Sheet, bernstein, met, sheet
from mounts.kernels.chords import contour
from mounts.kernels.occ import OCP
from mounts.kernels.plugs import SEGMENTS, Plug
from mounts.shape.primitives import Prism

DEGREE = 12
CLOSE = 1e-7  # mm


@dataclass(frozen=True, slots=True, eq=False)
class _Crossing:
    """Where one side of a plug crosses the face: control values of the curve, in space and in the face's parameters.

    Attributes:
        poles: (DEGREE + 1, 3) float, mm.
        trace: (DEGREE + 1, 2) float.
        rises: (DEGREE + 1,) float, mm above the plug's end.
    """

    poles: Floats
    trace: Floats
    rises: Floats


def sheets(host: Owned) -> list[tuple[Sheet, Origin]]:
    """The curved faces of a body, as functions."""
    found = [(sheet(face), origin) for face, origin in zip(host.faces, host.origins, strict=True)]
    return [(bent, origin) for bent, origin in found if bent is not None]


def curved_graft(plug: Plug, hosts: Iterable[tuple[Sheet, Origin]]) -> Graft | None:
    """The graft of a prism in one of the curved faces of its host; None when none takes all of it."""
    if not isinstance(plug.drawn, Prism):
        return None
    outlines = [_pieces(outline) for outline in (plug.drawn.outline, *plug.drawn.islands)]
    end = plug.drawn.low if keeps_lower(plug) else plug.drawn.high
    for bent, origin in hosts:
        crossings = (_crossings(bent, plug.drawn, end, outline) for outline in outlines)
        whole = list(takewhile(bool, crossings))
        volume = _volume(bent, plug) if len(whole) == len(outlines) else None
        if volume is not None:
            return _graft(plug, origin, outlines, whole, volume)
    return None


def _pieces(outline: Outline) -> Outline:
    """The outline without spans of no length, whole circles cut in two."""
    spans = tuple(span for span in outline.spans if span.length > SAME)
    sweeps = [span.sweep if isinstance(span, Arc) else 0.0 for span in spans]
    return in_pieces(Outline(spans), [max(1, ceil(abs(sweep) / WIDEST_PLAIN)) for sweep in sweeps])


def _crossings(bent: Sheet, drawn: Prism, end: float, outline: Outline) -> list[_Crossing]:
    """The curves in which an outline's sides cross a face; none when they do not, or are not followed closely."""
    nodes, checks = lobatto(DEGREE), np.array([0.04, 0.23, 0.42, 0.67, 0.91])
    fractions = [*nodes, *checks]
    places = np.array([span.at(f) for span in outline.spans for f in fractions])
    found = met(bent, drawn.frame, places, drawn.low, drawn.high)
    if found is None:
        return []
    sides = len(outline.spans)
    points = bent.at(found[0]).reshape(sides, -1, 3)
    uv, rises = found[0].reshape(sides, -1, 2), (found[1] - end).reshape(sides, -1)
    n = len(nodes)
    made = [_Crossing(*(interpolating(values[k, :n]) for values in (points, uv, rises))) for k in range(sides)]
    followed = np.stack([bernstein(DEGREE, checks) @ side.poles for side in made])
    return made if np.abs(followed - points[:, n:]).max() < CLOSE else []


def _volume(bent: Sheet, plug: Plug) -> float | None:
    """Volume in mm³ between a face and a plug's kept end: its area times the mean height, to a thousandth."""
    drawn = plug.drawn
    assert isinstance(drawn, Prism)
    rings = [contour(drawn.outline, SEGMENTS), *(contour(island, SEGMENTS)[::-1] for island in drawn.islands)]
    corners = np.concatenate(rings)[np.asarray(manifold3d.triangulate(rings))]
    middles = (corners + np.roll(corners, 1, axis=1)) / 2
    found = met(bent, drawn.frame, middles.reshape(-1, 2), drawn.low, drawn.high)
    if found is None:
        return None
    (ax, ay), (bx, by) = (corners[:, 1] - corners[:, 0]).T, (corners[:, 2] - corners[:, 0]).T
    end = drawn.low if keeps_lower(plug) else drawn.high
    heights = np.abs(found[1] - end).reshape(-1, 3).mean(axis=1)
    area = drawn.outline.area - sum(island.area for island in drawn.islands)
    return area * float(np.average(heights, weights=np.abs(ax * by - ay * bx)))


def _graft(
    plug: Plug, host: Origin, outlines: Sequence[Outline], crossings: Sequence[list[_Crossing]], volume: float
) -> Graft:
    drawn, lower = plug.drawn, keeps_lower(plug)
    assert isinstance(drawn, Prism)
    on = plane(drawn.frame, drawn.low if lower else drawn.high)
    faces, curves, ends = [], [], []
    for k, (outline, sides) in enumerate(zip(outlines, crossings, strict=True)):
        flat, bent, walls = _walls(outline, on, sides, lower=lower)
        curves.append(bent)
        ends.append(flat)
        faces += [wall.Reversed() for wall in walls] if k else walls
    cap = plane_face(on, ends[0], ends[1:])
    faces.append(cap.Reversed() if lower else cap)
    borders = [wire(bent) for bent in curves]
    return Graft(
        host=host,
        origin=(*plug.key, 0),
        at=_vector(crossings[0][0].poles[0]),
        hole=borders[0].Reversed() if plug.outward else borders[0],
        islands=tuple(
            Island(border if plug.outward else border.Reversed(), island, drawn.frame)
            for border, island in zip(borders[1:], drawn.islands, strict=True)
        ),
        faces=tuple(face.Reversed() for face in faces) if plug.cut else tuple(faces),
        gain=-volume if plug.cut else volume,
        traces=tuple(
            (edge, polynomial([(float(u), float(v)) for u, v in side.trace], 1.0))
            for bent, sides in zip(curves, crossings, strict=True)
            for edge, side in zip(bent, sides, strict=True)
        ),
    )


def _walls(
    outline: Outline, on: Plane, sides: Sequence[_Crossing], *, lower: bool
) -> tuple[list[Any], list[Any], list[Any]]:
    """Edges at the plug's end, edges in the face, and the walls between, seen from outside the plug."""
    at = corners(outline, on)
    flat = edges(outline, on, at)
    over = [vertex(_vector(side.poles[0])) for side in sides]
    bent = [_curve(side, a, b) for side, a, b in zip(sides, over, [*over[1:], over[0]], strict=True)]
    rails = [line_edge(a, b) for a, b in zip(at, over, strict=True)]
    walls = [
        _wall(span, on, side, (f, right, b, left), lower=lower)
        for span, side, f, right, b, left in zip(
            outline.spans, sides, flat, [*rails[1:], rails[0]], bent, rails, strict=True
        )
    ]
    return flat, bent, walls


def _curve(side: _Crossing, start: Any, end: Any) -> Any:
    poles = OCP.TColgp.TColgp_Array1OfPnt(1, DEGREE + 1)
    for k, pole in enumerate(side.poles, start=1):
        poles.SetValue(k, gp.gp_Pnt(*map(float, pole)))
    return curve_edge(Geom.Geom_BezierCurve(poles), start, end, 1.0)


def _wall(span: Span, on: Plane, side: _Crossing, border: tuple[Any, Any, Any, Any], *, lower: bool) -> Any:
    """Wall between a span at the plug's end and the curve above it, or below."""
    flat, right, bent, left = border
    inward = isinstance(span, Arc) and span.sweep < 0
    if isinstance(span, Arc):
        face = surface_face(Geom.Geom_CylindricalSurface(gp.gp_Ax3(*arc_axes(span, on)), span.diameter / 2))
        for edge, trace in zip(border, _traces(span, on, side), strict=True):
            BUILDER.UpdateEdge(edge, trace, face, SAME)
    else:
        normal = cross(minus(on.at(span.end), on.at(span.start)), on.z)
        face = surface_face(Geom.Geom_Plane(gp.gp_Pnt(*on.at(span.start)), gp.gp_Dir(*normal)))
    loop = [flat, right, bent.Reversed(), left.Reversed()] if lower else [bent, right.Reversed(), flat.Reversed(), left]
    BUILDER.Add(face, wire(loop).Reversed() if inward else wire(loop))
    return face.Reversed() if inward else face


def _traces(arc: Arc, on: Plane, side: _Crossing) -> tuple[Any, Any, Any, Any]:
    """What the flat edge, the right rail, the curve and the left rail draw on an arc's cylinder."""
    sweep = radians(abs(arc.sweep))
    rises = side.rises if arc.sweep >= 0 else -side.rises
    turns = np.linspace(0.0, sweep, DEGREE + 1)
    first, last = float(rises[0]), float(rises[-1])
    return (
        straight((0.0, 0.0), (sweep, 0.0), sweep),
        straight((sweep, 0.0), (sweep, last), abs(last)),
        polynomial([(float(u), float(v)) for u, v in zip(turns, rises, strict=True)], 1.0),
        straight((0.0, 0.0), (0.0, first), abs(first)),
    )


def _vector(values: Floats) -> Vector:
    a, b, c = (float(value) for value in values)
    return (a, b, c)
