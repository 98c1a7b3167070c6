"""Retention of a spacer and its loads: slit rings, bumps, lips and shoulders. Lengths in mm, forces in N, MPa."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from mounts.design.loads import IN_SHEAR
from mounts.design.pressfit import RibbedRing

ONE_TIME = 0.7  # of its yield strain that a ductile plastic bears once (a resin maker's design note)
HALF = 0.5  # of its strength that a printed part is trusted with: common practice, no source


@dataclass(frozen=True, slots=True)
class RibbedSleeve(RibbedRing):
    """A ribbed ring of which more gives way than what its ribs touch, and which may have straight sides.

    A side yields as a beam that is clamped at both ends and loaded midway: F s³ / (192 E I), with a moment of F s / 8.

    Attributes:
        side: length of its longest straight side.
        bears: height of wall that bears the ribs' forces: theirs and as much of the wall as spreads at 45 degrees.
    """

    side: float = 0.0
    bears: float = 1.0

    @property
    def compliance(self) -> float:
        """Movement of the wall at a rib for a force of 1 N on every rib, mm: the softer of ring and side."""
        ring: float = super(RibbedSleeve, self).compliance * self.length / self.bears
        return max(ring, self.side**3 / (192 * self.modulus * self.bears * self.wall**3 / 12))

    def strain(self, fit: float) -> float:
        """Return the greatest strain in the wall: of the ring, or of the side."""
        ring: float = super(RibbedSleeve, self).strain(fit) * self.length / self.bears
        side = 6 * self.force(fit) * self.side / 8 / (self.bears * self.wall**2) / self.modulus
        return max(ring, side)


def yield_strain(strength: float, modulus: float) -> float:
    """Return the strain at which a plastic yields, as far as strength and modulus tell."""
    return strength / modulus


def spread_strain(gap: float, middle: float, wall: float) -> float:
    """Return the greatest strain in a slit ring whose slit is opened, or closed, by `gap`: t Δ / (3 π R²).

    A thin ring cut at one place under two equal tangential forces there: Δ = 3 π F R³ / (E I), M = 2 F R opposite.

    Args:
        gap: change of the slit's width.
        middle: diameter half way through the wall.
        wall: thickness of the ring's wall.
    """
    return wall * gap / (3 * pi * (middle / 2) ** 2)


def closing_for(over: float) -> float:
    """Return how much a slit must close for a ridge to pass an edge that it stands `over` behind a side: 2 π over."""
    return 2 * pi * over


def sheared_ridge(length: float, root: float, strength: float) -> float:
    """Return the force along the axis that shears a ridge of a `length` round the sleeve off at its root, N."""
    return length * root * strength * IN_SHEAR


def bent_lip(force: float, round_: float, reach: float, thickness: float) -> float:
    """Return greatest stress in a lip that carries a force evenly, midway between root and edge, MPa: 6 q (r / 2) / t².

    Args:
        force: along the axis.
        round_: length of the lip's root round the sleeve.
        reach: length of the lip past its root.
        thickness: thickness of the lip.
    """
    return 6 * force / round_ * (reach / 2) / thickness**2
