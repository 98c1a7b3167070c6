"""Arrival of each mount's sound at each seat, and the delay of each with which all arrive together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import dist, log10, sqrt

from mounts.design.listening.ears import Listener
from mounts.geometry.frames import Vector

CABIN = 20.0  # °C where nothing else is said
RATES_HZ = (48_000, 96_000)


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
    seat is reckoned by itself, since delays can only be right for one place at a time.
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
