"""What a plane through the speaker's axis cuts of a mount and of the things round it, and how that lies on paper.

The plane holds the speaker's axis and the panel's normal; where the speaker looks straight out, it holds the line to
the ear. u runs along the face to the side that the speaker looks to, z into the cabin.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from mounts.aiming.values import SideAim
from mounts.design.figure import Polyline
from mounts.geometry.frames import Frame
from mounts.geometry.outline import Point
from mounts.identity import MOUNT, SPEAKER, Ident, Role
from mounts.kernels import mesh
from mounts.kernels.sections import Box, envelope_loops, part_loops, upright_frame
from mounts.shape.recipe import Envelope

SCALES = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1)  # ISO 5455
BESIDE, OVER = 9.0, 14.0  # mm shown beside the mount, and of the cabin over all else
FAR = 70.0  # mm from the rest at which glass, trim or grille are left out
SLIVER = 0.2  # mm²: a smaller loop is a seam, no thing
AS_ONE = (Role.BODY, Role.FLANGE, Role.FRONT, Role.TERMINAL, Role.SPEAKER_HEAD)  # drawn as one speaker
LEFT_OUT = (Role.WAY, Role.TOOL, Role.HARDWARE)
NEAR = (Role.PART, Role.SPEAKER, Role.SHEET)  # what is shown in full


@dataclass(frozen=True, slots=True)
class Cut:
    """One thing as the plane cuts it, mm of the real thing: (u, z)."""

    ident: Ident
    loops: tuple[Polyline, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """How the real thing lies on the figure: scale, what is shown of it, and where its lower left corner is."""

    scale: float
    shown: Box
    corner: Point

    def put(self, point: Point) -> Point:
        """A place (u, z) on the figure."""
        u, z = point
        return (self.corner[0] + (u - self.shown[0]) * self.scale, self.corner[1] + (z - self.shown[1]) * self.scale)

    def loops(self, loops: Sequence[Polyline]) -> tuple[Polyline, ...]:
        """Loops on the figure."""
        return tuple(tuple(self.put(point) for point in loop) for loop in loops)


@dataclass(frozen=True, slots=True)
class Section:
    """A mount and the things round it, cut by a plane whose frame has x along u, y along z."""

    plane: Frame
    mount: Cut
    things: tuple[Cut, ...]


def section_of(side: SideAim) -> Section | None:
    """One side's section; None for a ring cut from sheet, which is flat.

    Raises:
        KernelError: if the mount cannot be drawn.
    """
    if not side.holds.tilts:
        return None
    scene = side.planned.draw()
    plane = upright_frame(side.seat.frame.origin[:2], side.toward)
    mount = Cut(MOUNT, part_loops(mesh.build(scene.recipe, 128), plane))
    return Section(plane, mount, tuple(_things(scene.envelopes, plane, around(mount.loops))))


def _things(envelopes: Sequence[Envelope], plane: Frame, own: Box) -> Iterator[Cut]:
    window = (own[0] - BESIDE, own[1] - 300.0, own[2] + BESIDE, own[3] + 300.0)
    speaker = tuple(body for envelope in envelopes if envelope.ident.role in AS_ONE for body in envelope.bodies)
    for envelope in (Envelope(SPEAKER, speaker), *envelopes):
        if envelope.ident.role in (*AS_ONE, *LEFT_OUT):
            continue
        loops = envelope_loops(envelope, plane, window)
        loops = tuple(loop for loop in loops if _area(loop) > SLIVER)
        if loops:
            yield Cut(envelope.ident, loops)


def _area(loop: Polyline) -> float:
    x, y = np.array(loop).T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def around(loops: Sequence[Polyline]) -> Box:
    """The box about some loops."""
    us, zs = zip(*(point for loop in loops for point in loop), strict=True)
    return (min(us), min(zs), max(us), max(zs))


def laid(section: Section, field: Box) -> Sheet:
    """The section in a field of the figure, at the largest usual scale at which all that is near fits it."""
    cuts = (section.mount, *section.things)
    near = [cut for cut in cuts if cut.ident.role in NEAR]
    u0, z0, u1, z1 = around([loop for cut in near for loop in cut.loops])
    for cut in cuts:
        low, high = around(cut.loops)[1::2]
        if low > 0 and low < z1 + FAR:
            z1 = max(z1, min(high, low + FAR / 2))
        if high < 0 and high > z0 - FAR:
            z0 = min(z0, max(low, high - FAR / 3))
    z0, z1 = z0 - 3.0, z1 + OVER
    width, height = field[2] - field[0], field[3] - field[1]
    scale = next((s for s in SCALES if (u1 - u0) * s <= width and (z1 - z0) * s <= height), SCALES[-1])
    corner = ((field[0] + field[2] - (u1 - u0) * scale) / 2, (field[1] + field[3] - (z1 - z0) * scale) / 2)
    return Sheet(scale, (u0, z0, u1, z1), corner)
