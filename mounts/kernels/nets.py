"""Closed triangle nets of the primitives, for the mesh kernel. Plain numpy but for the flat caps.

Sections are cut at equal fractions of matching spans; sides are split along alternating diagonals, so that on a twisted
surface what one triangle cuts off the next one adds.

Points along outlines at equal fractions of their spans, for the mesh kernel.

Twice the segments give every point of the coarser sampling again, so that a volume's error falls with their square and
two nets show where it goes. Small circles take fewer chords, none of which lies further off than a large one's.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import singledispatch
from itertools import pairwise
from math import ceil

import manifold3d
import numpy as np
from numpy.typing import NDArray

from mounts.geometry.frames import Frame
from mounts.geometry.outline import Arc, Outline, Span
from mounts.shape.primitives import Prism, Revolved, Ruled

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SAME = 1e-7  # mm: nearer points of one outline are one
LARGE, MEDIUM = 48.0, 12.0  # mm: circles below take a half and a quarter of the chords,
FEWEST = 12  # but not fewer than these
FLAT = 1e-9  # mm: four points that leave their plane by less are flat


def contour(outline: Outline, segments: int) -> Floats:
    """Return points of an outline, none twice, (n, 2) float, mm.

    Raises:
        ValueError: if it encloses nothing.
    """
    return numbered_contour(outline, segments)[0]


def numbered_contour(outline: Outline, segments: int) -> tuple[Floats, Ints]:
    """Return points of an outline, none twice, (n, 2) float, and the number of the span that follows each, (n,) int.

    Raises:
        ValueError: if it encloses nothing.
    """
    fractions = [np.arange(n) / n for span in outline.spans for n in (span_chords(span, segments),)]
    points = sample_spans(outline, fractions)
    number = np.concatenate([np.full(len(parts), k) for k, parts in enumerate(fractions)])
    single = distinct_points(points)
    if single.sum() < 3 or outline.area <= 0:
        raise ValueError(f"an outline encloses {outline.area:.4g} mm²")
    return points[single], number[single]


def sample_spans(outline: Outline, fractions: Sequence[Floats]) -> Floats:
    """Return points of each span at its fractions, (n, 2) float."""
    return np.concatenate([_sample_span(span, f) for span, f in zip(outline.spans, fractions, strict=True)])


def _sample_span(span: Span, fractions: Floats) -> Floats:
    """Return points of a span at fractions, (n, 2) float."""
    if isinstance(span, Arc):
        turn = np.radians(span.begin + span.sweep * fractions)
        return np.asarray(span.centre) + span.diameter / 2 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return np.outer(1 - fractions, span.start) + np.outer(fractions, span.end)


def distinct_points(path: Floats) -> NDArray[np.bool_]:
    """Return the mask of points of a closed path, (n, 2) float, that differ from the one before; at least the first."""
    single: NDArray[np.bool_] = np.abs(path - np.roll(path, 1, axis=0)).max(axis=1) > SAME
    if not single.any():
        single[0] = True
    return single


def span_chords(span: Span, segments: int) -> int:
    """Return the number of chords of a span: an arc's share of its circle's, which doubles when `segments` doubles."""
    if not isinstance(span, Arc) or span.diameter <= SAME:
        return 1
    coarse, times = circle_chords(span.diameter, segments), 1
    while coarse > 64 and coarse % 2 == 0:
        coarse, times = coarse // 2, times * 2
    return ceil(coarse * abs(span.sweep) / 360 - 1e-9) * times


def circle_chords(diameter: float, segments: int) -> int:
    """Return the number of chords of a full circle: a small one takes fewer, with no greater sagitta."""
    share = 1 if diameter >= LARGE else 2 if diameter >= MEDIUM else 4
    return min(segments, max(FEWEST, segments // share))


@dataclass(frozen=True, slots=True, eq=False)
class Net:
    """Closed triangle net.

    Attributes:
        points: (n, 3) float, mm.
        triangles: (m, 3) int, counter-clockwise seen from outside.
        face: (m,) int, number of the smooth face of the body that each triangle lies on.
    """

    points: Floats
    triangles: Ints
    face: Ints


@singledispatch
def net(body: object, segments: int) -> Net:
    """Return the net of a primitive, `segments` chords to a full circle that is large.

    Raises:
        ValueError: if the body encloses nothing; the text names the values.
    """
    raise TypeError(f"no body: {body!r}")


@net.register
def _prism(body: Prism, segments: int) -> Net:
    """Return the net of a prism: sides span by span, and two caps."""
    if body.high <= body.low:
        raise ValueError(f"a prism from {body.low:.3f} up to {body.high:.3f} has no height")
    contours = [numbered_contour(outline, segments) for outline in (body.outline, *body.islands)]
    rings = [contours[0][0], *(points[::-1] for points, _ in contours[1:])]
    # a reversed ring's edge i leaves its point i towards what was the point before it
    spans = [contours[0][1], *(np.roll(span[::-1], -1) for _, span in contours[1:])]
    sizes = [len(ring) for ring in rings]
    starts = np.cumsum([0, *sizes])
    total = int(starts[-1])
    step = np.concatenate([start + np.roll(np.arange(n), -1) for start, n in zip(starts, sizes, strict=False)])
    here = np.arange(total)
    sides, face = _quads(here, step, step + total, here + total, _number_on(spans))
    cap = _cap(rings)
    plane = np.concatenate(rings)
    points = np.concatenate([_place_points(plane, body.low, body.frame), _place_points(plane, body.high, body.frame)])
    return _net(points, [sides, cap[:, ::-1], cap + total], [face])


@net.register
def _ruled(body: Ruled, segments: int) -> Net:
    """Return the net of a ruled body: sides between its sections, and caps unless it is a ring."""
    _check_sections(body)
    spans = [_cut_fractions(body, k, segments) for k in range(len(body.sections[0].outline.spans))]
    number = np.concatenate([np.full(len(parts), k) for k, parts in enumerate(spans)])
    flat = [sample_spans(section.outline, spans) for section in body.sections]
    kept, index, base = [], [], 0
    for plane in flat:
        single = distinct_points(plane)
        kept.append(plane[single])
        index.append(base + (np.cumsum(single) - 1) % int(single.sum()))
        base += len(kept[-1])
    points = np.concatenate(
        [_place_points(plane, 0.0, section.frame) for plane, section in zip(kept, body.sections, strict=True)]
    )
    levels = list(pairwise(index)) + ([(index[-1], index[0])] if body.ring else [])
    nets = [
        _quads(low, np.roll(low, -1), np.roll(high, -1), high, number + i * len(spans))
        for i, (low, high) in enumerate(levels)
    ]
    caps = [] if body.ring else [_cap([kept[0]])[:, ::-1], _cap([kept[-1]]) + base - len(kept[-1])]
    return _net(points, [*(quads for quads, _ in nets), *caps], [face for _, face in nets])


@net.register
def _revolved(body: Revolved, segments: int) -> Net:
    """Return the net of a body of revolution."""
    profile = _axis_to_axis(body.profile)
    segments = circle_chords(max(diameter for _, diameter in profile), segments)
    turn = np.arange(segments) * (2 * np.pi / segments)
    circle = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    places, index, base = [], [], 0
    for z, diameter in profile:
        ring = circle * diameter / 2 if diameter > SAME else np.zeros((1, 2))
        places.append(_place_points(ring, z, body.frame))
        index.append(np.full(segments, base) if len(ring) == 1 else base + np.arange(segments))
        base += len(ring)
    nets = [
        _quads(low, np.roll(low, -1), np.roll(high, -1), high, np.full(segments, i))
        for i, (low, high) in enumerate(pairwise(index))
    ]
    return _net(np.concatenate(places), [quads for quads, _ in nets], [face for _, face in nets])


def _axis_to_axis(profile: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the profile from axis to axis, its flat ends included and nothing given twice."""
    if any(after < before for (before, _), (after, _) in pairwise(profile)) or any(d < 0 for _, d in profile):
        raise ValueError(f"a revolved profile needs rising places and no negative diameter: {tuple(profile)}")
    (first, _), (last, _) = profile[0], profile[-1]
    path = [(first, 0.0)]
    for z, diameter in [*profile, (last, 0.0)]:
        if abs(z - path[-1][0]) > SAME or abs(diameter - path[-1][1]) > SAME:
            path.append((z, diameter))
    if len(path) < 3 or any(diameter <= SAME for _, diameter in path[1:-1]):
        raise ValueError(f"a revolved body closes on its axis between its ends: {tuple(profile)}")
    return path


