"""Solids of the primitives for the B-rep kernel: analytic where the shape allows it, exact everywhere."""

from __future__ import annotations

from functools import singledispatch
from itertools import pairwise
from math import ceil, radians
from typing import Any

import numpy as np

from mounts.geometry.frames import Array, Frame
from mounts.geometry.outline import Arc, Outline, Span
from mounts.kernels.brep_curves import (
    BUILDER,
    SAME,
    corners,
    direction,
    gp,
    line_edge,
    path,
    plane_face,
    point,
    polygon_face,
    span_edge,
    wire,
)
from mounts.kernels.brep_patches import WIDEST, Pair, is_coaxial, is_flat, patch
from mounts.kernels.occ import OCP
from mounts.shape.primitives import Prism, Revolved, Ruled, Section

TopoDS, BRepPrimAPI = OCP.TopoDS, OCP.BRepPrimAPI


@singledispatch
def solid(body: object) -> Any:
    """The solid of a primitive.

    Raises:
        ValueError: if the body cannot be; the text names the values.
    """
    raise TypeError(f"no body: {body!r}")


@solid.register
def _prism(body: Prism) -> Any:
    area = body.outline.area - sum(island.area for island in body.islands)
    if body.high <= body.low or area <= 0 or body.outline.area <= 0:
        raise ValueError(f"a prism of {area:.4g} mm² from {body.low:.3f} up to {body.high:.3f} encloses nothing")
    floor = body.frame.lifted(body.low)
    face = plane_face(floor, path(body.outline, floor), [path(island, floor) for island in body.islands])
    along = np.asarray(body.frame.z) * (body.high - body.low)
    return BRepPrimAPI.BRepPrimAPI_MakePrism(face, gp.gp_Vec(*map(float, along))).Shape()


@solid.register
def _revolved(body: Revolved) -> Any:
    if any(after < before for (before, _), (after, _) in pairwise(body.profile)) or min(d for _, d in body.profile) < 0:
        raise ValueError(f"a revolved profile needs rising places and no negative diameter: {body.profile}")
    if any(diameter <= SAME for _, diameter in body.profile[1:-1]):
        raise ValueError(f"a revolved body closes on its axis between its ends: {body.profile}")
    (first, _), (last, _) = body.profile[0], body.profile[-1]
    return _turned(body.frame, [(first, 0.0), *body.profile, (last, 0.0)])


@solid.register
def _ruled(body: Ruled) -> Any:
    _check_sections(body)
    if _is_turned(body):
        frame, levels = _axis(body)
        if not body.ring:
            levels = [(levels[0][0], 0.0), *levels, (levels[-1][0], 0.0)]
        return _turned(frame, levels)
    return _joined(_split(body))


def _turned(frame: Frame, profile: list[tuple[float, float]]) -> Any:
    """Solid of a closed profile of (place along z, diameter), turned about a frame's z."""
    points = [frame.out((diameter / 2, 0.0, z)) for z, diameter in profile]
    axes = frame.axes
    plane = Frame(frame.origin, _vector(axes[:, 0]), _vector(-axes[:, 1]))
    made = BRepPrimAPI.BRepPrimAPI_MakeRevol(
        polygon_face(points, plane), gp.gp_Ax1(point(np.asarray(frame.origin)), direction(axes[:, 2]))
    )
    return made.Shape()


def _joined(body: Ruled) -> Any:
    """Solid of patches and caps that share their edges."""
    sections = body.sections
    at = [corners(section.outline, section.frame) for section in sections]
    along = [
        [span_edge(span, section.frame, a, b) for span, a, b in zip(section.outline.spans, v, v[1:] + v[:1], strict=True)]
        for section, v in zip(sections, at, strict=True)
    ]
    shell = TopoDS.TopoDS_Shell()
    BUILDER.MakeShell(shell)
    levels = list(pairwise(range(len(sections)))) + ([(len(sections) - 1, 0)] if body.ring else [])
    for i, j in levels:
        rails = _rails(at[i], at[j])
        for k in range(len(along[i])):
            if along[i][k] is None and along[j][k] is None:
                continue
            following = (k + 1) % len(along[i])
            pair = Pair(sections[i].outline.spans[k], sections[i].frame, sections[j].outline.spans[k], sections[j].frame)
            ends = (at[i][k], at[j][k])
            BUILDER.Add(shell, _side(pair, (along[i][k], rails[following], along[j][k], rails[k]), ends))
    if not body.ring:
        for edges, section, below in ((along[0], sections[0], True), (along[-1], sections[-1], False)):
            kept = [edge for edge in edges if edge is not None]
            if kept:
                cap = plane_face(section.frame, kept)
                BUILDER.Add(shell, cap.Reversed() if below else cap)
    shell.Closed(True)
    made = TopoDS.TopoDS_Solid()
    BUILDER.MakeSolid(made)
    BUILDER.Add(made, shell)
    return made


