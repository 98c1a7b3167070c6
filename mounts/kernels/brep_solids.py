"""Solids of the primitives in cadquery's verbs: analytic where the shape allows it, exact everywhere.

Edges are drawn in the x-y plane of a frame and placed by `moved`; faces and solids are made in their place, since
STEP keeps no name of a face that was moved. A ruled body is made of its own faces and not by
`loft`, which silently matches sections of unequal spans in its own way, and without that matching gives solids that are
not valid.

The assembly of a part among its real surroundings, for export to other CAD programs, is made of the same solids.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import singledispatch
from itertools import pairwise
from math import ceil

import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Array, Frame
from mounts.geometry.outline import Arc, Line, Outline, Span
from mounts.identity import Role
from mounts.kernels.cad import cq, func
from mounts.shape.primitives import Prism, Revolved, Ruled, Section
from mounts.shape.recipe import Scene

Mask = NDArray[np.bool_]
SAME = 1e-7  # mm: nearer points are one
PARALLEL = 1e-10
WIDEST = 100.0  # degrees: greatest sweep of one face between two arcs,
WIDEST_PLAIN = 200.0  # and of one about an axis, so that none closes on itself
PART = ("part", (0.30, 0.42, 0.55, 1.0))
THINGS: dict[str, tuple[tuple[float, float, float, float], tuple[Role, ...]]] = {
    "speaker": (
        (0.15, 0.15, 0.16, 1.0),
        (Role.SPEAKER, Role.BODY, Role.FLANGE, Role.FRONT, Role.TERMINAL, Role.DEVICE),
    ),
    "panel": ((0.72, 0.74, 0.76, 1.0), (Role.SHEET, Role.BEAD, Role.PLATE)),
    "hardware": ((0.80, 0.66, 0.30, 1.0), (Role.HARDWARE, Role.HEAD, Role.SPEAKER_HEAD, Role.NUT, Role.WASHER)),
    "glass": ((0.55, 0.78, 0.85, 0.35), (Role.GLASS,)),
    "trim": ((0.55, 0.50, 0.45, 0.35), (Role.TRIM,)),
    "grille": ((0.25, 0.25, 0.25, 0.35), (Role.GRILLE,)),
    "things": ((0.75, 0.45, 0.40, 0.60), (Role.THING, Role.FLOOR)),
}
GROUP = {role: name for name, (_, roles) in THINGS.items() for role in roles}


@singledispatch
def solid(body: object) -> cq.Solid:
    """Return the solid of a primitive.

    Raises:
        ValueError: if the body cannot be; the text names the values.
    """
    raise TypeError(f"no body: {body!r}")


@solid.register
def _prism(body: Prism) -> cq.Solid:
    """Return the extruded solid of a prism."""
    area = body.outline.area - sum(island.area for island in body.islands)
    if body.high <= body.low or min(area, body.outline.area, *(island.area for island in body.islands), area) <= 0:
        raise ValueError(f"a prism of {area:.4g} mm² from {body.low:.3f} up to {body.high:.3f} encloses nothing")
    floor = body.frame.lifted(body.low)
    face = func.face(
        *(
            func.wire([edge for edge in outline_edges(outline.spans, floor) if edge])
            for outline in (body.outline, *body.islands)
        )
    )
    return func.extrude(face, tuple(np.multiply(floor.z, body.high - body.low)))


@solid.register
def _revolved(body: Revolved) -> cq.Solid:
    """Return the solid of revolution of a profile."""
    profile = body.profile
    if any(after < before for (before, _), (after, _) in pairwise(profile)) or min(d for _, d in profile) < 0:
        raise ValueError(f"a revolved profile needs rising places and no negative diameter: {profile}")
    if max(d for _, d in profile) <= SAME:
        raise ValueError(f"a revolved body of no diameter encloses nothing: {profile}")
    if any(diameter <= SAME for _, diameter in profile[1:-1]):
        raise ValueError(f"a revolved body closes on its axis between its ends: {profile}")
    return _revolve_profile(body.frame, [(profile[0][0], 0.0), *profile, (profile[-1][0], 0.0)])


@solid.register
def _ruled(body: Ruled) -> cq.Solid:
    """Return the solid of a ruled body: of revolution if its sections are coaxial circles, else sewn of faces."""
    check_sections(body)
    if not body.ring:
        _check_rise(*(_Row.of(body.sections[end]) for end in (0, -1)))
    turned = revolved_profile(body)
    if turned is None:
        return _sew_faces(body)
    frame, levels = turned
    return _revolve_profile(frame, levels if body.ring else [(levels[0][0], 0.0), *levels, (levels[-1][0], 0.0)])


def _revolve_profile(frame: Frame, profile: Sequence[tuple[float, float]]) -> cq.Solid:
    """Return the solid of a closed profile of (place along z, diameter), turned about a frame's z."""
    points = frame.out([(diameter / 2, 0.0, z) for z, diameter in profile])
    apart = np.abs(points - np.roll(points, 1, axis=0)).max(axis=1) > SAME
    face = func.face(func.polygon(*map(tuple, points[apart])))
    return func.revolve(face, frame.origin, frame.z)