def _cut_fractions(body: Ruled, k: int, segments: int) -> Floats:
    """Return the fractions at which span `k` of every section is cut: by sweep; lines only on a twisted surface."""
    spans = [section.outline.spans[k] for section in body.sections]
    count = max(span_chords(span, segments) for span in spans)
    if not isinstance(spans[0], Arc) and any(_is_twisted(body, i, k) for i in range(len(spans))):
        count = 2 * ceil(segments / 8)
    cut: Floats = np.arange(count) / count
    return cut


def _is_twisted(body: Ruled, i: int, k: int) -> bool:
    """Return whether line `k` of section `i` and of the section before it (of the last, in a ring) are not coplanar."""
    if i == 0 and not body.ring:
        return False
    low, high = (
        section.frame.out([(*point, 0.0) for point in (line.start, line.end)])
        for section in (body.sections[i - 1], body.sections[i])
        for line in (section.outline.spans[k],)
    )
    normal = np.cross(high[1] - low[0], high[0] - low[1])
    size = float(np.linalg.norm(normal))
    return size > 0 and abs(float(normal @ (low[1] - low[0]))) / size > FLAT


def _quads(a: Ints, b: Ints, c: Ints, d: Ints, face: Ints) -> tuple[Ints, Ints]:
    """Return triangles of the quads a-b-c-d, diagonals alternating so that errors on a twisted surface cancel."""
    even = (np.arange(len(a)) % 2 == 0)[:, None]
    first = np.where(even, np.stack([a, b, c], axis=1), np.stack([a, b, d], axis=1))
    second = np.where(even, np.stack([a, c, d], axis=1), np.stack([b, c, d], axis=1))
    return np.concatenate([first, second]), np.concatenate([face, face])


