"""Plain solids to lay out, made with trimesh, an independent library."""

from __future__ import annotations

import numpy as np
import trimesh

from mounts.beds.raster import Piece


def block(name: str, x: float, y: float, z: float = 10.0) -> Piece:
    """A box, its lower corner at the origin."""
    mesh = trimesh.creation.box((x, y, z))
    return _piece(name, mesh)


def ring(name: str, outside: float, inside: float, z: float = 10.0) -> Piece:
    """A ring by its diameters."""
    return _piece(name, trimesh.creation.annulus(inside / 2, outside / 2, z, sections=96))


def disc(name: str, diameter: float, z: float = 10.0) -> Piece:
    """A disc."""
    return _piece(name, trimesh.creation.cylinder(diameter / 2, z, sections=96))


def _piece(name: str, mesh: trimesh.Trimesh) -> Piece:
    vertices = np.asarray(mesh.vertices) + np.array([37.3, -12.6, 0.0])  # a print pose need not lie about the origin
    vertices[:, 2] -= vertices[:, 2].min()
    return Piece(name, vertices, np.asarray(mesh.faces))
