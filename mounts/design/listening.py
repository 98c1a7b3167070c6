"""The listener: where the ears are, what level is lost off the speaker's axis, when its sound arrives.

Speaker as heard by one listener: angle off its axis, distance, and the level that they cost.

Arrival of each mount's sound at each seat, and the delay of each with which all arrive together.

The listeners as a panel sees them: each seat's ears in the panel frame, read by tape or estimated from the seat.

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

Level off the axis of a rigid round piston in an endless flat baffle: the usual estimate of a speaker's directivity.

Off its axis by θ the pressure falls to 2 J1(x) / x of that on it, x = k a sin θ, with k = 2π f / c and a half the
effective diameter (Kinsler and Frey, Fundamentals of Acoustics; Beranek, Acoustics). A real cone bends at high
frequencies, and a door is no endless baffle: the model holds between about ka = 1 and ka = HOLDS, and is an estimate.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import asin, atan2, ceil, cos, degrees, dist, floor, hypot, log10, pi, radians, sin, sqrt
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from mounts.geometry.frames import Array, Frame, Vector
from mounts.load.models.panel import OTHER, Located, Side
from mounts.load.models.speaker import Speaker
from mounts.load.models.surroundings import Ears, Seat, Seats

CABIN = 20.0  # °C where nothing else is said
RATES_HZ = (48_000, 96_000)
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
HOLDS = 3.0  # ka up to which cones move more or less as one piece: common practice, no source
WIDENS = 1.0  # ka below which a speaker radiates so widely that its aim does not matter
SILENT = -60.0  # dB: a null is drawn no deeper; in a cabin reflections fill it long before
HANDED_ON = 6.0  # dB lost that bound a speaker's coverage: half the pressure; common practice, no source


@dataclass(frozen=True, slots=True)
class Path:
    """The straight way from a mount's seat, where its speaker's axis begins, to the ears of one seat, mm."""

    mount: str
    seat: str
    length: float


@dataclass(frozen=True, slots=True)
class Arrival:
    """Tuner's settings for one mount at one seat.

    Attributes:
        path: path from mount to ears.
        time_ms: travel time of its sound, ms.
        ahead: difference between the longest path to that seat and its own, mm.
        delay_ms: delay with which it arrives together with the furthest, ms.
        samples: the same delay at each of RATES_HZ, to the nearest sample.
        louder_db: level there above that of the furthest, from the distance alone, dB.
    """

    path: Path
    time_ms: float
    ahead: float
    delay_ms: float
    samples: tuple[int, ...]
    louder_db: float


def speed_of_sound(temperature: float) -> float:
    """Return the speed of sound in air in m/s at a temperature in °C: 331.3 √(1 + T / 273.15)."""
    return 331.3 * sqrt(1 + temperature / 273.15)


AT_CABIN = speed_of_sound(CABIN)  # m/s


def paths(mount: str, start: Vector, heard_by: Iterable[Listener]) -> tuple[Path, ...]:
    """Return the way from one mount to every seat that its panel knows.

    Args:
        mount: its name in the table, such as "front door left".
        start: its seat's centre in the panel frame.
        heard_by: the listeners in the same frame.
    """
    return tuple(Path(mount, one.seat, dist(start, one.ear)) for one in heard_by)


def arrivals(ways: Sequence[Path], temperature: float = CABIN) -> tuple[Arrival, ...]:
    """Return the tuner's whole table, of any number of mounts and seats, in the order of the paths.

    A seat is a name: mounts on both sides of a vehicle tell the same seat as "left seat" and so meet in one row. Each
    seat is calculated by itself, since delays can only be right for one place at a time.
    """
    speed = speed_of_sound(temperature)
    furthest = {seat: max(way.length for way in ways if way.seat == seat) for seat in {way.seat for way in ways}}
    return tuple(_arrival(way, furthest[way.seat], speed) for way in ways)


def _arrival(way: Path, furthest: float, speed: float) -> Arrival:
    ahead = furthest - way.length
    delay_s = ahead / 1000 / speed
    return Arrival(
        path=way,
        time_ms=way.length / speed,
        ahead=ahead,
        delay_ms=1000 * delay_s,
        samples=tuple(round(delay_s * rate) for rate in RATES_HZ),
        louder_db=20 * log10(furthest / way.length),
    )


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
    """The ears of one seat in the panel frame: its origin, from which the readings were taken, and its axes.

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
    """Return panel's axes as columns in (rearward, inboard, up), (3, 3) float; vehicle to panel is `v @ axes`."""
    forward = -1.0 if side == "left" else 1.0  # of the panel's x along the rearward axis, before any toe
    st, ct, sl, cl = sin(radians(toe)), cos(radians(toe)), sin(radians(lean)), cos(radians(lean))
    x = np.array([forward * ct, -forward * st, 0.0])
    normal, up = np.array([st, ct, 0.0]), np.array([0.0, 0.0, 1.0])
    return np.column_stack([x, cl * up - sl * normal, cl * normal + sl * up])


