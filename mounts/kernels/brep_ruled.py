"""Ruled bodies of the B-rep kernel: patches and caps put together by hand, so that they share their edges."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, radians
from typing import Any

from mounts.geometry.frames import Frame
from mounts.geometry.outline import Arc, Outline, Span
from mounts.kernels.brep_curves import (
    BUILDER,
    SAME,
    BRep,
    TopAbs,
    TopoDS,
    corners,
    edges,
    line_edge,
    plane,
    plane_face,
    surface_face,
    wire,
)
from mounts.kernels.brep_patches import WIDEST, Pair, is_coaxial, is_flat, patch
from mounts.shape.primitives import Ruled, Section

WIDEST_PLAIN = 200.0  # degrees: greatest sweep of one face about an axis, so that none closes on itself


def joined(body: Ruled) -> Any:
    """Solid of the patches between a body's sections, and of its caps."""
    sections = _split(body)
    planes = [plane(section.frame) for section in sections]
    at = [corners(section.outline, on) for section, on in zip(sections, planes, strict=True)]
    along = [edges(s.outline, on, corner) for s, on, corner in zip(sections, planes, at, strict=True)]
    shell = TopoDS.TopoDS_Shell()
    BUILDER.MakeShell(shell)
    for i, j in [*pairwise(range(len(sections))), *([(len(sections) - 1, 0)] if body.ring else [])]:
        rails = _rails(at[i], at[j])
        spans = zip(sections[i].outline.spans, sections[j].outline.spans, strict=True)
        for k, (low, high) in enumerate(spans):
            border = (along[i][k], rails[(k + 1) % len(rails)], along[j][k], rails[k])
            if border[0] is not None or border[2] is not None:
                BUILDER.Add(shell, _side(Pair(low, planes[i], high, planes[j]), border, (at[i][k], at[j][k])))
    if not body.ring:
        for end in (0, -1):
            if any(edge is not None for edge in along[end]):
                cap = plane_face(planes[end], along[end])
                BUILDER.Add(shell, cap if end else cap.Reversed())
    return solid_of(shell)


def solid_of(shell: Any) -> Any:
    """Solid inside a closed shell."""
    shell.Closed(True)
    made = TopoDS.TopoDS_Solid()
    BUILDER.MakeSolid(made)
    BUILDER.Add(made, shell)
    return made


def check_sections(body: Ruled) -> None:
    """Sees that the sections can be joined span to span.

    Raises:
        ValueError: if they cannot.
    """
    if len(body.sections) < (3 if body.ring else 2):
        raise ValueError(f"a ruled body of {len(body.sections)} sections")
    first = body.sections[0].outline.spans
    for i, section in enumerate(body.sections[1:], start=1):
        spans = section.outline.spans
        if len(spans) != len(first):
            raise ValueError(f"section {i} has {len(spans)} spans, section 0 has {len(first)}")
        for k, (one, other) in enumerate(zip(first, spans, strict=True)):
            if type(one) is not type(other) or abs(_sweep(one) - _sweep(other)) > 1e-6:
                raise ValueError(
                    f"span {k} of section {i} sweeps {_sweep(other):g}, that of section 0 {_sweep(one):g} degrees"
                )


def turned_profile(body: Ruled) -> tuple[Frame, list[tuple[float, float]]] | None:
    """Frame and profile (place along its z, diameter) of a body whose sections are circles about one axis."""
    sections = body.sections
    if not all(section.outline.is_circle for section in sections) or not all(map(is_coaxial, _pairs(body, 0))):
        return None
    arcs = [section.outline.arcs[0] for section in sections]
    frame = sections[0].frame.shifted(*arcs[0].centre)
    places = [frame.into(s.frame.out((*arc.centre, 0.0)))[2] for s, arc in zip(sections, arcs, strict=True)]
    return frame, [(float(place), arc.diameter) for place, arc in zip(places, arcs, strict=True)]


def _rails(low: list[Any], high: list[Any]) -> list[Any]:
    """Straight edges between the corners of two sections; corners that are one share one."""
    made: list[Any] = []
    for k, (a, b) in enumerate(zip(low, high, strict=True)):
        if k and a is low[k - 1] and b is high[k - 1]:
            made.append(made[-1])
        elif k and a is low[0] and b is high[0]:
            made.append(made[0])
        else:
            made.append(line_edge(a, b))
    return made


def _side(pair: Pair, border: tuple[Any, Any, Any, Any], points: tuple[Any, Any]) -> Any:
    """Face of a patch between its edges; a missing edge has shrunk to the point given for it."""
    drawn = patch(pair)
    low, right, high, left = border
    face = surface_face(drawn.surface)
    if drawn.traces:
        low = _shrunk(points[0]) if low is None else low
        high = _shrunk(points[1]) if high is None else high
        for edge, trace in zip((low, right, high, left), drawn.traces, strict=True):
            BUILDER.UpdateEdge(edge, trace, face, SAME)
            if BRep.BRep_Tool.Degenerated_s(edge):
                BUILDER.Range(edge, face, 0.0, radians(abs(_sweep(pair.low))) or SAME)
    loop = [edge and edge.Reversed() for edge in (high, left)]
    border_wire = wire([low, right, *loop])
    BUILDER.Add(face, border_wire.Reversed() if drawn.inward else border_wire)
    return face.Reversed() if drawn.inward else face


def _shrunk(at: Any) -> Any:
    """Edge without length, at the tip of a cone."""
    made = TopoDS.TopoDS_Edge()
    BUILDER.MakeEdge(made)
    BUILDER.Add(made, at.Oriented(TopAbs.TopAbs_FORWARD))
    BUILDER.Add(made, at.Oriented(TopAbs.TopAbs_REVERSED))
    BUILDER.Degenerated(made, True)
    return made


def _pairs(body: Ruled, k: int) -> list[Pair]:
    """Span `k` of every section with that of the next one."""
    sections = [*body.sections, body.sections[0]] if body.ring else list(body.sections)
    placed = [(section.outline.spans[k], plane(section.frame)) for section in sections]
    return [Pair(*low, *high) for low, high in pairwise(placed)]


def _split(body: Ruled) -> list[Section]:
    """The sections with arcs cut, alike in all, to what one patch can hold."""
    pieces = []
    for k, span in enumerate(body.sections[0].outline.spans):
        sweep = abs(_sweep(span))
        plain = sweep == 0 or all(is_flat(pair) or is_coaxial(pair) for pair in _pairs(body, k))
        pieces.append(max(1, ceil(sweep / (WIDEST_PLAIN if plain else WIDEST))))
    return [Section(section.frame, in_pieces(section.outline, pieces)) for section in body.sections]


def in_pieces(outline: Outline, pieces: Sequence[int]) -> Outline:
    """The outline with each arc cut into a number of equal pieces."""
    spans: list[Span] = []
    for span, n in zip(outline.spans, pieces, strict=True):
        if isinstance(span, Arc) and n > 1:
            part = span.sweep / n
            spans += [Arc(span.centre, span.diameter, span.begin + i * part, part) for i in range(n)]
        else:
            spans.append(span)
    return Outline(tuple(spans))


def _sweep(span: Span) -> float:
    return span.sweep if isinstance(span, Arc) else 0.0
