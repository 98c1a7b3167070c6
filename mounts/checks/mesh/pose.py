"""Pose of a ring's mesh that was drawn or saved elsewhere: the rigid transform from its own frame to the panel's.

Registration of holes on a pattern by turning and shifting, even where one of them is out of place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, radians, sin
from typing import Protocol

import numpy as np

from mounts.checks.printing.patches import FlatPatch, Surface, find_flats, find_round_holes
from mounts.geometry.facets import normalize
from mounts.geometry.frames import Array, Frame, as_vector
from mounts.geometry.outline import Point
from mounts.kernels.part import Part
from mounts.kinds.speaker_kind import SeatedPlan

LIKE = 1.0  # mm by which two distances may differ and still be taken for the same
INLIER = 0.2  # mm: holes this near to their places decide the last bit of turn and shift
WAYS_TRIED = 4000  # ways of laying one pattern on the other that are looked at
BEST = 24  # of them that are returned
NEAR = 2.0  # mm that a hole may be out of place in a part that otherwise stands right
FITS = 0.5  # mm that half of the holes are at most off
LEVEL = 0.5  # mm that the lowest point may be off the face
LEAN, LIFT = float(np.cos(np.radians(1.5))), 1.0  # what faces the seat's way so nearly and is so near to it is seat
SEAT = 50.0  # mm² of it at least
SIDES = 6  # flat sides on which a part is laid down
SAME = 0.3  # mm: holes nearer to each other are one, as a recess and its hole
MIRRORED = 0.3  # mm in all by which the mirrored pattern must be nearer before a part is taken for the other side's
EVEN = 0.05  # degrees: less is not turned
HERE: Array = np.eye(4)
LAID = "laid on its flat side"
OTHER = "none fits: its holes are the mirror image; this is the part for the other side of the vehicle"


@dataclass(frozen=True, slots=True, eq=False)
class HoleRegistration:
    """One registration of holes on a pattern.

    Attributes:
        turn: by which the holes are turned, counter-clockwise, degrees, above −180 up to 180.
        shift: (2,) float, added after the turn, mm.
        off: (n,) float, distance of each place of the pattern from the nearest hole, mm.
    """

    turn: float
    shift: Array
    off: Array

    @property
    def matrix(self) -> Array:
        """Rigid transform about z, (4, 4) float."""
        found: Array = np.eye(4)
        found[:2, :2], found[:2, 3] = _spin(self.turn), self.shift
        return found


def register_holes(holes: Array, pattern: Array, most: float) -> tuple[HoleRegistration, ...]:
    """Return registrations of holes on a pattern, the best first: least sum of distances, then least turn.

    Args:
        holes: (k, 2) float, mm; more than the pattern has do no harm.
        pattern: (n, 2) float, at least two places.
        most: distance that every place may be from a hole, mm.
    """
    ways: list[HoleRegistration] = []
    for turn, shift in _tries(holes, pattern):
        off = residuals(holes @ _spin(turn).T + shift, pattern)
        if off.max() <= most:
            ways.append(_settled(holes, pattern, turn, shift))
    ways.sort(key=lambda way: (round(float(way.off.sum()), 3), abs(way.turn)))
    apart: list[HoleRegistration] = []
    for way in ways:
        if len(apart) < BEST and all(abs((way.turn - other.turn + 180) % 360 - 180) > 0.5 for other in apart):
            apart.append(way)
    return tuple(apart)


def residuals(holes: Array, pattern: Array) -> Array:
    """Return the distance of each place of a pattern (n, 2) from the nearest hole (k, 2), (n,) mm; inf without any."""
    away = np.linalg.norm(pattern[:, None] - holes[None], axis=2)
    least: Array = away.min(axis=1, initial=np.inf)
    return least


def _tries(holes: Array, pattern: Array) -> Iterator[tuple[float, Array]]:
    """Turn and shift that lay two of the holes on two places of the pattern that are as far apart."""
    for_holes, for_pattern = _pairs(len(holes)), _pairs(len(pattern))
    between_holes = holes[for_holes[:, 1]] - holes[for_holes[:, 0]]
    between_places = pattern[for_pattern[:, 1]] - pattern[for_pattern[:, 0]]
    lengths = (np.linalg.norm(between_holes, axis=1), np.linalg.norm(between_places, axis=1))
    apart = np.abs(lengths[0][:, None] - lengths[1])
    i, j = np.nonzero(apart < LIKE)
    order = np.lexsort([apart[i, j], -lengths[1][j].round(3)])[:WAYS_TRIED]  # pairs far apart fix the turn best
    for hole, place in zip(i[order], j[order], strict=True):
        (ux, uy), (vx, vy) = between_holes[hole], between_places[place]
        turn = degrees(atan2(vy, vx) - atan2(uy, ux))
        yield turn, pattern[for_pattern[place, 0]] - _spin(turn) @ holes[for_holes[hole, 0]]


def _settled(holes: Array, pattern: Array, turn: float, shift: Array) -> HoleRegistration:
    """Return the registration refined by least squares over the holes that are in place."""
    moved = holes @ _spin(turn).T + shift
    nearest = np.linalg.norm(pattern[:, None] - moved[None], axis=2).argmin(axis=1)
    good = residuals(moved, pattern) < INLIER
    if good.sum() >= 2:
        here, there = holes[nearest[good]], pattern[good]
        a, b = here - here.mean(axis=0), there - there.mean(axis=0)
        turn = degrees(atan2(float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()), float((a * b).sum())))
        shift = there.mean(axis=0) - _spin(turn) @ here.mean(axis=0)
    return HoleRegistration(180 - (180 - turn) % 360, shift, residuals(holes @ _spin(turn).T + shift, pattern))


def _pairs(count: int) -> Array:
    one, other = np.nonzero(~np.eye(count, dtype=bool))
    return np.stack([one, other], axis=1)


def _spin(turn: float) -> Array:
    c, s = cos(radians(turn)), sin(radians(turn))
    return np.array([[c, -s], [s, c]])


@dataclass(frozen=True, slots=True, eq=False)
class _Wanted:
    """Features of a plan to look for: its fixings (n, 2), and its seat's plane; mirrored for the other hand."""

    fixings: Array
    seat: Array
    axis: Array

    @property
    def mirrored(self) -> _Wanted:
        flip = np.array([-1.0, 1.0, 1.0])
        return _Wanted(self.fixings * flip[:2], self.seat * flip, self.axis * flip)