def _cap(rings: Sequence[Floats]) -> Ints:
    """Return triangles of the plane area inside the first ring and outside the others; none for a point or a ridge."""
    if len(rings[0]) < 3:
        return np.empty((0, 3), dtype=np.int64)
    return np.asarray(manifold3d.triangulate(list(rings)), dtype=np.int64)


def _number_on(spans: Iterable[Ints]) -> Ints:
    """Return span numbers of several contours, counted on from one to the next."""
    counted, base = [], 0
    for number in spans:
        counted.append(number + base)
        base += int(number.max()) + 1
    return np.concatenate(counted)


def _place_points(plane: Floats, z: float, frame: Frame) -> Floats:
    """Return points of a frame's plane at height `z` in the panel frame, (n, 3) float."""
    return frame.out(np.column_stack([plane, np.full(len(plane), z)]))


def _net(points: Floats, triangles: Sequence[Ints], faces: Sequence[Ints]) -> Net:
    """Return the net of sides with their faces and of caps, each a face of its own, without degenerate triangles."""
    numbers = list(faces)
    top = max((int(face.max()) for face in faces), default=-1)
    for k, cap in enumerate(triangles[len(faces) :]):
        numbers.append(np.full(len(cap), top + 1 + k))
    every, face = np.concatenate(list(triangles)), np.concatenate(numbers)
    whole = (every[:, 0] != every[:, 1]) & (every[:, 1] != every[:, 2]) & (every[:, 2] != every[:, 0])
    return Net(points, every[whole], face[whole])


def _check_sections(body: Ruled) -> None:
    """Check that the sections can be joined span to span.

    Raises:
        ValueError: if they cannot; the text names the span.
    """
    first, least = body.sections[0].outline.spans if body.sections else (), 3 if body.ring else 2
    if len(body.sections) < least:
        raise ValueError(f"a ruled body has {len(body.sections)} sections, it needs {least}")
    for i, section in enumerate(body.sections[1:], start=1):
        spans = section.outline.spans
        if len(spans) != len(first):
            raise ValueError(f"section {i} has {len(spans)} spans, section 0 has {len(first)}")
        for k, (one, other) in enumerate(zip(first, spans, strict=True)):
            sweeps = [span.sweep if isinstance(span, Arc) else 0.0 for span in (one, other)]
            if isinstance(one, Arc) != isinstance(other, Arc) or abs(sweeps[0] - sweeps[1]) > 1e-6:
                raise ValueError(f"span {k} sweeps {sweeps[0]:.6g} in section 0 and {sweeps[1]:.6g} in section {i}")
