"""The listeners as a panel sees them: each seat's ears in the panel frame, read by tape or estimated from the seat.

A panel says how it stands in the vehicle: `toe` turns its face rearward about the vertical, then `lean` leans its top
outboard about its own x. Towards the vehicle's rear is left on a left door and right on a right one.

Estimate of where the ears of someone seated are, from a seat's hip point and torso angle; no reading.

Up: the eyes are 452.1 cos θ + 225.3 above the hip point at a torso angle θ, 635 at 25° (UN Regulation 46; the
dependence on θ from the expert paper GRSG-95-07). Rearward: 640 sin δ, δ = 0.719 θ − 9.6° (SAE J941 for a fixed seat,
from memory). The ears are 17.4 below the eyes (ANSUR II, tragion against eye height, 6068 people) and some 80 behind
them (usual figure, from memory).
Spread: ear height of seated women and men in equal numbers (ANSUR II, tragion height sitting), 5th and 95th of 100; a
tall person's ears lie further up along the same line from the hip. On a seat that slides, hips move back by 4.26 for
each cm of stature (seat positions of 38 drivers), as far as the seat goes.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, radians, sin
from typing import Literal

import numpy as np

from mounts.geometry.frames import Array, Vector
from mounts.load.models.panel import OTHER, Located, Side
from mounts.load.models.surroundings import Ears, Seat, Seats

EYE_BEHIND, EYE_DOWN = 80.0, 17.4  # from the eyes to the ears
TRAGION = (688.0, 758.0, 832.0)  # height over the seat, erect: 5th, 50th, 95th of women and men in equal numbers
TRAGION_SD = 43.9  # of that mixture
STATURE = (1546.0, 1690.0, 1844.0)  # likewise, from the means and deviations of both
STATURE_SD = 91.9
BACK_PER_MM = 0.426  # the hip moves back for each mm of stature
BACK_SD = 48.0  # of hips about that line: of 59.7 in all, what stature does not explain
HIP_SD = 20.0  # of the hip point as a person finds it with a tape: common practice, no source
SIDE_SD = 20.0  # of a head to either side: common practice, no source
Which = Literal["this_seat", "other_seat"]
WHICH: tuple[Which, ...] = ("this_seat", "other_seat")


@dataclass(frozen=True, slots=True)
class EarEstimate:
    """Ears of one seat in (rearward, inboard, up) from the panel's origin.

    Attributes:
        ear, short, tall: of an average, a short and a tall person.
        sd: one standard deviation over the population and the tape, along each of the three.
    """

    ear: Vector
    short: Vector
    tall: Vector
    sd: Vector


def ear_over_hip(torso: float) -> tuple[float, float]:
    """Return how far an average person's ears are behind and above the hip point at a torso angle in degrees."""
    eye_up = 452.1 * cos(radians(torso)) + 225.3
    eye_back = 640.0 * sin(radians(0.719 * torso - 9.6))
    return eye_back + EYE_BEHIND, eye_up - EYE_DOWN


def estimate_ears(seat: Seat) -> EarEstimate:
    """Return where the ears of a short, an average and a tall person are on a seat."""
    back, inward, hip_up = seat.vector
    rear, up = ear_over_hip(seat.torso)
    lean = radians(0.719 * seat.torso - 9.6)  # the line along which a longer back puts the head
    slide = seat.slide / 2

    def of(more: float, taller: float) -> Vector:
        moved = min(slide, max(-slide, BACK_PER_MM * taller))
        return (back + rear + more * sin(lean) + moved, inward, hip_up + up + more * cos(lean))

    short, average, tall = (of(TRAGION[k] - TRAGION[1], STATURE[k] - STATURE[1]) for k in range(3))
    moving = min(slide, hypot(BACK_PER_MM * STATURE_SD, BACK_SD))
    sd = (hypot(HIP_SD, moving, TRAGION_SD * sin(lean)), SIDE_SD, hypot(HIP_SD, TRAGION_SD * cos(lean)))
    return EarEstimate(average, short, tall, sd)


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
