"""Planes in which findings with a place are best seen: through the place and the two things beside it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from mounts.findings.report import Finding
from mounts.findings.wording import decisive
from mounts.geometry.facets import Mask, normalize
from mounts.geometry.frames import Array, Frame, Vector, as_vector
from mounts.identity import Ident
from mounts.kernels.part import Part
from mounts.write.page.switches import Shape

TOUCH = 1e-3  # mm: two things nearer than this give no direction
OFF = 0.02  # mm that a place may lie beside the line between its two things and still count as on it
ROUNDS = 6  # of going back and forth between two things to where they are nearest
UP = np.array([0.0, 0.0, 1.0])
SIGHT = np.array([0.35, -1.0, 0.2])  # from where one likes to look: from below, a little aside


@dataclass(frozen=True, slots=True, eq=False)
class TriangleSet:
    """Triangles to be asked for the place nearest to a point, again and again.

    Attributes:
        corners: (m, 3, 3) float.
        middle: (m, 3) float, their centres.
        half: (m,) float, how far their corners reach from there.
    """

    corners: Array
    middle: Array
    half: Array

    @staticmethod
    def of(corners: Array) -> TriangleSet:
        """Return the set of triangles (m, 3, 3)."""
        middle = corners.mean(axis=1)
        half = np.linalg.norm(corners - middle[:, None], axis=2).max(axis=1, initial=0.0)
        return TriangleSet(corners, middle, half)

    def nearest(self, at: Array, leaving: Mask | None = None) -> Array:
        """Return the place (3,) nearest to a point (3,), on none of the triangles that a mask (m,) leaves out."""
        from trimesh.triangles import closest_point

        apart = np.linalg.norm(self.middle - at, axis=1)
        if leaving is not None:
            apart[leaving] = np.inf
        near = self.corners[np.flatnonzero(apart - self.half <= apart.min())]
        places: Array = closest_point(near, np.broadcast_to(at, (len(near), 3)))
        found: Array = places[np.linalg.norm(places - at, axis=1).argmin()]
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Neighbourhood:
    """The part and the things round it, to be asked what lies nearest to a place.

    Attributes:
        part: all of its triangles.
        features: for each feature of the part, which of its triangles show it, (m,) bool.
        things: triangles of each thing round it.
        axis: frame whose z is the speaker's axis.
    """

    part: TriangleSet
    features: Mapping[Ident, Mask]
    things: Mapping[Ident, TriangleSet]
    axis: Frame

    @staticmethod
    def of(part: Part, things: Iterable[Shape], axis: Frame) -> Neighbourhood:
        """Return the neighbourhood of a part among things."""
        features = {ident: part.feature == number for number, ident in enumerate(part.features)}
        shown = {ident: mask for ident, mask in features.items() if mask.any()}
        around = {thing.ident: TriangleSet.of(thing.corners) for thing in things}
        return Neighbourhood(TriangleSet.of(part.vertices[part.triangles]), shown, around, axis)

    def cut(self, finding: Finding) -> Vector:
        """Return the unit normal of the plane for a finding that has a place; it points to where one looks from."""
        assert finding.at is not None
        at = np.asarray(finding.at)
        for start, end in self._ways(at, finding):
            normal = _plane_through(at, start, end)
            if normal is not None:
                return _direction_to(normal)
        return _direction_to(self._upright(at))

    def _ways(self, at: Array, finding: Finding) -> Iterator[tuple[Array, Array]]:
        """Yield from the one thing to the other, those first that are as long as the finding says."""
        if finding.between is None:
            return
        value = finding.closed_form if finding.measured is None else finding.measured
        one, other = finding.between
        here, there = self._nearest(one, other, at), self._nearest(other, one, at)
        found = [(here, there)]
        for _ in range(ROUNDS):
            before, here = here, self._nearest(one, other, there)
            there = self._nearest(other, one, here)
            if np.linalg.norm(here - before) < TOUCH:
                break
        found.append((here, there))
        wanted = inf if value is None else abs(value)
        yield from sorted(found, key=lambda way: abs(float(np.linalg.norm(way[1] - way[0])) - wanted))

    def _nearest(self, one: Ident, other: Ident, at: Array) -> Array:
        """Return the place on a thing nearest to a point; one that is none stands for all of the part but the other."""
        if one in self.things:
            return self.things[one].nearest(at)
        own, rest = self.features.get(one), self.features.get(other)
        if own is None:
            return self.part.nearest(at, rest)
        return self.part.nearest(at, ~own)

    def _upright(self, at: Array) -> Array:
        """Return the plane through the place and the speaker's axis; where they meet, the one that x lies in."""
        axis = self.axis.axes[:, 2]
        away = at - np.asarray(self.axis.origin)
        normal = np.cross(axis, away)
        return normal if np.linalg.norm(normal) > 1.0 else np.array([0.0, 1.0, 0.0])


def tightest(findings: Sequence[Finding]) -> list[int]:
    """Return the indices of clearances and walls that have a place, least margin first; of equal ones the thinnest."""
    return sorted((k for k, finding in enumerate(findings) if _is_tight(finding)), key=lambda k: _margin(findings[k]))


def _is_tight(finding: Finding) -> bool:
    counted = finding.code.startswith(("clear.", "wall.")) and not finding.code.endswith(".disagreement")
    return counted and finding.at is not None and finding.unit == "mm" and _margin(finding)[0] < inf


def _margin(finding: Finding) -> tuple[float, float]:
    """Return what is left to the limit, to the hundredth, and the value itself."""
    value = decisive(finding)
    if value is None or finding.limit is None:
        return inf, inf
    return round(value - finding.limit, 2), value


def _plane_through(at: Array, start: Array, end: Array) -> Array | None:
    """Return normal of the plane through a place and the way between two things; upright where that leaves a choice."""
    way = end - start
    length = float(np.linalg.norm(way))
    if length < TOUCH:
        return None
    along = way / length
    beside = (at - start) - along * float(along @ (at - start))
    if np.linalg.norm(beside) > OFF:
        return normalize(np.cross(along, beside))
    normal = np.cross(along, UP)
    if np.linalg.norm(normal) < 0.05:  # straight up: the plane that goes through the panel's middle too
        normal = np.cross(along, [at[0], at[1], 0.0])
    return normalize(normal) if np.linalg.norm(normal) > TOUCH else np.array([0.0, -1.0, 0.0])


def _direction_to(normal: Array) -> Vector:
    normal = normalize(normal)
    return as_vector(normal if float(normal @ SIGHT) >= 0 else -normal)
