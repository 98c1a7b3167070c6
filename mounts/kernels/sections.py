"""What a plane cuts of a part and of the things round it, as closed loops in the plane.

It is cut by manifold3d: `trimesh.Trimesh.section` gives the same areas (`tests/papers/test_sections.py`), but `aim`
cuts pictures as well, and need not import trimesh.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import manifold3d
import numpy as np
from manifold3d import CrossSection, Manifold

from mounts.geometry.frames import Frame, clock_vector
from mounts.geometry.outline import Point
from mounts.identity import TRIM
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.shape.primitives import Body, Prism
from mounts.shape.recipe import Envelope

Path = tuple[tuple[float, float], ...]
Box = tuple[float, float, float, float]
SEGMENTS = 128
THICK = 3.0  # mm of a trim in a cut


def part_loops(part: Part, frame: Frame) -> tuple[Path, ...]:
    """Loops in which the frame's x-y plane cuts a part; outer ones run counter-clockwise, holes clockwise."""
    whole = manifold3d.Mesh64(np.ascontiguousarray(part.vertices), part.triangles.astype(np.uint64))
    return _loops(_cut(Manifold(whole), frame))


def body_loops(bodies: Sequence[Body], frame: Frame, window: Box) -> tuple[Path, ...]:
    """Loops in which the plane cuts some bodies, as far as they lie in a window (x0, y0, x1, y1) of the plane."""
    x0, y0, x1, y1 = window
    pane = CrossSection.square((x1 - x0, y1 - y0)).translate((x0, y0))
    return _loops(_cut(mesh.union(bodies, SEGMENTS), frame) ^ pane)


def envelope_loops(envelope: Envelope, frame: Frame, window: Box) -> tuple[Path, ...]:
    """As `body_loops` of a real thing; of a trim a plate, since nobody measures how thick it is."""
    if envelope.ident != TRIM:
        return body_loops(envelope.bodies, frame, window)
    walls = [one for one in envelope.bodies if isinstance(one, Prism)]
    return body_loops([replace(one, high=one.low + THICK) for one in walls], frame, window)


def upright_frame(origin: Point, clock: float) -> Frame:
    """Frame of a cut square to the panel: x along the face in a clock direction, y into the cabin, its origin on it."""
    x, y = clock_vector(clock)
    return Frame((*origin, 0.0), (x, y, 0.0), (y, -x, 0.0))


def clip_loops(loops: Sequence[Path], box: Box) -> tuple[Path, ...]:
    """Loops held inside a box in height, those that lie beyond it left out; a window holds them in width."""
    return tuple(
        tuple((u, min(max(v, box[1]), box[3])) for u, v in loop)
        for loop in loops
        if min(v for _, v in loop) < box[3] and max(v for _, v in loop) > box[1]
    )


def _cut(solid: Manifold, frame: Frame) -> CrossSection:
    turn = frame.axes.T
    away = -turn @ np.asarray(frame.origin)
    return solid.transform(np.column_stack([turn, away])).slice(0.0)


def _loops(section: CrossSection) -> tuple[Path, ...]:
    return tuple(tuple((float(x), float(y)) for x, y in loop) for loop in section.to_polygons())
