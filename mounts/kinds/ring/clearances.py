"""Clearances of the speaker on its seat to what is round it, in closed form or on exact points of its surface."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from math import inf

import numpy as np

from mounts.design.body import (
    BodyBlock,
    Least,
    Ring,
    body_rings,
    body_sheet,
    from_body,
)
from mounts.design.clearances import gaps_of
from mounts.findings.gap import Gap
from mounts.findings.report import PRACTICE
from mounts.geometry.distance import depths
from mounts.geometry.frames import PANEL, Array, Vector
from mounts.geometry.outline import Outline, offset_outline
from mounts.geometry.planes import Plane, disc_gap, disc_gap_below
from mounts.geometry.ties import first_least_rows
from mounts.identity import BEAD, BODY, MOUNT, TERMINALS, Ident, Role
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Recess, RingSeat
from mounts.kinds.ring.seat_clearances import speaker_rooms, terminal_blocks
from mounts.kinds.ring.trim import collar_bodies, cover_rooms, grille_rooms, ring_bodies
from mounts.kinds.ring.values import RingPlan
from mounts.load.models.panel import Bead, Panel
from mounts.shape.primitives import Section
from mounts.shape.sheet import Half, Sheet, least_gap, least_on, over, under

FACE = Plane(0.0)
CROSSED = 5e-3  # mm: as good as the distance of two surfaces that cross is known
AHEAD = 100.0  # mm
STANDS_OFF = 0.2  # mm that the mount keeps from the hardware's flange, so that it lies on the face and not on that


def speaker_gaps(job: RingJob, seat: RingSeat) -> Iterator[Gap]:
    """Yield the gaps that depend on the place of the seat and on nothing else of the ring."""
    yield from gaps_of(speaker_rooms(job, seat), seat.frame)


def ring_gaps(job: RingJob, plan: RingPlan) -> Iterator[Gap]:
    """Yield the gaps of the speaker inside the ring, and of the ring to the trim and to what stands on the face."""
    yield from bore_gaps(job, plan.seat, plan.tower.inside)
    yield from _terminals_in_ring(job, plan)
    yield from gaps_of(cover_rooms(job, ring_bodies(job, plan)), PANEL)
    yield from gaps_of(grille_rooms(job, collar_bodies(plan)), PANEL)
    yield from _bead(job, plan)
    for fixing in plan.fixings:
        if fixing.recess:
            across, height = plan_flange(job, fixing.recess)
            gap = min((fixing.recess.diameter - across) / 2, fixing.recess.depth - height)
            names, at = (
                (MOUNT, fixing.flange),
                (*fixing.at, fixing.step + height),
            )
            yield Gap("clear.hardware", names, gap, STANDS_OFF, STANDS_OFF, PRACTICE, at, "fix_to_panel")


def speaker_reach(job: RingJob, seat: RingSeat) -> tuple[float, float]:
    """Return the speaker's reach behind the face and, with the cone at full travel, before it, mm."""
    rings, speaker, axis = body_rings(job.speaker, seat.lift), job.speaker, seat.frame.z
    deep = max(-disc_gap(FACE, _axis_point(seat, level), axis, across)[0] for level, across in rings)
    tops = [(seat.lift + speaker.flange.thickness, speaker.flange.across)]
    if speaker.front is not None and speaker.piston_diameter is not None:
        tops.append((seat.lift + speaker.front.height + speaker.front.travel, speaker.piston_diameter))
    high = max(-disc_gap_below(FACE, _axis_point(seat, level), axis, across)[0] for level, across in tops)
    return deep, high


def plan_flange(job: RingJob, recess: Recess) -> tuple[float, float]:
    """Return diameter and height of the hardware's flange that a recess was planned round, mm."""
    room = max(job.limits.recess_across, 6 * job.uncertainty("holes"))
    return recess.diameter - room, recess.depth - job.limits.recess_deep


