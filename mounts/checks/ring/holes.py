"""Holes read back, from the finished mesh or from the STEP, against the panel's own points; and the hand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import cos, hypot, inf, radians
from typing import TYPE_CHECKING

import numpy as np

from mounts.checks.printing.patches import Surface, find_round_holes
from mounts.findings.compare import Said, at_most, state, within
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import PANEL, Frame, Vector
from mounts.geometry.outline import Point
from mounts.geometry.ties import MARGIN, keeps, least_of, sort_with_ties
from mounts.identity import Ident, Role
from mounts.kinds.ring.values import FlatPlan, RingPlan

if TYPE_CHECKING:
    from mounts.kernels.readback import Cylinder

OFF = 0.05  # mm that a hole may be off its place or its diameter
NEAR, LIKE = 3.0, 2.0  # mm from its place, and of its diameter, within which a hole is looked for
ALIKE = 0.3  # mm: holes whose diameters differ by less may be of one pattern
ALONG = 0.1  # degrees that a hole's axis may lean
SOURCE = "a twentieth of a millimetre: half a printer's error"


@dataclass(frozen=True, slots=True)
class WantedHole:
    """A hole as it should be.

    Attributes:
        ident: of its feature, such as "hole A".
        frame: in whose plane its centre lies.
        at: its centre.
        diameter: mm.
        whole: whether its wall must go all the way round; that of a recess may run out of the base.
    """

    ident: Ident
    frame: Frame
    at: Point
    diameter: float
    whole: bool = True


@dataclass(frozen=True, slots=True)
class ReadHole:
    """A round hole as it was read: its frame, its centre in that frame's plane, its diameter."""

    frame: Frame
    at: Point
    diameter: float


def wanted_in_ring(plan: RingPlan, points: Mapping[str, Point]) -> tuple[WantedHole, ...]:
    """Return every round hole of a ring; those of the fixings at the panel's own points.

    Args:
        plan: for diameters, and for the speaker's holes.
        points: the panel's fixings by name, panel frame.
    """
    found = []
    for fixing in plan.fixings:
        found.append(WantedHole(Ident(Role.HOLE, fixing.name), PANEL, points[fixing.name], fixing.hole))
        if fixing.recess:
            found.append(
                WantedHole(Ident(Role.RECESS, fixing.name), PANEL, points[fixing.name], fixing.recess.diameter, False)
            )
    for screw in plan.seat.screws:
        found.append(WantedHole(Ident(Role.SCREW, screw.name), plan.seat.frame, screw.at, screw.hole))
        if screw.nut:
            found.append(WantedHole(Ident(Role.NUT, screw.name), plan.seat.frame, screw.at, screw.nut.diameter, False))
    return tuple(found)


def wanted_in_sheet(plan: FlatPlan, points: Mapping[str, Point]) -> tuple[WantedHole, ...]:
    """Return every round hole of a ring cut from sheet; those of the fixings at the panel's own points."""
    return tuple(
        WantedHole(
            hole.ident, PANEL, points[hole.ident.name] if hole.ident.role is Role.HOLE else hole.at, hole.diameter
        )
        for hole in plan.holes
    )


def read_in_mesh(surface: Surface, frames: Sequence[Frame]) -> tuple[ReadHole, ...]:
    """Return the round holes that a mesh shows along the z of some frames."""
    return tuple(
        ReadHole(frame, bore.at, bore.diameter) for frame in frames for bore in find_round_holes(surface, frame)
    )


def read_in_step(cylinders: Sequence[Cylinder], frames: Sequence[Frame]) -> tuple[ReadHole, ...]:
    """Return the round holes among the cylinders of a STEP file, or of a solid, along the z of some frames."""
    return tuple(read for frame in frames for one in cylinders if (read := _along(one, frame)))


def hole_findings(read: Sequence[ReadHole], wanted: Sequence[WantedHole], where: str) -> Iterator[Finding]:
    """Place and diameter of every hole: the one that is furthest off, or each that is too far off.

    Args:
        read: holes as they were read.
        wanted: holes as they should be.
        where: they were read, such as "mesh".
    """
    pairs = [(hole, nearest_read(read, hole)) for hole in wanted]
    places = [_place(hole, found, where) for hole, found in pairs if found or hole.whole]
    sizes = [_size(hole, found, where) for hole, found in pairs if found]
    yield from worst_or_all_that_fail(places)
    yield from worst_or_all_that_fail(sizes)