def into_panel(panel: Located, place: Vector) -> Vector:
    """Return a place given in (rearward, inboard, up) from the panel's origin, in the panel frame."""
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


def bessel_j1(x: ArrayLike) -> Array:
    """Return the Bessel function of the first kind and first order, good to 1e-14 for |x| ≤ 1000.

    The mean of cos(τ − x sin τ) over a full turn, which equally spaced points give but for J of an order as high as
    their number (Abramowitz and Stegun 9.1.21).
    """
    values = np.asarray(x, dtype=float)
    most = float(np.abs(values).max(initial=0.0))
    count = ceil(most + 15 * most ** (1 / 3)) + 40
    turns = 2 * pi * np.arange(count) / count
    mean: Array = np.cos(turns - values[..., None] * np.sin(turns)).mean(axis=-1)
    return mean


def wave_size(frequency_hz: ArrayLike, piston: float, speed: float) -> Array:
    """Return ka: the piston's circumference over the wavelength.

    Args:
        frequency_hz: any shape.
        piston: effective diameter, mm.
        speed: of sound, m/s.
    """
    size: Array = pi * np.asarray(frequency_hz, dtype=float) * piston / 1000 / speed
    return size


def frequency_of(ka: float, piston: float, speed: float) -> float:
    """Return the frequency in Hz at which a piston of an effective diameter in mm has a ka; `speed` in m/s."""
    return ka * speed * 1000 / (pi * piston)


def held_between(piston: float, speed: float) -> tuple[float, float]:
    """Return the range in Hz in which the model holds for a piston: from where aim matters to the cone's break-up."""
    return frequency_of(WIDENS, piston, speed), frequency_of(HOLDS, piston, speed)


def level_off_axis(frequency_hz: ArrayLike, off_axis: ArrayLike, piston: float, speed: float) -> Array:
    """Return the dB of the level in a direction over that on the axis; 0 or less, no lower than SILENT.

    Args:
        frequency_hz: shape that broadcasts with `off_axis`.
        off_axis: degrees from the axis, 0 to 180; behind the baffle's plane the model knows no more than at its edge.
        piston: effective diameter, mm.
        speed: of sound, m/s.
    """
    angle = np.radians(np.minimum(np.asarray(off_axis, dtype=float), 90.0))
    x = wave_size(frequency_hz, piston, speed) * np.sin(angle)
    safe = np.where(x < 1e-6, 1.0, x)
    shape = np.where(x < 1e-6, 1.0, np.abs(2 * bessel_j1(safe) / safe))
    level: Array = 20 * np.log10(np.maximum(shape, 10 ** (SILENT / 20)))
    return level


def directivity_index(ka: ArrayLike) -> Array:
    """Return the directivity index, dB: the level on the axis over that of the same power sent out evenly all round.

    10 log10((ka)² / (1 − J1(2ka) / ka)), with the series' first terms below ka = 0.01.
    """
    size = np.asarray(ka, dtype=float)
    safe = np.maximum(size, 0.01)
    resistance = np.where(size < 0.01, size**2 / 2, 1 - bessel_j1(2 * safe) / safe)
    index: Array = 10 * np.log10(np.where(size > 0, size**2, 1.0) / np.where(size > 0, resistance, 0.5))
    return index


def covered_up_to(off_axis: float, lost: float, piston: float, speed: float) -> float:
    """Return the frequency in Hz up to which at most `lost` dB are lost `off_axis` degrees from the axis."""
    low, high = 0.0, 3.8  # x: the first null is at 3.8317
    for _ in range(60):
        middle = (low + high) / 2
        enough = -20 * log10(max(float(abs(2 * bessel_j1(middle) / middle)), 1e-9)) <= lost
        low, high = (middle, high) if enough else (low, middle)
    across = sin(radians(min(off_axis, 90.0)))
    return frequency_of(low / across, piston, speed) if across > 1e-9 else float("inf")


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
    """Return dB lost at an angle off the axis at each frequency shown, 0 or more; nothing without a piston."""
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
