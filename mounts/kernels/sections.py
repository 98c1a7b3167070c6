"""Plane sections of a part and of the things round it, as closed loops in the plane.

They are cut by manifold3d: `trimesh.Trimesh.section` gives the same areas (`tests/papers/test_sections.py`), but `aim`
cuts pictures as well, and need not import trimesh.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import manifold3d
import numpy as np
from manifold3d import CrossSection, Manifold

from mounts.geometry.frames import Frame, clock_vector
from mounts.geometry.outline import Box, Point, Polyline, bound_points, loop_area
from mounts.identity import TRIM, Ident, Role
from mounts.kernels import mesh
from mounts.kernels.part import Part
from mounts.shape.primitives import Body, Prism
from mounts.shape.recipe import Envelope

SEGMENTS = 128
THICK = 3.0  # mm of a trim in a section
LEFT_OUT = (Role.WAY, Role.TOOL)  # room for hands and tools, not things
PLATES = (Role.GLASS, Role.GRILLE, Role.TRIM, Role.END)  # flat things, of which the near side matters
REACH = 400.0  # mm over and under the part up to which things are cut
SLIVER = 0.2  # mm²: a smaller loop is a seam between bodies, not a thing


@dataclass(frozen=True, slots=True)
class Cut:
    """One thing as the plane cuts it."""

    ident: Ident
    loops: tuple[Polyline, ...]

    @property
    def box(self) -> Box:
        """Bounding box of all loops."""
        return bound_points(point for loop in self.loops for point in loop)


@dataclass(frozen=True, slots=True)
class SceneSection:
    """A part and the things round it, cut by the x-y plane of a frame; loops in that plane, mm."""

    plane: Frame
    part: Cut
    things: tuple[Cut, ...]


def cut_scene(
    part: Cut, envelopes: Iterable[Envelope], plane: Frame, beside: float, deep: float = REACH
) -> SceneSection:
    """Return the section of a part's loops and of its surroundings.

    Args:
        part: its loops.
        envelopes: its surroundings.
        plane: the frame whose x-y plane cuts.
        beside: mm beyond the part on either side up to which they are shown.
        deep: the same over and under it, of single things behind the panel.
    """
    u0, v0, u1, v1 = part.box
    things = []
    for envelope in envelopes:
        if envelope.ident.role not in LEFT_OUT:
            reach = deep if envelope.ident.role is Role.THING else REACH
            loops = envelope_loops(envelope, plane, (u0 - beside, v0 - reach, u1 + beside, v1 + reach))
            if loops := tuple(loop for loop in loops if loop_area(loop) > SLIVER):
                things.append(Cut(envelope.ident, loops))
    return SceneSection(plane, part, tuple(things))


def part_loops(part: Part, frame: Frame) -> tuple[Polyline, ...]:
    """Return the section of a part by a frame's x-y plane; outer loops run counter-clockwise, holes clockwise."""
    whole = manifold3d.Mesh64(np.ascontiguousarray(part.vertices), part.triangles.astype(np.uint64))
    return _loops(_slice(Manifold(whole), frame))


def body_loops(bodies: Sequence[Body], frame: Frame, window: Box) -> tuple[Polyline, ...]:
    """Return the section of some bodies by the plane, clipped to a window (x0, y0, x1, y1) of it, mm."""
    x0, y0, x1, y1 = window
    pane = CrossSection.square((x1 - x0, y1 - y0)).translate((x0, y0))
    return _loops(_slice(mesh.union(bodies, SEGMENTS), frame) ^ pane)


def envelope_loops(envelope: Envelope, frame: Frame, window: Box) -> tuple[Polyline, ...]:
    """Return `body_loops` of a real thing; a trim is cut as a plate, since nobody measures how thick it is."""
    if envelope.ident != TRIM:
        return body_loops(envelope.bodies, frame, window)
    walls = [one for one in envelope.bodies if isinstance(one, Prism)]
    return body_loops([replace(one, high=one.low + THICK) for one in walls], frame, window)


def upright_frame(origin: Point, clock: float) -> Frame:
    """Return the frame of a section square to the panel: x along the face in a clock direction, y into the cabin.

    Its origin lies on the face, at `origin`.
    """
    x, y = clock_vector(clock)
    return Frame((*origin, 0.0), (x, y, 0.0), (y, -x, 0.0))


def clip_loops(loops: Iterable[Polyline], box: Box) -> tuple[Polyline, ...]:
    """Return loops with heights clamped to a box, without those beyond it; a window clips them in width."""
    return tuple(
        tuple((u, min(max(v, box[1]), box[3])) for u, v in loop)
        for loop in loops
        if min(v for _, v in loop) < box[3] and max(v for _, v in loop) > box[1]
    )


def _slice(solid: Manifold, frame: Frame) -> CrossSection:
    turn = frame.axes.T
    away = -turn @ np.asarray(frame.origin)
    return solid.transform(np.column_stack([turn, away])).slice(0.0)


def _loops(section: CrossSection) -> tuple[Polyline, ...]:
    """Return a cross-section as loops of plain numbers."""
    return tuple(tuple((float(x), float(y)) for x, y in loop) for loop in section.to_polygons())
