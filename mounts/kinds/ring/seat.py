"""Seat of the ring: what belongs to the speaker, laid out in the seat's own plane before its height is known."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np

from mounts.errors import InputError
from mounts.geometry.distance import depths
from mounts.geometry.frames import Array, Frame, Frames, tilt_frame
from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline, Point, circle, offset_outline
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import Nut, RingSeat, SpeakerScrew
from mounts.load.models.fastener import Pocket
from mounts.load.models.job import AimAngles

EDGE = 0.6  # mm, broken edges: three layers, what a deburring tool would take
STOP = 4.0  # mm, diameter of a hard stop: a printed pin needs 3 (reference: print guides)
BELOW_POCKET = 1.0  # mm, the bore stays straight this far below the pockets before it opens
SMALL = 1e-3  # mm, step of a finite difference
ROUND_UP = 8.0  # mm: a seat up to this much wider than its round flange stays round, else it grows ears


@dataclass(frozen=True, slots=True)
class SeatLayout:
    """Plan of the seat's plane for one turn of the speaker, whatever its height and tilt."""

    turn: float
    flange: Outline
    cutout: Outline
    bore: Outline
    screws: tuple[tuple[str, Point], ...]
    pocket: Pocket | None
    lift: float


def lay_out_seat(job: RingJob, turn: float) -> SeatLayout:
    """Lay out flange, cutout, bore and screws of the job's speaker, turned clockwise by `turn` degrees."""
    speaker, limits = job.speaker, job.limits
    holes = speaker.holes.points if speaker.holes else {}
    if holes and job.fix_speaker is None:
        need = f'is missing; {speaker.name} has {len(holes)} screw holes: give "insert-m4-short" or the like'
        raise InputError(job.problem("fix_speaker", need))
    cutout = speaker.cutout.outline().turned(-turn)
    gasket = job.gaskets.speaker
    return SeatLayout(
        turn=turn,
        flange=_flange(job, tuple(holes.values())).turned(-turn),
        cutout=cutout,
        bore=offset_outline(cutout, limits.bore / 2),
        screws=tuple((name, _turned(at, -turn)) for name, at in holes.items()),
        pocket=job.fix_speaker.hardware.pocket(limits, _growth(job)) if holes and job.fix_speaker else None,
        lift=gasket.thickness * (1 - limits.squeeze_pct / 100) if gasket else 0.0,
    )


def seat_at(job: RingJob, layout: SeatLayout, aim: AimAngles, height: float) -> RingSeat:
    """Return the seat in its place, with everything that depends on height and tilt."""
    limits = job.limits
    frame = tilt_frame((*job.seat_offset, height), aim.tilt, aim.toward)
    let_in = offset_outline(layout.flange, limits.body_near_seat) if job.flush or job.collar else None
    outline = _outline(layout, limits.wall, limits.wall_least, let_in)
    screws = tuple(_screw(layout, name, at, frame) for name, at in layout.screws)
    deepest = max((s.depth for s in screws if not s.nut), default=0.0)
    return RingSeat(
        frame=frame,
        tilt=aim.tilt,
        toward=aim.toward,
        turn=layout.turn,
        outline=outline,
        edge=min(EDGE, *(arc.diameter / 2 for arc in outline.arcs)),
        flange=layout.flange,
        cutout=layout.cutout,
        bore=layout.bore,
        straight=deepest + BELOW_POCKET,
        band=deepest + limits.floor,
        lift=layout.lift,
        stops=_stops(layout) if layout.lift and not let_in else (),
        stop=STOP,
        screws=screws,
        let_in=let_in,
        rim=layout.lift + job.speaker.flange.thickness if let_in else 0.0,
        gasket=_gasket_bed(job, layout, let_in) if let_in and layout.lift else None,
    )


def seat_land(seat: RingSeat) -> float:
    """Return the least unbroken gasket land from bore to a screw's pocket or a stop, mm; inf without screws."""
    pockets = [-seat_depth(seat.bore, s.at) - s.hole / 2 for s in seat.screws]
    stops = [-seat_depth(seat.bore, at) - seat.stop / 2 for at in seat.stops]
    return min([*pockets, *stops], default=float("inf"))


