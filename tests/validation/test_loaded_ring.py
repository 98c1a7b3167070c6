"""A loaded ring on uneven supports against solid finite elements (scikit-fem), of which it knows nothing."""

from __future__ import annotations

from functools import cache
from math import pi
from typing import Any

import numpy as np
import pytest
from skfem import Basis, ElementHex2, ElementVector, LinearForm, MeshHex, asm, condense, solve
from skfem.helpers import sym_grad, trace
from skfem.models.elasticity import lame_parameters, linear_elasticity

from mounts.design.loads import BEND_TO_TWIST, Bar, bent_section, loaded_ring, torsion_constant

RADIUS, WIDE, THICK, COLUMNS = 80.0, 12.0, 6.0, 60  # mm, mm, mm, elements round


MODULI = lame_parameters(1.0, BEND_TO_TWIST / 2 - 1)


@cache
def solid_ring() -> tuple[Basis, np.ndarray, Any, np.ndarray]:
    """Return a solid ring's elements, its corners' numbers round, across and up (3, n), stiffness and even load."""
    mesh = MeshHex.init_tensor(np.arange(COLUMNS + 1.0), np.linspace(-1, 1, 3), np.linspace(-1, 1, 3))
    corners, cells = mesh.p, mesh.t.copy()
    first = {(y, z): k for k, (x, y, z) in enumerate(corners.T) if x == 0}
    for k in np.flatnonzero(corners[0] == COLUMNS):  # the ring closes
        cells[cells == k] = first[corners[1, k], corners[2, k]]
    used = np.unique(cells)
    turn, reach = corners[0, used] * 2 * pi / COLUMNS, RADIUS + corners[1, used] * WIDE / 2
    places = np.stack([reach * np.cos(turn), reach * np.sin(turn), corners[2, used] * THICK / 2])
    basis = Basis(MeshHex(places, np.searchsorted(used, cells)), ElementVector(ElementHex2()), intorder=4)
    pull = LinearForm(lambda v, w: v[2] / (WIDE * THICK) * RADIUS / np.hypot(w.x[0], w.x[1]))
    return basis, corners[:, used], asm(linear_elasticity(*MODULI), basis), asm(pull, basis)


def solid_moments(columns: list[int]) -> np.ndarray:
    """Return the bending moment in each column of elements of a ring held under some of them, of w r²."""
    basis, number, stiff, pull = solid_ring()
    held = np.flatnonzero((number[1:] == 0).all(axis=0) & np.isin(number[0], columns))
    upright, still = basis.nodal_dofs[2, held], basis.nodal_dofs[[0, 1, 1], held[[0, 0, 1]]]
    moved = solve(*condense(stiff, pull, D=np.concatenate([upright, still])))
    strain, (lam, mu) = sym_grad(basis.interpolate(moved)), MODULI
    x, y, z = np.asarray(basis.global_coordinates())
    along = np.stack([-y, x, 0 * x]) / np.hypot(x, y)
    stress = 2 * mu * np.einsum("ijkl,ikl,jkl->kl", strain, along, along) + lam * trace(strain)
    moments = (stress * z / np.hypot(x, y) * basis.dx).sum(axis=1) / (2 * pi / COLUMNS)
    column = (np.arctan2(y, x).mean(axis=1) % (2 * pi) / (2 * pi) * COLUMNS).astype(int)
    return np.bincount(column, moments) / RADIUS**2


@pytest.mark.parametrize(
    "columns",
    [
        [0, 20, 40],
        [0, 13, 35],
        [0, 8, 32],
        [0, 10, 22, 45],
        [0, 5, 10, 30, 37],
        [*range(0, 60, 10)],
        [*range(0, 33, 3), 45],
    ],
    ids=lambda columns: f"{len(columns)} of {columns[1]}",
)
def test_uneven_screws_bend_a_ring_as_solid_finite_elements_do(columns: list[int]) -> None:
    bars = (Bar(WIDE, 0.0, THICK),)
    ring = loaded_ring(
        np.array(columns) * 2 * pi / COLUMNS, BEND_TO_TWIST * bent_section(bars)[0] / torsion_constant(bars)
    )
    turns = (np.arange(COLUMNS) + 0.5) * 2 * pi / COLUMNS
    planned, found = ring.bending(turns), solid_moments(columns)
    assert np.abs(planned).max() == pytest.approx(np.abs(found).max(), rel=0.05)
    assert planned == pytest.approx(-found, abs=0.06 * np.abs(found).max())