def nearest_read(read: Sequence[ReadHole], hole: WantedHole) -> ReadHole | None:
    """Return the read hole most like a wanted one in place and diameter; None where none is near."""
    found = [
        (_apart(one.at, hole.at), abs(one.diameter - hole.diameter), one) for one in read if one.frame == hole.frame
    ]
    near = [(off + size, one) for off, size, one in found if off < NEAR and size < LIKE]
    return least_of(near, key=lambda one: one[0])[1] if near else None


def hand_finding(
    read: Sequence[ReadHole], points: Mapping[str, Point], hole: float, clearance: float, side: str
) -> Finding:
    """Return whether the part's pattern is this side's and not its mirror image.

    Args:
        read: holes as they were read, panel frame.
        points: the panel's fixings on this side.
        hole: diameter of the fixings' holes.
        clearance: of a screw in its hole, half the difference of their diameters.
        side: of the part.
    """
    holes = [one.at for one in read if one.frame == PANEL and abs(one.diameter - hole) < ALIKE]
    own = _misfit(holes, points.values())
    mirrored = _misfit(holes, [(-x, y) for x, y in points.values()])
    right = keeps(own, max(mirrored, clearance)) and own < inf
    either = max(own, mirrored) <= clearance
    what = "hand of the hole pattern; either fits" if either else f"hand of the hole pattern, {side or 'right'}"
    wrong = "this is the part for the other side of the vehicle" if holes else "it has no hole like the fixings'"
    return state(
        "hand",
        Verdict.PASS if right else Verdict.FAIL,
        what,
        0.0,
        max(mirrored, clearance) if holes else clearance,
        measured=own if own < inf else None,
        source="holes to the mirrored pattern",
        advice=wrong,
    )


def worst_or_all_that_fail(found: Sequence[tuple[float, Finding]]) -> Iterator[Finding]:
    """Yield all findings that fail, else the one that is furthest off."""
    failing = [finding for _, finding in found if finding.verdict is Verdict.FAIL]
    yield from failing or [finding for _, finding in sort_with_ties(found, (lambda one: -one[0], MARGIN))[:1]]


def _along(one: Cylinder, frame: Frame) -> ReadHole | None:
    lean = abs(float(np.dot(one.direction, frame.z)))
    if not one.hole or one.sweep < 359 or lean < cos(radians(ALONG)):
        return None
    middle = frame.into(np.add(one.start, one.end) / 2)
    return ReadHole(frame, (float(middle[0]), float(middle[1])), one.diameter)


def _apart(one: Point, other: Point) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])


def _place(hole: WantedHole, found: ReadHole | None, where: str) -> tuple[float, Finding]:
    what = f"offset of {hole.ident} from its place, read in the {where}"
    why = "it is not at its place" if found else "none like it is near its place"
    said: Said = {"at": _vector(hole), "case": where, "source": SOURCE, "advice": f"{why}; do not use this part"}
    if found is None:
        return inf, state("hole.position", Verdict.FAIL, what, 0.0, OFF, **said)
    off = _apart(found.at, hole.at)
    return off, at_most("hole.position", 0.0, OFF, what, measured=off, **said)


def _size(hole: WantedHole, found: ReadHole, where: str) -> tuple[float, Finding]:
    off = found.diameter - hole.diameter
    what = f"diameter of {hole.ident}, read in the {where}"
    advice = f"it is too {'wide' if off > 0 else 'narrow'}; do not use this part"
    said: Said = {"at": _vector(hole), "case": where, "source": SOURCE, "advice": advice}
    return abs(off), within("hole.diameter", found.diameter, hole.diameter, OFF, what, **said)


def _misfit(holes: Sequence[Point], points: Iterable[Point]) -> float:
    """Return the greatest distance of a point from the hole nearest to it; inf without holes."""
    return max((min((_apart(hole, point) for hole in holes), default=inf) for point in points), default=0.0)


def _vector(hole: WantedHole) -> Vector:
    x, y, z = (float(v) for v in hole.frame.out((*hole.at, 0.0)))
    return (x, y, z)
