"""Readback of a finished ring: seat, base and holes of its mesh and its STEP against the plan.

A value that is read back has its plan's value as closed form; its limit is as far as it may be off on that side.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import atan2, degrees, hypot

import numpy as np

from mounts.checks.printing.patches import FlatPatch, Surface, find_flats
from mounts.checks.ring.holes import (
    ReadHole,
    WantedHole,
    hand_finding,
    hole_findings,
    read_in_mesh,
    read_in_step,
    wanted_in_ring,
    wanted_in_sheet,
    worst_or_all_that_fail,
)
from mounts.design.fasteners import thread_diameter
from mounts.findings.compare import state, within
from mounts.findings.report import Finding, Verdict
from mounts.geometry.frames import PANEL, Array, Frame, Vector
from mounts.geometry.outline import Point, circle
from mounts.identity import FLANGE_ROOM, GASKET_BED, PLATE, TOWER, Role
from mounts.kernels.part import Part
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Fixing, RingSeat
from mounts.kinds.ring.values import FlatPlan, RingPlan

OFF, LEAN = 0.05, 0.1  # mm and degrees that a value may be off its plan
SOURCE = "a twentieth of a millimetre, a tenth of a degree: half a printer's error"
SEEN = 20.0  # mm²: a smaller flat face is no seat and no land
SHARE = 0.2  # of a seat's area that a face without a name must have to be taken for it
AWAY = 0.3  # mm: a flat face this far from the face's plane is no land
UPRIGHT = 0.9  # least cosine between the seat and what is taken for it
BEARS = 1.0  # mm outside a recess or hole, where the base bears on the panel
AROUND = 24  # places looked at round a fixing
NO_TILT = 0.05  # degrees: a seat more level than this looks nowhere


def ring_readback(job: RingJob, plan: RingPlan, part: Part, step: bytes | None = None) -> tuple[Finding, ...]:
    """Return the findings on a finished ring's own surface against its plan.

    Args:
        job: for the panel's points and the screw.
        plan: of the ring.
        part: as a kernel made it, or as it was loaded and set in the panel frame.
        step: the STEP file, to read the holes there as well; without it they are read in the part's own solid, where
            it has one.
    """
    surface, points, frames = Surface(part), job.panel.fixings.points, [PANEL, plan.seat.frame]
    wanted, read = wanted_in_ring(plan, points), read_in_mesh(surface, frames)
    found = [_hand(job, plan.fixings[0].hole, plan.side, read)] if plan.fixings else []
    found += hole_findings(read, wanted, "mesh")
    found += exact_hole_findings(part, step, frames, wanted)
    found += [
        flatness_finding(surface),
        *rocking_findings(surface, plan.fixings),
        *recess_findings(surface, plan.fixings),
    ]
    found += seat_findings(surface, plan.seat)
    return tuple(found)


def sheet_readback(job: RingJob, plan: FlatPlan, part: Part, step: bytes | None = None) -> tuple[Finding, ...]:
    """Return the findings of `ring_readback` for a ring cut from sheet."""
    surface, points = Surface(part), job.panel.fixings.points
    wanted, read = wanted_in_sheet(plan, points), read_in_mesh(surface, [PANEL])
    holes = [hole.diameter for hole in plan.holes if hole.ident.role is Role.HOLE]
    found = [_hand(job, holes[0], plan.side, read)] if holes else []
    found += hole_findings(read, wanted, "mesh")
    found += exact_hole_findings(part, step, [PANEL], wanted)
    found += [flatness_finding(surface), *seat_findings(surface, plan.seat)]
    return tuple(found)


def seat_findings(surface: Surface, seat: RingSeat) -> Iterator[Finding]:
    """Yield flatness, tilt, clock and height of the seat that a mesh shows."""
    shown = find_seat(surface, seat)
    if shown is None:
        advice = "no flat face is there where the speaker should sit; do not use this part"
        yield state("seat.flat", Verdict.FAIL, "seat", limit=OFF, at=seat.frame.origin, source=SOURCE, advice=advice)
        return
    (flat, level), at = shown, shown[0].middle
    yield _beside("seat.flat", "flatness of the seat", flat.flatness, 0.0, OFF, at=at)
    nx, ny, nz = flat.normal
    tilt = degrees(atan2(hypot(nx, ny), nz))
    yield _beside("seat.tilt", "tilt of the seat", tilt, seat.tilt, LEAN, at=at)
    if seat.tilt > NO_TILT:
        off = (degrees(atan2(nx, ny)) - seat.toward + 180) % 360 - 180
        yield _beside("seat.toward", "clock of the tilt", seat.toward + off, seat.toward, LEAN, at=flat.middle)
    ox, oy, height = seat.frame.origin
    mx, my, mz = at
    found = mz - (nx * (ox - mx) + ny * (oy - my)) / nz - level / nz
    yield _beside("seat.height", "height of the seat's centre", found, height, OFF, at=(ox, oy, found))


def find_seat(surface: Surface, seat: RingSeat) -> tuple[FlatPatch, float] | None:
    """Return the face that is the seat, and how far above the seat's plane it lies by the plan; None without one.

    It is found by the features where the part has them; else it is the large face that comes nearest to the plan.
    """
    levels = {TOWER: seat.rim, PLATE: 0.0}
    if seat.let_in is not None:
        levels = {GASKET_BED: 0.0} if seat.gasket is not None else {FLANGE_ROOM: seat.lift}
    up = [flat for flat in find_flats(surface, SEEN) if np.dot(flat.normal, seat.frame.z) > UPRIGHT]
    named = [(flat, levels[flat.feature]) for flat in up if flat.feature in levels]
    if named:
        return named[0]
    level = next(iter(levels.values()))
    large = SHARE * (seat.outline.area - seat.bore.area)
    return min(
        ((flat, level) for flat in up if flat.area > large), key=lambda one: _unlike(one[0], one[1], seat), default=None
    )


def flatness_finding(surface: Surface) -> Finding:
    """Return how far the underside's land leaves the face's plane."""
    land = [f for f in find_flats(surface, SEEN) if f.normal[2] < -UPRIGHT and abs(f.middle[2]) < AWAY]
    if not land:
        advice = "nothing lies on the face; do not use this part"
        return state("base.flat", Verdict.FAIL, "underside on the face", limit=OFF, source=SOURCE, advice=advice)
    corners = surface.vertices_of(np.isin(surface.part.face, [flat.face for flat in land]))
    worst = corners[np.argmax(np.abs(corners[:, 2]))]
    at = (float(worst[0]), float(worst[1]), float(worst[2]))
    return _beside("base.flat", "flatness of the underside", at[2], 0.0, OFF, at=at)


def rocking_findings(surface: Surface, fixings: Sequence[Fixing]) -> Iterator[Finding]:
    """Yield whether the base bears at every fixing on the face's height there: the worst, or each that does not."""
    found = []
    for fixing in fixings:
        across = (fixing.recess.diameter if fixing.recess else fixing.hole) + 2 * BEARS
        under = underside_heights(surface, circle(across, fixing.at).points(least=AROUND))
        off = float(np.median(under)) - fixing.step if len(under) else float("inf")
        what = f"base to the face at fixing {fixing.name}"
        finding = replace(_beside("base.rocks", what, off, 0.0, OFF, at=(*fixing.at, off)), case=fixing.name)
        if finding.verdict is Verdict.FAIL:
            rocks = "it stands on it and rocks" if off < 0 else "it hangs in the air there, and its screw bends it"
            finding = replace(finding, advice=f"{rocks}; measure the heights again")
        found.append((abs(off), finding))
    yield from worst_or_all_that_fail(found)


