"""Pieces of a ring's plan as values: fixings, seat, base, tower, collar, and what is cut into them.

Places on the base are in the panel frame, places on the seat in the seat's.
"""

from __future__ import annotations

from dataclasses import dataclass

from mounts.geometry.frames import Frame
from mounts.geometry.outline import Outline, Point
from mounts.identity import Ident, Role
from mounts.shape.primitives import Section


@dataclass(frozen=True, slots=True)
class Recess:
    """Round room on the mount's back for what stands proud of the face, `depth` deep from the face."""

    diameter: float
    depth: float


@dataclass(frozen=True, slots=True)
class Fixing:
    """One place where the ring is screwed to the panel.

    Attributes:
        name: as the panel names it.
        at: centre on the face.
        step: height of the face there above the face at the opening; the underside steps up by it.
        hole: diameter through the base.
        washer: diameter that bears on the base, of the washer or of the bare head.
        sink: diameter of the countersink at the seat, 0 for a head that stands on it.
        head_top: z of the screw head's top.
        seat: z of the face that the washer bears on.
        path: diameter of the straight tool path above the seat.
        relief: outline of the tool path, opened outward where a wall outside it would be thin.
        disc: diameter of the base round the hole.
        recess: room for the hardware's flange at the back, None where nothing stands proud.
    """

    name: str
    at: Point
    step: float
    hole: float
    washer: float
    sink: float
    head_top: float
    seat: float
    path: float
    relief: Outline
    disc: float
    recess: Recess | None

    @property
    def roof(self) -> float:
        """Material between washer, or countersink, and recess, or face where there is none, mm."""
        return self.seat - self.sink_depth - self.step - (self.recess.depth if self.recess else 0.0)

    @property
    def sink_depth(self) -> float:
        """Depth of the 90° countersink, from the seat to where it meets the hole, mm."""
        return max(0.0, (self.sink - self.hole) / 2)

    @property
    def flange(self) -> Ident:
        """Identity of the hardware's flange on the face."""
        return Ident(Role.HARDWARE, self.name, f"flange of hardware {self.name}")


@dataclass(frozen=True, slots=True)
class FixingPlace:
    """One fixing as its screw meets it.

    Attributes:
        name: name of the fixing.
        at: its centre on the face.
        face: height of the face there.
        seat: z of the face that the washer or head bears on.
        recess: depth of the room for the hardware's flange.
        hole: diameter of the hole as it comes out.
        bears: diameter of what bears on the base: washer, bare head, or countersink.
        sink_depth: depth of the countersink.
        path: diameter of the tool path; None on a flat ring, which has none.
    """

    name: str
    at: Point
    face: float
    seat: float
    recess: float
    hole: float
    bears: float
    sink_depth: float
    path: float | None

    @property
    def roof(self) -> float:
        """Material under the washer, mm."""
        return self.seat - self.sink_depth - self.face - self.recess


@dataclass(frozen=True, slots=True)
class Nut:
    """Room for a nut on a through bolt: round, `diameter` across, from the back up to `bears` along the seat's z."""

    diameter: float
    bears: float


@dataclass(frozen=True, slots=True)
class SpeakerScrew:
    """One speaker screw: a pocket along the speaker's axis from the seat down.

    Attributes:
        name: number, clockwise from the speaker's own 12:00.
        at: centre on the seat.
        hole: diameter of the pocket.
        depth: depth of the pocket below the seat; for a through bolt, as far as its nut.
        wall: least material that the fastener asks for round the hole.
        nut: for a through bolt, else None.
    """

    name: str
    at: Point
    hole: float
    depth: float
    wall: float
    nut: Nut | None = None

    @property
    def boss(self) -> float:
        """Diameter of hole and wall together, mm."""
        return self.hole + 2 * self.wall


