"""Room in a place, found by planning mounts for stand-in speakers of growing size."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from mounts.load.models.speaker import Speaker

RIM = 20.0  # mm by which a flange is wider than its cutout
SCREWS = 10.0  # mm by which its screws' circle is
THICK = 4.0  # mm of flange
SHALLOW = 20.0  # mm: a speaker is this deep at least
NARROWER = 10.0  # mm, from one stand-in to the next where the wider one cannot be mounted
FINE = 0.2  # mm to which sizes are found


@dataclass(frozen=True, slots=True)
class AvailableRoom:
    """Largest speaker that goes in at one tilt.

    Attributes:
        tilt: degrees.
        height: of the seat above the face, mm; None where no mount can be drawn.
        why: why not; "" where it can.
        body: diameter of a straight body that passes the opening, mm; None on pins.
        depths: of the magnet or body diameters, the greatest depth from the seat and what limits it; None where even a
            shallow one does not go in.
        flange: greatest diameter under trim and grille, mm; None where nothing limits it.
        front: greatest height above the seat with the cone at full travel, mm; None where no grille was measured.
    """

    tilt: float
    height: float | None
    why: str = ""
    body: float | None = None
    depths: tuple[tuple[float, tuple[float, str] | None], ...] = ()
    flange: float | None = None
    front: float | None = None


def stand_in_speaker(cutout: float, *, dome: bool = False) -> Mapping[str, object]:
    """Return the profile data of a stand-in speaker for a cutout diameter, mm, as a YAML file would hold it."""
    shallow = {"depth": SHALLOW / 2 if dome else SHALLOW}
    if dome:
        return {"type": "dome", "cutout": cutout, "flange": {"diameter": cutout + 7, "thickness": 2.0}, **shallow}
    return {
        "cutout": cutout,
        "flange": {"diameter": cutout + RIM, "thickness": THICK},
        "holes": {"bolt_circle": {"diameter": cutout + SCREWS, "count": 4, "first": "1:30"}, "diameter": 4.8},
        **shallow,
    }


def narrow_stand_in(speaker: Speaker, cutout: float) -> Speaker:
    """Return a stand-in speaker for another cutout diameter, mm."""
    return Speaker.model_validate({"kind": "speaker", "name": speaker.name, **stand_in_speaker(cutout)})


def bisect_greatest(holds: Callable[[float], bool], low: float, high: float) -> float | None:
    """Return the greatest value for which a monotonic condition holds, rounded down to 0.1; None if it never does.

    Found by bisection to FINE.
    """
    if not holds(low):
        return None
    if holds(high):
        return high
    while high - low > FINE / 2:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return int(low * 10) / 10