def _rails(low: list[Any], high: list[Any]) -> list[Any]:
    """Straight edges between the corners of two sections; corners that are one share one."""
    made: list[Any] = []
    for k, (a, b) in enumerate(zip(low, high, strict=True)):
        known = next((m for m in (k - 1, 0) if 0 <= m < k and a is low[m] and b is high[m]), None)
        made.append(line_edge(a, b) if known is None else made[known])
    return made


def _side(pair: Pair, edges: tuple[Any, Any, Any, Any], points: tuple[Any, Any]) -> Any:
    """Face of a patch between its edges; a missing edge has shrunk to the point there."""
    drawn = patch(pair)
    low, right, high, left = edges
    face = TopoDS.TopoDS_Face()
    BUILDER.MakeFace(face, drawn.surface, SAME)
    if drawn.traces:
        low = _shrunk(points[0]) if low is None else low
        high = _shrunk(points[1]) if high is None else high
        for edge, trace in zip((low, right, high, left), drawn.traces, strict=True):
            BUILDER.UpdateEdge(edge, trace, face, SAME)
            if OCP.BRep.BRep_Tool.Degenerated_s(edge):
                BUILDER.Range(edge, face, 0.0, radians(abs(pair.low.sweep)))  # type: ignore[union-attr]
    loop = [(low, False), (right, False), (high, True), (left, True)]
    oriented = [edge.Reversed() if back else edge for edge, back in loop if edge is not None]
    if drawn.inward:
        BUILDER.Add(face, wire(oriented).Reversed())
        return face.Reversed()
    BUILDER.Add(face, wire(oriented))
    return face


def _shrunk(at: Any) -> Any:
    """Edge without length, at the tip of a cone."""
    made = TopoDS.TopoDS_Edge()
    BUILDER.MakeEdge(made)
    BUILDER.Add(made, at.Oriented(OCP.TopAbs.TopAbs_FORWARD))
    BUILDER.Add(made, at.Oriented(OCP.TopAbs.TopAbs_REVERSED))
    BUILDER.Degenerated(made, True)
    return made


def _pairs(body: Ruled, k: int) -> list[Pair]:
    """Span `k` of every section with that of the next one."""
    sections = [*body.sections, body.sections[0]] if body.ring else list(body.sections)
    return [Pair(a.outline.spans[k], a.frame, b.outline.spans[k], b.frame) for a, b in pairwise(sections)]


def _split(body: Ruled) -> Ruled:
    """The body with arcs cut, alike in all sections, to what one patch can hold and no edge closed on itself."""
    pieces = []
    for k, span in enumerate(body.sections[0].outline.spans):
        plain = isinstance(span, Arc) and all(is_flat(pair) or is_coaxial(pair) for pair in _pairs(body, k))
        sweep = abs(span.sweep) if isinstance(span, Arc) else 0.0
        pieces.append(max(1, ceil(sweep / (200.0 if plain else WIDEST))))
    sections = [Section(section.frame, _in_pieces(section.outline, pieces)) for section in body.sections]
    return Ruled(tuple(sections), body.ring)


def _in_pieces(outline: Outline, pieces: list[int]) -> Outline:
    spans: list[Span] = []
    for span, n in zip(outline.spans, pieces, strict=True):
        if isinstance(span, Arc):
            part = span.sweep / n
            spans += [Arc(span.centre, span.diameter, span.begin + i * part, part) for i in range(n)]
        else:
            spans.append(span)
    return Outline(tuple(spans))


def _is_turned(body: Ruled) -> bool:
    """Whether all sections are circles about one axis."""
    circles = all(section.outline.is_circle for section in body.sections)
    return circles and all(is_coaxial(pair) for pair in _pairs(body, 0))


def _axis(body: Ruled) -> tuple[Frame, list[tuple[float, float]]]:
    """Frame whose z is the axis of circular sections, and their places along it with their diameters."""
    arcs = [section.outline.arcs[0] for section in body.sections]
    frame = body.sections[0].frame.shifted(*arcs[0].centre)
    places = [
        float(frame.into(section.frame.out((*arc.centre, 0.0)))[2])
        for section, arc in zip(body.sections, arcs, strict=True)
    ]
    return frame, [(place, arc.diameter) for place, arc in zip(places, arcs, strict=True)]


def _check_sections(body: Ruled) -> None:
    if len(body.sections) < (3 if body.ring else 2):
        raise ValueError(f"a ruled body of {len(body.sections)} sections")
    kinds = [
        [(type(span).__name__, round(span.sweep, 6) if isinstance(span, Arc) else 0.0) for span in section.outline.spans]
        for section in body.sections
    ]
    for i, kind in enumerate(kinds[1:], start=1):
        if kind != kinds[0]:
            raise ValueError(f"spans of section {i} do not match those of section 0: {kind} and {kinds[0]}")


def _vector(values: Array) -> tuple[float, float, float]:
    a, b, c = (float(value) for value in values)
    return (a, b, c)
