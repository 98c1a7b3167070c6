"""Lamé's pressure between two cylinders, which the ribs of a cup are held against."""

from __future__ import annotations

from dataclasses import dataclass

from mounts.design.pressfit import wall_factor


@dataclass(frozen=True, slots=True)
class Cylinder:
    """One of two that are pressed together: its free diameter (outside of a hub, bore of a shaft) and its plastic."""

    free: float
    modulus: float
    poisson: float


def pressure(fit: float, diameter: float, hub: Cylinder, shaft: Cylinder | None = None) -> float:
    """Pressure between a hub and a shaft, MPa, by Lamé.

    Args:
        fit: interference on the diameter.
        diameter: where they meet.
        hub: round the shaft.
        shaft: in the hub; None for a rigid one.
    """
    yields = (wall_factor(diameter, hub.free) + hub.poisson) / hub.modulus
    if shaft is not None:
        yields += (wall_factor(shaft.free, diameter) - shaft.poisson) / shaft.modulus
    return fit / (diameter * yields)
