"""Closed forms for screws, the plastic that they pull on, and a ring that spans from screw to screw.

Forces in N, torques in N·m, lengths in mm, stresses and strengths in MPa, masses in kg, accelerations in m/s².
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi

import numpy as np
from numpy.typing import ArrayLike

from mounts.geometry.frames import Array, Vector

NUT_FACTOR = 0.2  # K of F = T / (K d) for dry steel; textbooks on machine elements
SHOCK = 1.77  # greatest response of an undamped part to a half-sine shock, of the shock itself
BEND_TO_TWIST = 2 * (1 + 0.38)  # E / G of printed plastics, Poisson's ratio 0.35 to 0.4: from memory
IN_SHEAR = 3**-0.5  # shear strength of what yields, of its tensile strength (von Mises)
REPEATED = 0.6  # what a plastic bears again and again, of what it bears once (a resin maker's design note)
LASTING = 0.25  # what a plastic bears for years, of what it bears once: common practice, no source
LASTING_STRAIN = 0.005  # and no more than this strain for years, styrenics and PC (snap-fit design guides)
STAYS = 0.5  # of a preload on plastic once it has been hot: common practice, no source
IN_LINE = 1.0  # mm: screws that stray less than this from a line count as lying on it


def preload(torque: float, diameter: float) -> float:
    """Return the force in a screw of a thread `diameter` that is tightened to `torque`, N: F = T / (K d)."""
    return torque * 1000 / (NUT_FACTOR * diameter)


def torque_for(force: float, diameter: float) -> float:
    """Return the torque that puts a force into a screw, N·m: the inverse of `preload`."""
    return force * NUT_FACTOR * diameter / 1000


def bearing_area(outside: float, hole: float) -> float:
    """Return the area on which a washer or head bears round a hole, mm²: π/4 (dw² − dh²), 0 when it falls through."""
    return max(0.0, pi / 4 * (outside**2 - hole**2))


def lasting_strength(strength: float, modulus: float) -> float:
    """Return the stress that a plastic bears for years, MPa: a quarter of its strength or 0.5 % strain, if lower."""
    return min(LASTING * strength, LASTING_STRAIN * modulus)


def shear_off(diameter: float, length: float, strength: float) -> float:
    """Return the force that shears a cylinder of a material out of its surroundings, N: π d L τ with τ = σ / √3."""
    return pi * diameter * length * strength * IN_SHEAR


def shock(mass: float, acceleration: float) -> float:
    """Return the force of a shock on a mass, N, with the dynamic factor of a half-sine on an undamped part."""
    return mass * acceleration * SHOCK


def half_sine(frequency_hz: float, pulse_ms: float) -> float:
    """Return the greatest response of an undamped part to a half-sine shock, of the shock itself: at most 1.77.

    During the pulse (sin ω̄t − sin ωt / r) / (1 − 1/r²), after it a swing of 2/r · cos(π r/2) / (1 − 1/r²), with
    r = ω / ω̄ (textbooks on structural dynamics).

    Args:
        frequency_hz: natural frequency of the part.
        pulse_ms: length of the shock.
    """
    r = 2 * frequency_hz * pulse_ms / 1000
    if abs(r - 1) < 1e-6:
        return pi / 2
    during = np.linspace(0.0, pi, 2001)
    primary = np.abs((np.sin(during) - np.sin(r * during) / r) / (1 - 1 / r**2)).max()
    return float(max(primary, abs(2 / r / (1 - 1 / r**2) * cos(pi * r / 2))))


def bolt_tensions(points: ArrayLike, at: Vector, force: Vector, lever: float | None = None) -> Array:
    """Return the tension of each screw of any pattern under a force on a stiff body, (n,) N; negative in pressure.

    The elastic bolt group: F / n each, and the moment shared out in proportion to the distance from the pattern's
    centre. The face under the body takes some of it in truth, so this errs to the safe side.

    Args:
        points: (n, 2) float, the screws on the face, mm.
        at: where the force acts: x, y on the face and height above it, mm.
        force: along x, y and away from the face, N.
        lever: from the line of screws to the edge on which the body tips, for screws that lie on one line.

    Raises:
        ValueError: for screws on one line and no lever.
    """
    tensions: Array = _tension_rates(points, at, lever) @ np.asarray(force, dtype=float)
    return tensions


def worst_tensions(points: ArrayLike, at: Vector, size: float, lever: float | None = None) -> Array:
    """Return greatest tension in each screw when a force of a `size` acts in whatever direction suits it, (n,) N."""
    worst: Array = size * np.linalg.norm(_tension_rates(points, at, lever), axis=1)
    return worst


def bolt_shears(points: ArrayLike, at: ArrayLike, force: ArrayLike) -> Array:
    """Return the shear of each screw under a force along the face, (n, 2) N: F / n, and M r / Σr² square to r.

    Args:
        points: (n, 2) float, the screws, mm.
        at: (2,) float, where the force's line passes, mm.
        force: (2,) float, N.
    """
    places, pull = np.asarray(points, dtype=float), np.asarray(force, dtype=float)
    away = places - places.mean(axis=0)
    ax, ay = np.asarray(at, dtype=float) - places.mean(axis=0)
    moment = ax * pull[1] - ay * pull[0]
    shears: Array = pull / len(places) + moment / float((away**2).sum()) * np.stack([-away[:, 1], away[:, 0]], axis=1)
    return shears


def worst_shears(points: ArrayLike, at: ArrayLike, size: float) -> Array:
    """Return greatest shear in each screw when a force of a `size` along the face takes the worst direction, (n,) N."""
    turned = np.stack([bolt_shears(points, at, unit) for unit in ((1.0, 0.0), (0.0, 1.0))], axis=2)
    worst: Array = size * np.linalg.norm(turned, ord=2, axis=(1, 2))
    return worst


def _tension_rates(points: ArrayLike, at: Vector, lever: float | None) -> Array:
    """Return the tension of each screw for a unit force along x, y and z, (n, 3)."""
    places = np.asarray(points, dtype=float)
    count, centre = len(places), places.mean(axis=0)
    away = places - centre
    spread, axes = np.linalg.eigh(away.T @ away)
    # rows: moment of a unit force along x, y, z, as the first moment of the tensions that balance it
    moments = np.array([(-at[2], 0.0), (0.0, -at[2]), (at[0] - centre[0], at[1] - centre[1])])
    rates = np.tile((0.0, 0.0, 1 / count), (count, 1))
    for value, axis in zip(spread, axes.T, strict=True):
        if value > count * IN_LINE**2:
            rates += np.outer(away @ axis, moments @ axis) / value
        elif lever is None:
            raise ValueError(f"{count} screws lie on one line; the edge on which the body tips must be given")
        else:
            rates += moments @ axis / (count * lever)
    return rates


@dataclass(frozen=True, slots=True)
class LoadedRing:
    """An evenly loaded ring on its supports: what each section carries, of the load w along it and its radius r.

    Attributes:
        supports: their angles, radians, (n,).
        reactions: of w r, (n,), > 0 where they hold the ring back; their sum is 2π.
        start: shear (of w r), bending and torsion (of w r²) at the angle 0.
    """

    supports: Array
    reactions: Array
    start: Array

    def bending(self, angles: Array) -> Array:
        """Bending moments at angles, radians, (m,), of w r²; > 0 over a support, < 0 between two."""
        load, unit = _bent(angles, self.supports)
        found: Array = load + unit @ np.concatenate([self.start, self.reactions])
        return found

    def shear(self, angles: Array) -> Array:
        """Shear forces at angles, radians, (m,), of w r; at a support the larger of the two beside it."""
        apart = np.array([-1e-6, 1e-6])[:, None, None]
        passed = self.supports <= angles[:, None] % (2 * pi) + apart
        found: Array = np.abs(self.start[0] - angles % (2 * pi) + (passed * self.reactions).sum(axis=2)).max(axis=0)
        return found


def loaded_ring(supports: Array, ratio: float) -> LoadedRing:
    """Return an evenly loaded ring on supports at any angles, by least complementary energy (Castigliano).

    Out of its plane V' = −w r, M' = T − V r and T' = −M along the arc. Of all that balance the load, the ring takes
    the reactions and the sections' moments that make ∫ M² + (EI/GJ) T² least. Where a gap between neighbours is wider
    than half the ring, it tips, and bears on its heel in the middle of that gap too.

    Args:
        supports: their angles, radians, in any order, (n,), n ≥ 1.
        ratio: EI / GJ of its section.
    """
    turns = np.sort(supports % (2 * pi))
    gaps = np.diff([*turns, turns[0] + 2 * pi])
    widest = int(np.argmax(gaps))
    if gaps[widest] > pi + 1e-9:
        turns = np.sort([*turns, (turns[widest] + gaps[widest] / 2) % (2 * pi)])
    ends = np.concatenate([[0.0], turns, [2 * pi]])
    nodes, weights = np.polynomial.legendre.leggauss(12)
    half = np.diff(ends)[:, None] / 2
    angles, shares = (half * nodes + ends[:-1, None] + half).ravel(), np.sqrt(half * weights).ravel()[:, None]
    (bent, bends), (turned, turning) = _bent(angles, turns), _twisted(angles, turns)
    energy = np.concatenate([shares * bends, ratio**0.5 * shares * turning])
    given = np.concatenate([shares[:, 0] * bent, ratio**0.5 * shares[:, 0] * turned])
    balance = np.zeros((3, 3 + len(turns)))
    balance[:, 3:] = np.ones_like(turns), np.cos(turns), np.sin(turns)
    left = np.block([[energy.T @ energy, balance.T], [balance, np.zeros((3, 3))]])
    right = np.concatenate([-energy.T @ given, [2 * pi, 0.0, 0.0]])
    solved = np.linalg.lstsq(left, right, rcond=1e-12)[0]
    return LoadedRing(turns, solved[3 : 3 + len(turns)], solved[:3])


def _bent(angles: Array, supports: Array) -> tuple[Array, Array]:
    """Return bending at angles (m,) by the load alone, (m,), and by units of start and reactions, (m, 3 + n)."""
    after = np.maximum(angles[:, None] - supports, 0.0)
    start = np.stack([-np.sin(angles), np.cos(angles), np.sin(angles)], axis=1)
    return 1 - np.cos(angles), np.concatenate([start, -np.sin(after)], axis=1)


def _twisted(angles: Array, supports: Array) -> tuple[Array, Array]:
    """Return torsion at angles (m,) by the load alone, (m,), and by units of start and reactions, (m, 3 + n)."""
    after = np.maximum(angles[:, None] - supports, 0.0)
    start = np.stack([1 - np.cos(angles), -np.sin(angles), np.cos(angles)], axis=1)
    return np.sin(angles) - angles, np.concatenate([start, 1 - np.cos(after)], axis=1)


@dataclass(frozen=True, slots=True)
class Bar:
    """A rectangle of a bent section: `width` across, from `low` to `high` in the direction of bending; cut if < 0."""

    width: float
    low: float
    high: float


def section_modulus(bars: Sequence[Bar]) -> float:
    """Return the least section modulus of rectangles bent together about their common neutral axis, mm³."""
    inertia, furthest = bent_section(bars)
    return inertia / furthest


def bent_section(bars: Sequence[Bar]) -> tuple[float, float]:
    """Return the second moment of area of rectangles bent together, mm⁴, and how far their furthest fibre lies, mm."""
    areas = [bar.width * (bar.high - bar.low) for bar in bars]
    middles = [(bar.low + bar.high) / 2 for bar in bars]
    neutral = sum(a * m for a, m in zip(areas, middles, strict=True)) / sum(areas)
    inertia = sum(
        a * ((bar.high - bar.low) ** 2 / 12 + (m - neutral) ** 2)
        for a, m, bar in zip(areas, middles, bars, strict=True)
    )
    solid = [bar for bar in bars if bar.width > 0]
    return inertia, max(max(bar.high for bar in solid) - neutral, neutral - min(bar.low for bar in solid))


def torsion_constant(bars: Sequence[Bar]) -> float:
    """Return the torsion constant of an open section of rectangles, mm⁴: Σ a b³ (1/3 − 0.21 b/a (1 − b⁴ / 12 a⁴)).

    What is cut out counts nothing. Roark's Formulas for Stress and Strain, torsion of a solid rectangle, here with
    whole sides a ≥ b.
    """
    sides = [sorted((bar.width, bar.high - bar.low), reverse=True) for bar in bars if bar.width > 0]
    return sum(a * b**3 * (1 / 3 - 0.21 * b / a * (1 - b**4 / (12 * a**4))) for a, b in sides)