def _sew_faces(body: Ruled) -> cq.Solid:
    """Return the solid of the faces between a body's sections, and of its caps."""
    rows = [_Row.of(section) for section in _split_arcs(body)]
    faces = [face for low, high in _section_pairs(rows, ring=body.ring) for face in _side_faces(low, high)]
    ends = [] if body.ring else [outline_edges(row.spans, row.frame) for row in (rows[0], rows[-1])]
    return func.solid(*faces, *(func.face(_wire(end)) for end in ends if any(end)))


@dataclass(frozen=True, slots=True)
class _Row:
    """The spans of a section in the panel frame.

    Attributes:
        spans: in the section's own frame.
        frame: the section's.
        starts, ends: of the spans, (n, 3) float.
        centres: of arcs, (n, 3) float; a line's start.
        radii: of arcs, (n,) float; nan for lines.
    """

    spans: tuple[Span, ...]
    frame: Frame
    starts: Array
    ends: Array
    centres: Array
    radii: Array

    @classmethod
    def of(cls, section: Section) -> _Row:
        """Return the row of a section."""
        spans = section.outline.spans
        centres = [span.centre if isinstance(span, Arc) else span.start for span in spans]
        points = [[span.start for span in spans], [span.end for span in spans], centres]
        placed = section.frame.out(np.pad(np.array(points), ((0, 0), (0, 0), (0, 1))))
        radii = np.array([span.diameter / 2 if isinstance(span, Arc) else np.nan for span in spans])
        return cls(spans, section.frame, placed[0], placed[1], placed[2], radii)


def _section_pairs(rows: Sequence[_Row], *, ring: bool) -> list[tuple[_Row, _Row]]:
    """Return the rows that are joined, each with the next one."""
    return [*pairwise(rows), *([(rows[-1], rows[0])] if ring else [])]


def _side_faces(low: _Row, high: _Row) -> Iterator[cq.Face]:
    """Yield the faces of straight lines between equal fractions of two sections' spans; none between two points."""
    plain, coaxial = _is_flat(low, high), _is_coaxial(low, high)
    axis = np.array(low.frame.z)
    for k, (one, other) in enumerate(
        zip(outline_edges(low.spans, low.frame), outline_edges(high.spans, high.frame), strict=True)
    ):
        span = low.spans[k]
        if one is None and other is None:
            continue
        left, right = ((low.starts[k], high.starts[k]), (low.ends[k], high.ends[k]))
        if plain[k]:
            yield func.face(_wire((one, _segment(*right), other, _segment(*left))))
        elif coaxial[k] and isinstance(span, Arc):
            turn = tuple(axis if span.sweep >= 0 else -axis)
            yield func.revolve(_segment(*left), tuple(low.centres[k]), turn, abs(span.sweep))
        elif one is None or other is None:  # an arc that shrinks to a point
            yield func.loft(func.wire(one or other), func.vertex(*left[one is not None]), ruled=True)
        else:
            yield cq.Face.makeRuledSurface(one, other)


def _is_coaxial(low: _Row, high: _Row) -> Mask:
    """Tell which pairs of arcs turn about one axis, start by start: they bound a cylinder, a cone or a plane ring."""
    axis, between = np.array(low.frame.z), high.centres - low.centres
    if np.abs(np.cross(axis, high.frame.z)).max() > PARALLEL or axis @ high.frame.z < 0:
        return np.zeros(len(low.spans), dtype=bool)
    apart = [(row.starts - row.centres) / np.maximum(row.radii, SAME)[:, None] for row in (low, high)]
    alike = (np.fmin(low.radii, high.radii) <= SAME) | (np.abs(apart[0] - apart[1]).max(axis=1) < PARALLEL)
    found: Mask = np.isfinite(low.radii) & alike & (np.abs(np.cross(axis, between)).max(axis=1) <= SAME / 10)
    return found


def _is_flat(low: _Row, high: _Row) -> Mask:
    """Tell between which pairs of spans everything lies in one plane."""
    axis, lines = np.array(low.frame.z), np.isnan(low.radii)
    normal = np.cross(high.ends - low.starts, low.ends - high.starts)
    size = np.linalg.norm(normal, axis=1)
    away = np.abs(np.einsum("ij,ij->i", normal, high.starts - low.starts))
    level = np.abs(np.cross(axis, high.frame.z)).max() <= PARALLEL
    level &= abs(axis @ np.subtract(high.frame.origin, low.frame.origin)) < SAME / 10
    found: Mask = np.where(lines, (size < SAME**2) | (away < size * SAME / 100), level)
    return found


