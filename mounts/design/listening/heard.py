"""Speaker as heard by one listener: angle off its axis, distance, and the level that they cost."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import asin, atan2, degrees, dist, floor, log10

import numpy as np

from mounts.design.listening.arrivals import CABIN, speed_of_sound
from mounts.design.listening.ears import Listener, off_axis
from mounts.design.listening.piston import HANDED_ON, HOLDS, covered_up_to, frequency_of, level_off_axis, wave_size
from mounts.geometry.frames import Frame
from mounts.load.models.speaker import Speaker

AT_CABIN = speed_of_sound(CABIN)  # m/s


@dataclass(frozen=True, slots=True)
class ListenerLevel:
    """A listener before a seat.

    Attributes:
        path: path from the seat's centre to the ears, mm.
        angle: off the speaker's axis, degrees; of an average person where the ears are estimated.
        short, tall: the same for a short and a tall person.
        flat: the same for a speaker on the same spot that looks straight out of the face.
    """

    listener: Listener
    path: float
    angle: float
    short: float
    tall: float
    flat: float

    @property
    def widest(self) -> float:
        """The widest of the angles, for whoever sits there."""
        return max(self.angle, self.short, self.tall)


def evaluate_listener(seat: Frame, listeners: Iterable[Listener]) -> tuple[ListenerLevel, ...]:
    """Return every listener before a seat; the acoustic centre is taken at the seat's centre, on the axis."""
    return tuple(_evaluate(seat, one) for one in listeners)


def _evaluate(seat: Frame, one: Listener) -> ListenerLevel:
    start = seat.origin
    angle, short, tall = (off_axis(seat.z, start, ear) for ear in (one.ear, one.short, one.tall))
    return ListenerLevel(one, dist(start, one.ear), angle, short, tall, off_axis((0.0, 0.0, 1.0), start, one.ear))


def clock_of(seat: Frame, one: Listener) -> float:
    """Return the clock direction on the panel in which a listener's ears lie from a seat, degrees."""
    x, y = one.ear[0] - seat.origin[0], one.ear[1] - seat.origin[1]
    return degrees(atan2(x, y)) % 360.0


def listed_frequencies(speaker: Speaker, speed: float = AT_CABIN) -> tuple[float, float, float]:
    """Return the frequencies in Hz at which losses are listed: that of the aim, and one and two octaves below."""
    top = judged_frequencies(speaker, speed)
    return (top / 4, top / 2, top)


def level_loss(speaker: Speaker, angle: float, speed: float) -> tuple[float, ...]:
    """Return dB lost at an angle off the axis at each frequency that is told, 0 or more; nothing without a piston."""
    piston = speaker.piston_diameter
    if piston is None:
        return ()
    found = -level_off_axis(np.array(listed_frequencies(speaker, speed)), angle, piston, speed)
    return tuple(float(value) + 0.0 for value in found)


def judged_frequencies(speaker: Speaker, speed: float) -> float:
    """Return the frequency in Hz at which an aim is judged: the highest that is played, below the cone's break-up."""
    piston, top = speaker.piston_diameter, speaker.band[1]
    if piston is None:
        return top
    holds = frequency_of(HOLDS, piston, speed)
    coarse = 10.0 ** (floor(log10(holds)) - 1)  # nobody knows it closer than two figures
    return min(top, holds // coarse * coarse)


def widest_of(speaker: Speaker, speed: float) -> float | None:
    """Return the angle off the axis, degrees, at which HANDED_ON dB are lost at the judged frequency; 90 where none."""
    frequency, piston = judged_frequencies(speaker, speed), speaker.piston_diameter
    if piston is None:
        return None
    # at right angles to the axis x is ka: where that many dB are lost there at some ka, sin θ is its share of ours
    share = float(wave_size(covered_up_to(90.0, HANDED_ON, piston, speed), piston, speed))
    share /= float(wave_size(frequency, piston, speed))
    return degrees(asin(share)) if share < 1 else 90.0


def frequency_text(frequency_hz: float) -> str:
    """Return a frequency with its unit: 750 Hz, 1.5 kHz."""
    return f"{frequency_hz / 1000:.3g} kHz" if frequency_hz >= 1000 else f"{frequency_hz:.0f} Hz"
