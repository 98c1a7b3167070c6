"""Heat staking: the plastic that stands out of the seat is what the head is made of.

Volume in is volume out: a pin's section times what protrudes equals the head's volume. Heads are a dome (spherical
cap), flat (disc) or hollow (ring round a hollow pin's hole). D is the pin's diameter.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asinh, floor, pi, sinh
from typing import Literal

from mounts.load.models.pins import Pin

Form = Literal["dome", "flat", "hollow"]
DOME = 0.345  # of its base: height of a standard dome, 0.69 D on 2 D, which 1.6 D of a round pin fills (staking sheets)
FLAT = 0.2  # of its diameter: height of a flat head, 0.4 D on 2 D, which 1.6 D of a round pin fills
RATIOS = tuple(2.0 - 0.05 * k for k in range(11))  # head diameters that are tried, in D, the widest first
SOURCE = "staking guides: the pin that protrudes fills the head, 1.5 to 2 D across"


@dataclass(frozen=True, slots=True)
class Head:
    """A head formed of a pin.

    Attributes:
        form: dome, flat or hollow.
        diameter: its greatest.
        height: above the seat.
    """

    form: Form
    diameter: float
    height: float


def cap_volume(base: float, height: float) -> float:
    """Return the volume of a spherical cap on a base of a diameter, mm³: π h (3 r² + h²) / 6."""
    return pi * height * (3 * (base / 2) ** 2 + height**2) / 6


def cap_height(base: float, volume: float) -> float:
    """Return the height of a spherical cap by volume and base diameter: the real root of h³ + 3 r² h = 6 V / π."""
    r = base / 2
    return 2 * r * sinh(asinh(3 * volume / (pi * r**3)) / 3)


def ring_volume(outside: float, height: float, inside: float = 0.0) -> float:
    """Return the volume of a disc, or of a ring with a hole, mm³."""
    return pi / 4 * (outside**2 - inside**2) * height


def head_volume(head: Head, pin: Pin) -> float:
    """Return the volume of a head on a pin, mm³; a hollow head keeps the pin's hole."""
    if head.form == "dome":
        return cap_volume(head.diameter, head.height)
    return ring_volume(head.diameter, head.height, (pin.hole or 0.0) if head.form == "hollow" else 0.0)


def standard_head(pin: Pin, form: Form, ratio: float) -> Head:
    """Return the head that guides call standard, `ratio` D across."""
    across = ratio * pin.diameter
    return Head(form, across, across * (DOME if form == "dome" else FLAT))


def formed_head(pin: Pin, form: Form, ratio: float, protrusion: float) -> Head:
    """Return the head that a protruding length of the pin gives under a tip `ratio` D across."""
    across, volume = ratio * pin.diameter, pin.section * protrusion
    if form == "dome":
        return Head(form, across, cap_height(across, volume))
    return Head(form, across, volume / ring_volume(across, 1.0, (pin.hole or 0.0) if form == "hollow" else 0.0))


def needed_protrusion(pin: Pin, form: Form, ratio: float) -> float:
    """Return how far the pin must stand out of its seat to fill the standard head."""
    return head_volume(standard_head(pin, form, ratio), pin) / pin.section


def seat_under(pin: Pin, protrusion: float, layer: float) -> float:
    """Return the greatest thickness under the head, in whole layers, that lets so much of the pin protrude."""
    return floor((pin.height - protrusion) / layer + 1e-6) * layer
