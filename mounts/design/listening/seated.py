"""Estimate of where the ears of someone seated are, from a seat's hip point and torso angle; no reading.

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

from mounts.geometry.frames import Vector
from mounts.load.models.surroundings import Seat

EYE_BEHIND, EYE_DOWN = 80.0, 17.4  # from the eyes to the ears
TRAGION = (688.0, 758.0, 832.0)  # height over the seat, erect: 5th, 50th, 95th of women and men in equal numbers
TRAGION_SD = 43.9  # of that mixture
STATURE = (1546.0, 1690.0, 1844.0)  # likewise, from the means and deviations of both
STATURE_SD = 91.9
BACK_PER_MM = 0.426  # the hip moves back for each mm of stature
BACK_SD = 48.0  # of hips about that line: of 59.7 in all, what stature does not explain
HIP_SD = 20.0  # of the hip point as a person finds it with a tape: common practice, no source
SIDE_SD = 20.0  # of a head to either side: common practice, no source


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