def seat_depth(outline: Outline, at: Point) -> float:
    """Return how far inside an outline a point of the seat lies, mm."""
    return float(depths(outline, [at])[0])


def _gasket_bed(job: RingJob, layout: SeatLayout, let_in: Outline) -> Outline:
    """Return the bed of the gasket in a let-in seat; the ledge outside it is the flange's hard stop."""
    gasket = job.gaskets.speaker
    assert gasket is not None
    ledge = min(let_in.depth(point) for point in layout.bore.points(0.05, least=8))
    return offset_outline(layout.bore, min(gasket.width, ledge - 2.0))


def _growth(job: RingJob) -> float:
    if job.make != "print":
        return 0.0
    insert = job.fix_speaker is not None and job.fix_speaker.hardware.hot
    return job.printer.pocket_growth(job.material.name) if insert else job.printer.growth(job.material.name)


def _flange(job: RingJob, holes: tuple[Point, ...]) -> Outline:
    """Return the flange's outline in the speaker's own frame; ears are part of its hull."""
    flange = job.speaker.flange
    frame = flange.outline()
    return hull([frame, *(circle(flange.ears, at) for at in holes)]) if flange.ears else frame


def _outline(layout: SeatLayout, wall: float, least: float, let_in: Outline | None) -> Outline:
    """Return the seat's outside: round where the flange is, else a hull, wide enough for bore, bosses and rim."""
    boss = layout.pocket.hole + 2 * layout.pocket.wall if layout.pocket else 0.0
    bosses = [circle(boss, at) for _, at in layout.screws]
    members = [layout.flange, offset_outline(layout.bore, wall), *([offset_outline(let_in, least)] if let_in else [])]
    if all(member.is_circle for member in members):
        reach = max((2 * hypot(*at) + boss for _, at in layout.screws), default=0.0)
        widest = max(member.arcs[0].diameter for member in members)
        if reach <= widest + ROUND_UP:
            return circle(max(widest, reach))
    return hull([*members, *bosses])


def _screw(layout: SeatLayout, name: str, at: Point, frame: Frame) -> SpeakerScrew:
    need = layout.pocket
    assert need is not None
    if need.nut is None:
        return SpeakerScrew(name, at, need.hole, need.depth, need.wall)
    room, height = need.nut
    bears = float(over_face(at, room, Frames.of(frame))[0]) + height
    return SpeakerScrew(name, at, need.hole, -bears, need.wall, Nut(room, bears))


def over_face(at: Point, across: float, frames: Frames) -> Array:
    """Return the level of a seat's frame at which a nut's lower end lies just above the face, mm, (n,).

    So the base still lies flat.

    Args:
        at: its place on the seat.
        across: its diameter.
        frames: of n seats.

    Returns:
        (n,) float, along the seat's z; the nut's lowest point is 0.3 over the face.
    """
    z = frames.z
    clear = 0.3 + across / 2 * np.hypot(z[:, 0], z[:, 1]) - frames.origins[:, 2] + z[:, :2] @ np.array(at)
    level: Array = clear / z[:, 2]
    return level


def _stops(layout: SeatLayout) -> tuple[Point, ...]:
    """Return the places of two hard stops a screw, beside it along the bore's edge, so that no flange is bent."""
    found: list[Point] = []
    for _, (u, v) in layout.screws:
        assert layout.pocket is not None
        aside = layout.pocket.hole / 2 + 0.8 + STOP / 2
        around = np.array([(u + SMALL, v), (u - SMALL, v), (u, v + SMALL), (u, v - SMALL)])
        right, left, above, below = depths(layout.bore, around)
        steep = hypot(right - left, above - below)
        along = ((below - above) / steep, (right - left) / steep)  # at right angles to the way away from the bore
        found += [(u + way * aside * float(along[0]), v + way * aside * float(along[1])) for way in (-1, 1)]
    return tuple(found)


def _turned(at: Point, angle: float) -> Point:
    return circle(1.0, at).turned(angle).arcs[0].centre