def outline_edges(spans: Sequence[Span], frame: Frame) -> list[cq.Edge | None]:
    """Return the edge of each span of an outline in a frame, None for one of no length."""
    place = cq.Location(cq.Plane(frame.origin, frame.x, frame.z))
    return [edge and edge.moved(place) for edge in map(span_edge, spans)]


def _wire(border: Sequence[cq.Edge | None]) -> cq.Wire:
    """Return the wire of the edges that there are."""
    return func.wire([edge for edge in border if edge])


def span_edge(span: Span) -> cq.Edge | None:
    """Return a span as an edge in the x-y plane, None when it has no length. An arc's runs counter-clockwise."""
    if span.length <= SAME:
        return None
    if isinstance(span, Line):
        return func.segment(span.start, span.end)
    if abs(span.sweep) >= 360.0:
        return cq.Edge.makeCircle(span.diameter / 2, span.centre)
    begin, end = sorted((span.begin, span.begin + span.sweep))
    return cq.Edge.makeCircle(span.diameter / 2, span.centre, angle1=begin, angle2=end)


def _segment(start: Array, end: Array) -> cq.Edge | None:
    """Return the straight edge between two points (3,), None when they are one."""
    return func.segment(tuple(start), tuple(end)) if np.abs(end - start).max() > SAME else None


def check_sections(body: Ruled) -> None:
    """Check that the sections can be joined span to span.

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


def _check_rise(low: _Row, high: _Row) -> None:
    """Check that the last section of a body without ring lies above the first.

    Raises:
        ValueError: if it does not.
    """
    rise = float(np.mean(high.starts - low.starts, axis=0) @ low.frame.z)
    if rise <= 0:
        raise ValueError(f"a ruled body whose last section lies {rise:.3f} mm above its first encloses nothing")


def revolved_profile(body: Ruled) -> tuple[Frame, list[tuple[float, float]]] | None:
    """Return frame and profile (place along its z, diameter) of a body whose sections are circles about one axis."""
    if not all(section.outline.is_circle for section in body.sections):
        return None
    rows = [_Row.of(section) for section in body.sections]
    if not all(_is_coaxial(low, high).all() for low, high in _section_pairs(rows, ring=body.ring)):
        return None
    frame = rows[0].frame.shifted(*body.sections[0].outline.arcs[0].centre)
    return frame, [(float(frame.into(row.centres[0])[2]), 2 * float(row.radii[0])) for row in rows]


def _split_arcs(body: Ruled) -> list[Section]:
    """Return the sections with arcs cut, alike in all, to what one face can hold."""
    rows = [_Row.of(section) for section in body.sections]
    plain = np.all([_is_flat(*pair) | _is_coaxial(*pair) for pair in _section_pairs(rows, ring=body.ring)], axis=0)
    widest = np.where(plain, WIDEST_PLAIN, WIDEST)
    pieces = [max(1, ceil(abs(_sweep(span)) / most)) for span, most in zip(rows[0].spans, widest, strict=True)]
    return [Section(section.frame, _cut_arcs(section.outline, pieces)) for section in body.sections]


def _cut_arcs(outline: Outline, pieces: Sequence[int]) -> Outline:
    """Return the outline with each arc cut into a number of equal pieces."""
    spans: list[Span] = []
    for span, n in zip(outline.spans, pieces, strict=True):
        if isinstance(span, Arc) and n > 1:
            part = span.sweep / n
            spans += [Arc(span.centre, span.diameter, span.begin + i * part, part) for i in range(n)]
        else:
            spans.append(span)
    return Outline(tuple(spans))


def _sweep(span: Span) -> float:
    """Return the sweep of an arc in degrees, 0 for a line."""
    return span.sweep if isinstance(span, Arc) else 0.0


def build_assembly(part: cq.Solid, scene: Scene) -> cq.Assembly:
    """Return the assembly of a part and its surroundings, one coloured child for each sort of thing.

    Tools, and the room that something moves through, are no things and are left out.

    Args:
        part: its `cadquery.Solid`.
        scene: its envelopes.
    """
    found = cq.Assembly(name=scene.recipe.name)
    found.add(part, name=PART[0], color=cq.Color(*PART[1]))
    bodies: dict[str, list[cq.Shape]] = defaultdict(list)
    for envelope in scene.envelopes:
        if group := GROUP.get(envelope.ident.role):
            bodies[group] += map(solid, envelope.bodies)
    for name, (colour, _) in THINGS.items():
        if name in bodies:
            found.add(cq.Compound.makeCompound(bodies[name]), name=name, color=cq.Color(*colour))
    return found
