"""The listeners as a panel sees them: each seat's ears in the panel frame, read by tape or estimated from the seat.

A panel says how it stands in the vehicle: `toe` turns its face rearward about the vertical, then `lean` leans its top
outboard about its own x. Towards the vehicle's rear is left on a left door and right on a right one.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import Literal

import numpy as np

from mounts.design.listening.seated import estimate_ears
from mounts.geometry.frames import Array, Vector
from mounts.load.models.panel import OTHER, Located, Side
from mounts.load.models.surroundings import Ears, Seats

Which = Literal["this_seat", "other_seat"]
WHICH: tuple[Which, ...] = ("this_seat", "other_seat")


@dataclass(frozen=True, slots=True)
class Listener:
    """The ears of one seat, told in the panel frame: its origin, from which the readings were taken, and its axes.

    Attributes:
        which: "this_seat" on the panel's own side, or "other_seat".
        seat: in words, such as "left seat".
        ear: middle of the head at ear height; of an average person where it is estimated.
        short, tall: the same of a short and of a tall person (5th and 95th of 100); `ear` where it was read.
        is_estimated: whether it was not read but follows from the seat.
        sd: one standard deviation of `ear` along each axis of the vehicle (rearward, inboard, up).
    """

    which: Which
    seat: str
    ear: Vector
    short: Vector
    tall: Vector
    is_estimated: bool
    sd: Vector

    def points(self) -> Array:
        """Return the ears of an average, a short and a tall person, (3, 3) float; all alike where they were read."""
        return np.array([self.ear, self.short, self.tall])


def find_listeners(panel: Located, tape: float) -> tuple[Listener, ...]:
    """Return every seat whose ears a panel knows, this seat first; readings by tape go before an estimate.

    Args:
        panel: in its side's own hand.
        tape: one standard deviation of the readings to the ears, mm.
    """
    found = (_listener(panel, which, tape) for which in WHICH)
    return tuple(one for one in found if one is not None)


def vehicle_axes(side: Side, lean: float, toe: float) -> Array:
    """Return panel's axes as columns told in (rearward, inboard, up), (3, 3) float; vehicle to panel is `v @ axes`."""
    forward = -1.0 if side == "left" else 1.0  # of the panel's x along the rearward axis, before any toe
    st, ct, sl, cl = sin(radians(toe)), cos(radians(toe)), sin(radians(lean)), cos(radians(lean))
    x = np.array([forward * ct, -forward * st, 0.0])
    normal, up = np.array([st, ct, 0.0]), np.array([0.0, 0.0, 1.0])
    return np.column_stack([x, cl * up - sl * normal, cl * normal + sl * up])


def into_panel(panel: Located, place: Vector) -> Vector:
    """Return a place told in (rearward, inboard, up) from the panel's origin, in the panel frame."""
    a, b, c = (float(value) for value in np.array(place) @ vehicle_axes(panel.side, panel.lean, panel.toe))
    return (a, b, c)


def off_axis(axis: Vector, start: Vector, ear: Vector) -> float:
    """Return the degrees between a speaker's axis, a unit vector, and the line from a point of it to an ear."""
    line = np.array(ear) - np.array(start)
    across = np.linalg.norm(np.cross(np.array(axis), line))
    return float(np.degrees(np.arctan2(across, np.array(axis) @ line)))


def seat_of(side: Side, which: Which, row: str = "") -> str:
    """Return a seat in words: "left seat", "right seat, second row"."""
    where = side if which == "this_seat" else OTHER[side]
    return ", ".join(filter(None, (f"{where} seat", row)))


def _listener(panel: Located, which: Which, tape: float) -> Listener | None:
    ears: Ears | None = panel.ears
    seats: Seats | None = panel.seats
    read = getattr(ears, which) if ears else None
    if ears is not None and read is not None:
        ear = into_panel(panel, read.vector)
        return Listener(which, seat_of(panel.side, which, ears.row), ear, ear, ear, False, (tape, tape, tape))
    seat = getattr(seats, which) if seats else None
    if seats is None or seat is None:
        return None
    told = estimate_ears(seat)
    ear, short, tall = (into_panel(panel, place) for place in (told.ear, told.short, told.tall))
    return Listener(which, seat_of(panel.side, which, seats.row), ear, short, tall, True, told.sd)
