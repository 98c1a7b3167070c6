"""Walls that a leaning seat can make thin, in closed form: tool paths are upright, and what they pass is convex."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from mounts.design.clearances import SpeakerRoom
from mounts.design.fasteners import Fastening
from mounts.geometry.distance import support_values
from mounts.geometry.frames import Frames
from mounts.geometry.outline import Outline, Point, circle
from mounts.geometry.planes import Plane, disc_gaps
from mounts.geometry.rims import Picks, RimMinima
from mounts.identity import BORE, FLANGE_ROOM, TRIM, Ident, Role, called
from mounts.kinds.ring.collar import rim_plane, seat_diameter
from mounts.kinds.ring.job import RingJob
from mounts.kinds.ring.pieces import RingSeat

AROUND = np.radians(np.arange(0, 360, 2))
WAYS = np.stack([np.cos(AROUND), np.sin(AROUND)], axis=-1)  # in which a convex shape's reach is computed


@dataclass(frozen=True, slots=True, eq=False)
class BesidePath:
    """Least distance from a tool path to what an outline sweeps between two levels of a seat.

    Attributes:
        outline: in the seat's plane.
        levels: along its axis.
        at: the path's place on the face.
        path: its diameter.
    """

    outline: Outline
    levels: tuple[float, float]
    at: Point
    path: float

    def __call__(self, frames: Frames, picks: Picks | None = None, /) -> RimMinima:
        """Return the distances as a `Measure`, good to 0.02 mm and never too great."""
        across = frames.axes[:, :2].transpose(0, 2, 1) @ WAYS.T  # (n, 3, ways): the seat's axes along each
        length = np.hypot(across[:, 0], across[:, 1])
        turned = np.degrees(np.arctan2(across[:, 1], across[:, 0]))
        swept = np.maximum(self.levels[0] * across[:, 2], self.levels[1] * across[:, 2])
        away = (np.array(self.at) - frames.origins[:, :2]) @ WAYS.T
        beyond = away - length * support_values(self.outline, turned) - swept
        spots = np.broadcast_to(np.array([*self.at, 0.0]), (len(away), 1, 3))
        return RimMinima.exact(beyond.max(axis=1, keepdims=True) - self.path / 2, spots)


def wall_rooms(job: RingJob, seat: RingSeat, screw: Fastening) -> Iterator[SpeakerRoom]:
    """Yield tool paths to the straight bore, the flange's room and the screws; the collar's rim over the flange."""
    least = job.limits.wall_least
    for name, at in job.panel.fixings.points.items():
        path = Ident(Role.PATH, name)
        bore = BesidePath(seat.bore, (-seat.straight, 0.0), at, screw.path)
        yield SpeakerRoom("wall.path-bore", ((path, BORE),), least, least, bore)
        if seat.let_in is not None:
            room = BesidePath(seat.let_in, (seat.lift, seat.rim), at, screw.path)
            yield SpeakerRoom("wall.path-collar", ((path, FLANGE_ROOM),), least, least, room)
        for one in seat.screws:
            pocket = BesidePath(circle(one.hole, one.at), (-max(one.depth, 0.0), 0.0), at, screw.path)
            yield SpeakerRoom("wall.screw-path", ((Ident(Role.SCREW, one.name), path),), one.wall, one.wall, pocket)
    plane = rim_plane(job) if job.collar else None
    if plane is not None:
        measure = partial(_under_rim, plane, seat.rim, seat_diameter(seat))
        yield SpeakerRoom(
            "collar", ((called(Role.PIECE, "collar"), TRIM),), seat.edge, seat.edge, measure, "in_front.trim"
        )


def _under_rim(plane: Plane, level: float, across: float, frames: Frames, picks: Picks | None = None) -> RimMinima:
    """Return the distance of the seat's rim below the plane of the collar's rim."""
    tops = frames.out(np.array([[0.0, 0.0, level]]))
    return RimMinima.exact(*disc_gaps(plane, tops, frames.z[:, None], np.array([across]), -1.0))