@dataclass(frozen=True, slots=True)
class RingSeat:
    """Seat of the speaker's flange.

    Attributes:
        frame: origin at the seat's centre, z along the speaker's axis, axes by the least rotation from the panel's.
        tilt, toward: angle of the axis from the panel's z, and the clock direction that it leans to.
        turn: the speaker about its axis, clockwise from the front.
        outline: outline of the seat's face before its edge is broken.
        edge: width of the broken edge.
        flange: the speaker's flange.
        cutout: the hole that the speaker's maker asks for.
        bore: bore of the ring at the seat.
        straight: how far the bore goes down along the axis before it opens.
        band: how far the tower goes down along the axis before it leans to its foot.
        lift: height of the speaker above the seat on its squeezed gasket.
        stops: centres of the round hard stops beside the screws, `lift` high.
        stop: their diameter.
        screws: screws of the speaker.
        let_in: outline that the flange is let into, None unless flush or under a collar.
        rim: height above the seat of what stands round a flange that is let in; 0 without.
        gasket: outline of the shallow bed, `lift` deep, of the gasket under a flange that is let in, else None.
    """

    frame: Frame
    tilt: float
    toward: float
    turn: float
    outline: Outline
    edge: float
    flange: Outline
    cutout: Outline
    bore: Outline
    straight: float
    band: float
    lift: float
    stops: tuple[Point, ...]
    stop: float
    screws: tuple[SpeakerScrew, ...]
    let_in: Outline | None = None
    rim: float = 0.0
    gasket: Outline | None = None


@dataclass(frozen=True, slots=True)
class Groove:
    """Groove in the base's back, from the face up; open to the bore where it has no inside."""

    inside: Outline | None
    outside: Outline
    depth: float


@dataclass(frozen=True, slots=True)
class FaceStep:
    """Step of the underside where the face is higher."""

    name: str
    outline: Outline
    height: float


@dataclass(frozen=True, slots=True)
class Base:
    """The flat part on the face.

    Attributes:
        outline: outline at its widest.
        thickness: z of its top.
        edge, chamfer: broken edge above, first-layer chamfer below; widths.
        opening: the panel's opening.
        seal: groove for the base gasket, None without one.
        bead: room for a raised bead round the opening, None without one.
        steps: where the underside steps up.
    """

    outline: Outline
    thickness: float
    edge: float
    chamfer: float
    opening: Outline
    seal: Groove | None
    bead: Groove | None
    steps: tuple[FaceStep, ...]


def base_profile(base: Base) -> tuple[tuple[float, float], ...]:
    """Return the base's side from the face up as (height, offset) mm: first-layer chamfer and broken edge."""
    return (
        (0.0, -base.chamfer),
        (base.chamfer, 0.0),
        (base.thickness - base.edge, 0.0),
        (base.thickness, -base.edge),
    )


@dataclass(frozen=True, slots=True)
class Tower:
    """Tower that carries the seat: ruled from its foot in the base to the seat, with the bore ruled inside it.

    Attributes:
        foot: outline of the tower where it stands in the base.
        mouth: outline of the bore at the face.
        throat: height up to which the bore keeps the mouth's outline, so that the gasket groove's lip stays whole.
        outside: sections from the foot up: foot, band, seat or rim, and its broken edge or the collar's rim; matched.
        inside: sections of the bore from the face up: mouth, throat, where it becomes straight, seat; matched.
        wall: least distance between the two surfaces.
    """

    foot: Outline
    mouth: Outline
    throat: float
    outside: tuple[Section, ...]
    inside: tuple[Section, ...]
    wall: float


@dataclass(frozen=True, slots=True)
class Collar:
    """Collar: a wall that goes on from the seat up to the trim.

    Attributes:
        rim: frame in the plane of the collar's rim, parallel to the trim, origin at the trim opening's centre.
        inside, outside: outlines of the wall at the rim, in that frame.
        gap: distance from the rim to the trim, for foam.
    """

    rim: Frame
    inside: Outline
    outside: Outline
    gap: float


@dataclass(frozen=True, slots=True)
class Relief:
    """Room for a terminal in the bore's wall: an outline in the seat's frame, from `top` along z to the back."""

    outline: Outline
    top: float


@dataclass(frozen=True, slots=True)
class WirePassage:
    """Round passage for the wire from the bore to the outside, along the frame's z."""

    frame: Frame
    diameter: float
    length: float
