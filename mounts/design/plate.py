"""A thin plate on feet, bent by what stands on it: Kirchhoff's equation on a grid of conforming plate elements.

Bogner-Fox-Schmit elements of scikit-fem on squares of the plate's own outline; w = 0 on each foot's grip. Lengths in
mm, forces in N, moduli in MPa, masses in kg, accelerations in m/s².
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, pi
from typing import Any

import numpy as np

from mounts.geometry.distance import depths
from mounts.geometry.frames import Array
from mounts.geometry.outline import Outline, Point
from mounts.geometry.ties import first_most

CELL, FEWEST, MOST = 12.0, 16, 40  # mm of a cell's side; cells along a side
HELD = 1e-9  # mm

Grip = tuple[Point, float]  # centre and diameter of a place that is held


@dataclass(frozen=True, slots=True)
class Slab:
    """The plate: its outline less what is cut out of it, its stiffness and its own mass.

    Attributes:
        rigidity: E t³ / (12 (1 − ν²)), N·mm; less for a core that is not solid.
        poisson: ν.
        area_mass: kg/mm².
    """

    outline: Outline
    cuts: tuple[Outline, ...]
    rigidity: float
    poisson: float
    area_mass: float


@dataclass(frozen=True, slots=True)
class Patch:
    """A mass spread evenly over a convex outline."""

    outline: Outline
    mass: float


@dataclass(frozen=True, slots=True)
class BentPlate:
    """The plate under an acceleration of 1 m/s² across it.

    Attributes:
        sag: greatest deflection, mm.
        moment: greatest principal moment outside the grips, N·mm/mm.
        at: where that is.
        frequency_hz: lowest natural frequency, by Rayleigh's quotient of this shape.
    """

    sag: float
    moment: float
    at: Point
    frequency_hz: float


def rigidity(modulus: float, thickness: float, poisson: float) -> float:
    """Return the d = E t³ / (12 (1 − ν²)), N·mm."""
    return modulus * thickness**3 / (12 * (1 - poisson**2))


def bend_plate(slab: Slab, grips: Sequence[Grip], *cases: Sequence[Patch]) -> tuple[BentPlate, ...]:
    """Return how a plate bends on its feet under an acceleration of 1 m/s², in each case of what stands on it.

    Args:
        slab: the plate.
        grips: centre and diameter of each place that is held; the nearest corner of the grid at least.
        cases: what stands on it.
    """
    from skfem import Basis, BilinearForm, ElementQuadBFS
    from skfem.helpers import dd, ddot, trace

    basis = Basis(_grid(slab), ElementQuadBFS(), intorder=6)

    def stiff(u: Any, v: Any, _: Any) -> Any:
        a, b = dd(u), dd(v)
        return slab.rigidity * ((1 - slab.poisson) * ddot(a, b) + slab.poisson * trace(a) * trace(b))

    matrix = BilinearForm(stiff).assemble(basis)
    return tuple(_case(slab, grips, basis, matrix, patches) for patches in cases)


def _case(slab: Slab, grips: Sequence[Grip], basis: Any, matrix: Any, patches: Sequence[Patch]) -> BentPlate:
    from skfem import LinearForm, condense, solve

    x, y = basis.global_coordinates()
    places = np.stack([np.asarray(x).ravel(), np.asarray(y).ravel()], axis=1)
    areas = np.asarray(basis.dx).ravel()
    masses = _masses(slab, patches, places, areas)
    spread = (masses / areas).reshape(basis.dx.shape)
    force = LinearForm(lambda v, w: w.spread * v).assemble(basis, spread=spread)
    found = solve(*condense(matrix, force, D=_held(basis, grips)))
    shape = basis.interpolate(found)
    deflection, curved = np.asarray(shape).ravel(), np.asarray(shape.hess).reshape(2, 2, -1)
    moments = _principal(slab, curved)
    outside = np.all([np.hypot(*(places - at).T) > across / 2 for at, across in grips], axis=0)
    worst = first_most(np.where(outside, moments, 0.0))
    energy = float((masses * deflection).sum()), float((masses * deflection**2).sum())
    frequency = (1000 * energy[0] / energy[1]) ** 0.5 / (2 * pi)
    at = (float(places[worst, 0]), float(places[worst, 1]))
    sag = max(float(np.abs(deflection).max()), float(np.abs(found[basis.nodal_dofs[0]]).max()))
    return BentPlate(sag, float(moments[worst]), at, frequency)


def _grid(slab: Slab) -> Any:
    """Return the squares whose middles lie in the plate."""
    from skfem import MeshQuad

    x0, y0, x1, y1 = slab.outline.box
    sides = [np.linspace(a, b, _count(b - a) + 1) for a, b in ((x0, x1), (y0, y1))]
    mesh = MeshQuad.init_tensor(*sides)
    middles = mesh.p[:, mesh.t].mean(axis=1).T
    kept = depths(slab.outline, middles) > 0
    for cut in slab.cuts:
        kept &= depths(cut, middles) <= 0
    return mesh.restrict(np.flatnonzero(kept))


def _count(length: float) -> int:
    return min(MOST, max(FEWEST, ceil(length / CELL)))


def _masses(slab: Slab, patches: Sequence[Patch], places: Array, areas: Array) -> Array:
    """Return the mass at each integration point, kg."""
    masses: Array = slab.area_mass * areas
    for patch in patches:
        on = depths(patch.outline, places) >= 0
        if not on.any():  # smaller than the grid can tell: its nearest point carries it
            on = np.arange(len(places)) == np.argmin(np.hypot(*(places - patch.outline.middle).T))
        masses = masses + patch.mass * np.where(on, areas, 0.0) / areas[on].sum()
    return masses


def _held(basis: Any, grips: Sequence[Grip]) -> Array:
    """Return the unknowns that the feet hold at zero."""
    corners, held = basis.mesh.p.T, np.zeros(basis.mesh.p.shape[1], dtype=bool)
    for at, across in grips:
        away = np.hypot(*(corners - at).T)
        held |= away <= max(across / 2, float(away.min())) + HELD
    dofs: Array = basis.nodal_dofs[0, held]
    return dofs


def _principal(slab: Slab, curved: Array) -> Array:
    """Return the greatest principal moment, in size, of curvatures (2, 2, n)."""
    nu = slab.poisson
    along, across = curved[0, 0] + nu * curved[1, 1], curved[1, 1] + nu * curved[0, 0]
    twist = (1 - nu) * curved[0, 1]
    middle, half = (along + across) / 2, np.hypot((along - across) / 2, twist)
    moments: Array = slab.rigidity * (np.abs(middle) + half)
    return moments