def bore_gaps(job: RingJob, seat: RingSeat, inside: tuple[Section, ...]) -> Iterator[Gap]:
    """Yield the gaps of the body in the bore: near the seat, where it needs little room, and deeper."""
    limits, rings = job.limits, body_rings(job.speaker, seat.lift)
    lower = seat.lift - limits.near_seat
    for word, half, wanted in (
        ("near the seat", over(lower - 2e-9, seat.frame), limits.body_near_seat),
        ("deeper", under(lower + 2e-9, seat.frame), limits.body),
    ):
        gap = gap_in_bore(seat, rings, inside, (half,))
        if gap < inf:
            at = _axis_point(seat, lower)
            yield Gap(
                "clear.body-bore", (BODY, Ident(Role.BORE, word, f"bore, {word}")), gap, wanted, wanted, PRACTICE, at
            )


def gap_in_bore(seat: RingSeat, rings: tuple[Ring, ...], inside: tuple[Section, ...], keep: tuple[Half, ...]) -> float:
    """Return the least distance of a body to the bore, mm; where they cross, negative, how deep the bore lies in it."""
    bore = Sheet(inside)
    gap, (level, across) = least_gap(bore, body_sheet(seat.frame, rings), keep), rings[0]
    whole = ((level + AHEAD, across), *rings)  # so that its front is not what is nearest
    rims = [one.frame.out(np.insert(one.outline.points(0.1, least=40), 2, 0.0, axis=1)) for one in inside]
    if gap > CROSSED and from_body(whole, seat.frame.into(np.concatenate(rims))).min() > 0:
        return gap
    return min(gap, least_on(bore, lambda points: from_body(whole, seat.frame.into(points)), keep))


def _terminals_in_ring(job: RingJob, plan: RingPlan) -> Iterator[Gap]:
    """Yield the gaps of the terminals to the bore that is left, and to the room cut for them."""
    limit, seat = job.limits.terminals, plan.seat
    for block in terminal_blocks(job, seat):
        found = [least_on(Sheet(plan.tower.inside), partial(_outside_reliefs, plan, block))]
        corners = seat.frame.into(block.frame.out([(*point, 0.0) for point in block.outline.points(1.0)]))
        for relief in plan.terminals:
            if depths(relief.outline, corners[:, :2]).min() > 0:  # the room of this one
                found.append(limit)
                if depths(seat.bore, corners[:, :2]).min() < 0:
                    found.append(relief.top - float(corners[0, 2]))
        at = block.frame.origin
        yield Gap("clear.terminals", (TERMINALS, MOUNT), min(found), limit, limit, PRACTICE, at, bound=True)


def _outside_reliefs(plan: RingPlan, block: BodyBlock, points: Array) -> Array:
    """Return distances of points (n, 3) of the bore from a terminal; inf where the bore is cut away."""
    local, apart = plan.seat.frame.into(points), block.to(points)
    for relief in plan.terminals:
        apart = np.where((local[:, 2] < relief.top) & (depths(relief.outline, local[:, :2]) > 0), inf, apart)
    return apart


def _bead(job: RingJob, plan: RingPlan) -> Iterator[Gap]:
    """Yield the gap of the raised ring round the opening in its room on the base's back."""
    bead, room = job.panel.face.bead, plan.base.bead
    if bead is None or room is None:
        return
    inside, outside = (np.array(rim.points(1e-3)) for rim in bead_rims(job.panel, bead))
    found = [(room.depth - bead.height, (*outside[0], bead.height))]
    found.append(_nearest_rim(depths(room.outside, outside), outside))
    if room.inside is not None:
        found.append(_nearest_rim(-depths(room.inside, inside), inside))
    gap, at = min(found)
    yield Gap("clear.bead", (MOUNT, BEAD), gap, STANDS_OFF, STANDS_OFF, PRACTICE, at, "face.bead")


def bead_rims(panel: Panel, bead: Bead) -> tuple[Outline, Outline]:
    """Return the inner and outer outline of the raised ring round the opening."""
    opening, across = panel.opening.outline(), panel.opening.across
    return offset_outline(opening, (bead.inside - across) / 2), offset_outline(opening, (bead.outside - across) / 2)


def _nearest_rim(apart: Array, rim: Array) -> Least:
    at = int(first_least_rows(apart))
    return float(apart[at]), (float(rim[at, 0]), float(rim[at, 1]), 0.0)


def _axis_point(seat: RingSeat, level: float) -> Vector:
    return _vector(seat.frame.out((0.0, 0.0, level)))


def _vector(point: Array) -> Vector:
    x, y, z = (float(value) for value in point)
    return (x, y, z)