class FixingHole(Protocol):
    """One of the holes by which a mount is fixed to the panel."""

    @property
    def at(self) -> Point:
        """Centre in the panel's plane, mm."""


class FixedPlan(SeatedPlan, Protocol):
    """A plan with a seat and holes for the panel's fixings."""

    @property
    def fixings(self) -> Sequence[FixingHole]:
        """Holes by which it is fixed."""


def find_pose(part: Part, plan: FixedPlan, pose: Array = HERE) -> tuple[Array | None, str]:
    """Return the pose of a loaded mesh against the plan of a mount.

    The print pose and the panel frame are tried first, then the hole pattern with the part on its flat base, turned
    about z and shifted; then the same of the other hand and at another scale, to say what is wrong.

    Args:
        part: of a mesh file.
        plan: what it should be.
        pose: rigid transform (4, 4) from the panel frame to the print pose.

    Returns:
        The rigid transform (4, 4) from the mesh's frame to the panel's, or None when none fits; and the word for it,
        such as "print pose", "panel frame", "hole pattern, turned by 12.0 degrees clockwise" or "none fits: …".
    """
    surface = Surface(part)
    wanted = _Wanted(
        np.array([fixing.at for fixing in plan.fixings]), np.array(plan.seat.frame.origin), np.array(plan.seat.frame.z)
    )
    for transform, word in ((invert(pose), "print pose"), (HERE, "panel frame")):
        off, mirrored = (_off(surface, each, transform) for each in (wanted, wanted.mirrored))
        if mirrored < off - MIRRORED:
            return None, OTHER
        if off < np.inf:
            return transform, word
    found = _by_pattern(surface, wanted)
    other = _by_pattern(surface, wanted.mirrored)
    if other and (found is None or other.rank < found.rank):
        return None, OTHER
    if found is None:
        return None, f"none fits: {_why(surface, wanted)}"
    return found.transform, found.word


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    """A pose by the hole pattern: transform, word, whether the seat is in place, summed distance of the holes."""

    transform: Array
    word: str
    seated: bool
    off: float

    @property
    def rank(self) -> tuple[bool, float]:
        """Sort key, lower is better; a small difference of distances counts as none."""
        return not self.seated, self.off // MIRRORED


def _off(surface: Surface, wanted: _Wanted, transform: Array) -> float:
    """Return the summed distance of holes from their places, mm; inf unless base and seat are in place."""
    frame = _frame_of(invert(transform))
    lowest = float(frame.into(surface.part.vertices)[:, 2].min())
    off = residuals(_holes(surface, frame), wanted.fixings)
    right = abs(lowest) < LEVEL and off.max() < NEAR and _seated(surface, wanted, transform)
    return float(off.sum()) if right else np.inf