def recess_findings(surface: Surface, fixings: Sequence[Fixing]) -> Iterator[Finding]:
    """Yield how deep the recess for the hardware is at each fixing: the worst, or each that is off."""
    found = []
    for fixing in fixings:
        if fixing.recess:
            under = underside_heights(
                surface, circle((fixing.hole + fixing.recess.diameter) / 2, fixing.at).points(least=AROUND)
            )
            depth = float(np.median(under)) - fixing.step if len(under) else 0.0
            what, wanted = f"depth of recess {fixing.name}", fixing.recess.depth
            finding = _beside("recess.depth", what, depth, wanted, OFF, at=(*fixing.at, depth))
            found.append((abs(depth - wanted), replace(finding, case=fixing.name)))
    yield from worst_or_all_that_fail(found)


def underside_heights(surface: Surface, points: Sequence[Point]) -> Array:
    """Return the z of the lowest face over each point that is met from below; points under none are left out."""
    down = surface.corners[surface.across[:, 2] < -1e-9]
    at = np.asarray(points, dtype=float)
    near = (down[:, :, :2].max(axis=1) >= at.min(axis=0)).all(axis=1)
    near &= (down[:, :, :2].min(axis=1) <= at.max(axis=0)).all(axis=1)
    a, b, c = (down[near, k] for k in range(3))
    whole = _turn(a, b, c)
    parts = [_turn(p, q, at[:, None]) / whole for p, q in ((b, c), (c, a), (a, b))]
    inside = np.minimum.reduce(parts) >= -1e-9
    height = np.sum([part * corner[:, 2] for part, corner in zip(parts, (a, b, c), strict=True)], axis=0)
    lowest: Array = np.where(inside, height, np.inf).min(axis=1, initial=np.inf)
    return np.asarray(lowest[np.isfinite(lowest)])


def _turn(a: Array, b: Array, at: Array) -> Array:
    """Return twice the area of the triangles a, b, at, seen from above."""
    along, away = b - a, at[..., :2] - a[..., :2]
    turned: Array = along[..., 0] * away[..., 1] - along[..., 1] * away[..., 0]
    return turned


def _unlike(flat: FlatPatch, level: float, seat: RingSeat) -> float:
    """Return how unlike the plan's seat a face is, in multiples of the tolerances."""
    lean = degrees(np.arccos(np.clip(np.dot(flat.normal, seat.frame.z), -1, 1)))
    away = seat.frame.into(flat.middle)[2] - level
    return float(lean / LEAN + abs(away) / OFF)


def _hand(job: RingJob, hole: float, side: str, read: Sequence[ReadHole]) -> Finding:
    clearance = (hole - thread_diameter(job.fix_to_panel.screw.thread)) / 2
    return hand_finding(read, job.panel.fixings.points, hole, clearance, side)


def exact_hole_findings(
    part: Part, step: bytes | None, frames: Sequence[Frame], wanted: Sequence[WantedHole]
) -> Iterator[Finding]:
    """Yield the holes as exact cylinders, from the STEP file or the part's own solid; nothing without either."""
    if step is None and part.solid is None:
        return
    from mounts.kernels.readback import merge_cylinders, read_cylinders, shape_cylinders

    found = read_cylinders(step) if step else merge_cylinders(shape_cylinders(part.solid))
    yield from hole_findings(read_in_step(found, frames), wanted, "STEP" if step else "solid")


def _beside(code: str, what: str, value: float, plan: float, most: float, *, at: Vector) -> Finding:
    """Return the finding on a value that was read back against its plan's."""
    advice = "it is off its plan; do not use this part"
    return within(code, value, plan, most, f"{what}, read back", at=at, source=SOURCE, advice=advice)
