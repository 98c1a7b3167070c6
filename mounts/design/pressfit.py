"""Press fits: Lamé's thick cylinders, crush ribs in a ring, and what temperature and time leave of them.

Lengths in mm, moduli and stresses in MPa, forces in N; interferences are on the diameter. Shigley, Mechanical
Engineering Design, press and shrink fits; DIN 7190-1. Rings under equal radial loads: Roark, circular rings.

Retention of a spacer and its loads: slit rings, bumps, lips and shoulders. Lengths in mm, forces in N, MPa.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, radians, sin, sqrt, tan

from mounts.design.loads import IN_SHEAR

ROOM = 23.0  # °C at which parts are measured and pressed
METAL = 20e-6  # 1/K: of a tweeter's housing, between steel and aluminium
FRICTION = 0.25  # plastic on metal, dry: common practice, no source
ONE_TIME = 0.7  # of its yield strain that a ductile plastic bears once (a resin maker's design note)
HALF = 0.5  # of its strength that a printed part is trusted with: common practice, no source


def wall_factor(inside: float, outside: float) -> float:
    """Return the g = (Do² + d²) / (Do² − d²): hoop stress at the bore for a pressure of one."""
    return (outside**2 + inside**2) / (outside**2 - inside**2)


def hoop_stress(pressing: float, inside: float, outside: float) -> float:
    """Return the hoop stress at the bore, MPa."""
    return pressing * wall_factor(inside, outside)


def at_temperature(fit: float, diameter: float, hot: float, plastic: float, body: float = METAL) -> float:
    """Return the interference at a temperature in °C, of a plastic cup on a body of another expansion (both in 1/K)."""
    return fit - (plastic - body) * (hot - ROOM) * diameter


@dataclass(frozen=True, slots=True)
class RibbedRing:
    """A ring with equal crush ribs inside, pressed on a rigid round body.

    Attributes:
        body: diameter of what is pressed in.
        inside, outside: diameters of the ring between its ribs.
        length: length of the ribs along the axis.
        ribs: their number.
        tip: diameter of a rib's round tip.
        modulus: Young's modulus of the plastic.
        crush: stress at which a rib's tip flattens.
    """

    body: float
    inside: float
    outside: float
    length: float
    ribs: int
    tip: float
    modulus: float
    crush: float

    @property
    def middle(self) -> float:
        """Diameter half way through the wall."""
        return (self.inside + self.outside) / 2

    @property
    def wall(self) -> float:
        """Thickness of the ring's wall, mm."""
        return (self.outside - self.inside) / 2

    @property
    def compliance(self) -> float:
        """Outward movement of the wall at a rib for a force of 1 N on every rib, mm: bending and stretch."""
        half = pi / self.ribs
        r, bent = self.middle / 2, self.modulus * self.length * self.wall**3 / 12
        bending = r**3 / (2 * bent) * ((half + sin(half) * sin(pi / 2 - half)) / (2 * sin(half) ** 2) - 1 / half)
        return bending + r * self.ribs / (2 * pi * self.modulus * self.length * self.wall)

    def force(self, fit: float) -> float:
        """Return force of the body on each rib, N: the wall gives way and the tips flatten together by half the fit.

        A tip flattened by c bears on a width of 2 √(2 ρ c), so c = (F / (2 σ L))² / (2 ρ).
        """
        if fit <= 0:
            return 0.0
        square = 1 / (self.tip * (2 * self.crush * self.length) ** 2)
        return fit / (sqrt(self.compliance**2 + 2 * square * fit) + self.compliance)

    def strain(self, fit: float) -> float:
        """Return the greatest strain in the wall: stretch, and bending over a rib, F r / 2 · (1 / θ − cot θ)."""
        half = pi / self.ribs
        force, r = self.force(fit), self.middle / 2
        moment = force * r / 2 * (1 / half - 1 / tan(half))
        stretched = force * self.ribs / (2 * pi) / (self.length * self.wall)
        return (stretched + 6 * moment / (self.length * self.wall**2)) / self.modulus

    def holds(self, fit: float, friction: float = FRICTION) -> float:
        """Return the force along the axis that the ribs hold, N."""
        return self.ribs * self.force(fit) * friction


def snap_strain(over: float, diameter: float, wall: float, lugs: int) -> float:
    """Return strain in a ring whose lugs reach `over` a side beyond what is pushed past them; 0 lugs for a whole lip.

    A lip stretches the ring by 2 · over; lugs bend it, as equal radial loads do.
    """
    if lugs == 0:
        return 2 * over / diameter
    half, r = radians(180) / lugs, diameter / 2
    bends = 1 / half - 1 / tan(half)
    moves = (half + sin(half) * sin(pi / 2 - half)) / (2 * sin(half) ** 2) - 1 / half
    return bends / moves * over * wall / 2 / r**2


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