def _by_pattern(surface: Surface, wanted: _Wanted) -> _Found | None:
    """Return the best registration of the part's holes on the pattern, with its seat in place if possible."""
    spare: _Found | None = None
    for frame, lies in _standing(surface):
        for way in register_holes(_holes(surface, frame), wanted.fixings, NEAR):
            if np.median(way.off) > FITS:
                continue
            transform = way.matrix @ frame_transform(frame)
            word = lies or describe_turn(way.turn, "hole pattern")
            found = _Found(transform, word, _seated(surface, wanted, transform), float(way.off.sum()))
            if found.seated:
                return found
            spare = spare or found
    return spare


def describe_turn(turn: float, by: str) -> str:
    """Return the words for a mesh found by something when turned by so many degrees counter-clockwise.

    The mesh stands turned against the panel the other way round than it is turned to fit.
    """
    if abs(turn) < EVEN:
        return f"{by}, shifted"
    return f"{by}, turned by {abs(turn):.1f} degrees {'clockwise' if turn > 0 else 'anticlockwise'}"


def _standing(surface: Surface) -> Iterator[tuple[Frame, str]]:
    """Yield frames with z up from what may be the base: as the part stands, then on each large flat side."""
    yield Frame((0.0, 0.0, float(surface.part.vertices[:, 2].min()))), ""
    yield from ((frame, f"hole pattern, {LAID}") for frame in base_frames(surface))


def base_frames(surface: Surface) -> Iterator[Frame]:
    """Yield frames with z up from each of a part's large flat sides on which it does not stand already."""
    sides = find_flats(surface, 0.1 * float(surface.area.sum()) / SIDES)
    yield from (_on(side) for side in sides[:SIDES] if side.normal[2] > -LEAN)


def _on(side: FlatPatch) -> Frame:
    """Return a frame on a flat side with z into the part."""
    z = -np.array(side.normal)
    x = np.cross(z, np.eye(3)[int(np.argmin(np.abs(z)))])
    return Frame(side.middle, as_vector(normalize(x)), as_vector(z))


def _holes(surface: Surface, frame: Frame) -> Array:
    """Return the centres (k, 2) of round holes along a frame's z, each once."""
    kept: list[tuple[float, float]] = []
    for bore in find_round_holes(surface, frame):
        if all(np.hypot(bore.at[0] - x, bore.at[1] - y) > SAME for x, y in kept):
            kept.append(bore.at)
    return np.array(kept, dtype=float).reshape(-1, 2)


def _seated(surface: Surface, wanted: _Wanted, transform: Array) -> bool:
    """Return whether enough of the part lies in the seat's plane and faces its way."""
    axis, seat = transform[:3, :3].T @ wanted.axis, transform[:3, :3].T @ (wanted.seat - transform[:3, 3])
    facing = np.flatnonzero(surface.across @ axis > LEAN * surface.area)
    lift = np.abs((surface.corners[facing] - seat) @ axis).max(axis=1, initial=0.0)
    return float(surface.area[facing[lift < LIFT]].sum()) > SEAT


def _why(surface: Surface, wanted: _Wanted) -> str:
    """Return why no pose fits, as far as its holes show."""
    holes = _holes(surface, next(_standing(surface))[0])
    if len(holes) < len(wanted.fixings):
        return f"{len(holes)} round holes on its base, the pattern has {len(wanted.fixings)}"
    for scale in _scales(holes, wanted.fixings):
        ways = register_holes(holes * scale, wanted.fixings, NEAR)
        if ways and np.median(ways[0].off) < FITS:
            return f"its holes would at a scale of {scale:.4g}"
    return "its holes are no such pattern"


def _scales(holes: Array, pattern: Array) -> Sequence[float]:
    """Return the scales worth trying: that of inches, and that which makes the widest distances equal."""
    wide = [float(np.linalg.norm(p[:, None] - p[None], axis=2).max()) for p in (pattern, holes)]
    return (25.4, 1 / 25.4, 1000.0, wide[0] / max(wide[1], 1e-9))


def frame_transform(frame: Frame) -> Array:
    """Return the rigid transform (4, 4) of `Frame.into`."""
    found: Array = np.eye(4)
    found[:3, :3] = frame.axes.T
    found[:3, 3] = -frame.axes.T @ np.array(frame.origin)
    return found


def invert(matrix: Array) -> Array:
    """Return the inverse of a rigid transform (4, 4)."""
    found: Array = np.asarray(np.linalg.inv(matrix), dtype=float)
    return found


def _frame_of(matrix: Array) -> Frame:
    """Return the frame that a rigid transform (4, 4) carries the panel's to."""
    return Frame(as_vector(matrix[:3, 3]), as_vector(matrix[:3, 0]), as_vector(matrix[:3, 2]))
