"""Plan of a ring as values. Places on the base are in the panel frame, places on the seat in the seat's.

Split of a ring as values: the laps at which its halves meet, decided once for both, in the panel frame.

Seen from outside, across a lap, from half a on the left to half b on the right:

             ____________  seat
        a   | b   :      |        b's tongue lies on a's: put together from the front, screwed from the front
     _______|_____:      |
    |       :_____|______|  level
    |       :     |   b  |
    |___a___:_____|______|  face
            <-long->
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from mounts.design.choice import Choice
from mounts.design.drawing import Drawing
from mounts.design.lettering import Label
from mounts.findings.wall import Wall
from mounts.geometry.frames import Frame
from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline, Point
from mounts.identity import Ident, Role
from mounts.lengths import Units
from mounts.shape.primitives import Section


@dataclass(frozen=True, slots=True)
class LapScrew:
    """One screw of a lap, upright: from under the flange through b's tongue into a's.

    Attributes:
        name: number.
        at: its place.
        head, seat: diameter of the room for its head, and z of the face that the head bears on.
        clear: diameter of the hole in b's tongue.
        thread, bottom: diameter of the pocket in a's tongue, and z of its end.
        length: of the screw.
        engaged: thread that holds it.
        wall: least material that the fastener asks for.
        boss: diameter of the column round it, from the base to under the head, where the tower's wall leans in.
    """

    name: str
    at: Point
    head: float
    seat: float
    clear: float
    thread: float
    bottom: float
    length: float
    engaged: float
    wall: float
    boss: float


@dataclass(frozen=True, slots=True)
class Lap:
    """One lap: its direction from the centre, degrees counter-clockwise from +x, and its screws."""

    angle: float
    screws: tuple[LapScrew, ...]


@dataclass(frozen=True, slots=True)
class Split:
    """A ring in two.

    Attributes:
        laps: half b follows the first counter-clockwise as far as the second, half a the second.
        level: z at which the tongues meet.
        long: from the end of one tongue to the end of the other, along the ring.
        gap: between the halves, on every face of a lap.
        genus: through holes of half a, of half b, and of the whole.
        turns: of half a and half b on the bed, degrees counter-clockwise.
        sizes: width and depth of either half, turned so.
    """

    laps: tuple[Lap, Lap]
    level: float
    long: float
    gap: float
    genus: tuple[int, int, int]
    turns: tuple[float, float]
    sizes: tuple[Point, Point]

    @property
    def screws(self) -> tuple[LapScrew, ...]:
        """Screws of both laps."""
        return (*self.laps[0].screws, *self.laps[1].screws)


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


Cut = tuple[float, float, float, float]  # (x, y, diameter, depth from the face)
Stage = tuple[float, float, float]  # (area, from z, to z)


@dataclass(frozen=True, slots=True)
class RingPlan:
    """A ring for one side of the vehicle, every dimension decided.

    What is asked of any ring, printed or cut, has the same name on a `FlatPlan`.

    Attributes:
        name: job and side, ASCII, for files and the STEP.
        side: "left" or "right".
        walls: every wall that can be thin, as thick as it comes out.
        least_height: lowest seat at this tilt.
        genus: through holes that the finished part must have.
        paper: the base at 1:1, for the template.
        split: how it is made in two, None for a ring in one.
        half: "a" or "b" of such a ring, "" for the whole.
        choice: why the seat is where it is, None where the job gave its place.
    """

    name: str
    side: str
    base: Base
    fixings: tuple[Fixing, ...]
    seat: RingSeat
    tower: Tower
    collar: Collar | None
    terminals: tuple[Relief, ...]
    wire: WirePassage | None
    labels: tuple[Label, ...]
    walls: tuple[Wall, ...]
    least_height: float
    genus: int
    paper: Drawing
    split: Split | None = None
    half: str = ""
    choice: Choice | None = None
    through: ClassVar[bool] = False  # whether every speaker screw goes right through

    @property
    def thickness(self) -> float:
        """Thickness of the base, mm."""
        return self.base.thickness

    @property
    def footprint(self) -> Outline:
        """Outside of what lies on the face, at its widest."""
        return self.base.outline

    @property
    def mouth(self) -> Outline:
        """Outline of the opening in the face: the bore, and the rooms for terminals as they come out along the axis."""
        (x, y, z), (nx, ny, nz) = self.seat.frame.origin, self.seat.frame.z
        reliefs = (relief.outline.moved(x - nx * z / nz, y - ny * z / nz) for relief in self.terminals)
        return hull([self.tower.mouth, *reliefs])

    @property
    def seal(self) -> Groove | None:
        """Groove for the base gasket."""
        return self.base.seal

    @property
    def grooves(self) -> tuple[Groove, ...]:
        """Every groove in the back, from the opening on where it has no inside of its own."""
        found = (groove for groove in (self.base.seal, self.base.bead) if groove)
        return tuple(replace(groove, inside=groove.inside or self.base.opening) for groove in found)

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """Round holes in the base, right through or from the back."""
        through = [(*one.at, one.hole, self.base.thickness) for one in self.fixings]
        back = [(*one.at, one.recess.diameter, one.recess.depth + one.step) for one in self.fixings if one.recess]
        return (*through, *back)

    @property
    def stages(self) -> tuple[Stage, ...]:
        """Material from the face up, nearly: base, tower, collar."""
        seat, top = self.seat, self.seat.frame.origin[2]
        base = (self.base.outline.area - self.tower.mouth.area, 0.0, self.base.thickness)
        tower = (seat.outline.area - seat.bore.area, self.base.thickness, top)
        if self.collar is None:
            return (base, tower)
        return (base, tower, (self.collar.outside.area - self.collar.inside.area, top, self.collar.rim.origin[2]))

    def places(self, growth: float) -> tuple[FixingPlace, ...]:
        """Return the fixings as their screws meet them, their holes smaller than drawn by `growth` mm."""
        return tuple(
            FixingPlace(
                name=one.name,
                at=one.at,
                face=one.step,
                seat=one.seat,
                recess=one.recess.depth if one.recess else 0.0,
                hole=one.hole - growth,
                bears=one.sink or one.washer,
                sink_depth=one.sink_depth,
                path=one.path,
            )
            for one in self.fixings
        )

    def thread_room(self, screw: SpeakerScrew) -> float:
        """Return the depth below the seat for a speaker screw's thread, mm."""
        return screw.depth

    def thickened(self, thickness: float) -> RingPlan:
        """Return the plan with a base of another thickness, nothing else planned again."""
        return replace(self, base=replace(self.base, thickness=thickness))

    def thickness_key(self, thickness: float, units: Units) -> str:
        """Return the YAML by which a job asks for a base of that thickness."""
        return f"limits: {{base: {units.key(thickness, up=True)}}}"


@dataclass(frozen=True, slots=True)
class Hole:
    """Round hole through a flat ring, for a fixing or a speaker screw."""

    ident: Ident
    at: Point
    diameter: float


@dataclass(frozen=True, slots=True)
class FlatPlan:
    """A ring cut from sheet.

    Attributes:
        outline: outside.
        bore: bore for the speaker.
        holes: holes for fixings and speaker screws.
        seat: the speaker's place, on the sheet's front.
        sheet: thickness.
        washer: diameter that bears on the sheet, of the washer or of the bare head.
        paper: the cutting drawing, also the template.
    """

    name: str
    side: str
    outline: Outline
    bore: Outline
    holes: tuple[Hole, ...]
    seat: RingSeat
    sheet: float
    washer: float
    genus: int
    paper: Drawing
    through: ClassVar[bool] = True
    tower: ClassVar[None] = None
    collar: ClassVar[None] = None
    wire: ClassVar[None] = None
    split: ClassVar[None] = None
    seal: ClassVar[None] = None
    terminals: ClassVar[tuple[Relief, ...]] = ()
    walls: ClassVar[tuple[Wall, ...]] = ()
    grooves: ClassVar[tuple[Groove, ...]] = ()

    @property
    def thickness(self) -> float:
        """Thickness of the sheet, mm."""
        return self.sheet

    @property
    def footprint(self) -> Outline:
        """Outline of what lies on the face."""
        return self.outline

    @property
    def mouth(self) -> Outline:
        """Outline of the opening on the face."""
        return self.bore

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """Holes of the sheet."""
        return tuple((*hole.at, hole.diameter, self.sheet) for hole in self.holes)

    @property
    def stages(self) -> tuple[Stage, ...]:
        """The sheet as the one stage of material."""
        return ((self.outline.area - self.bore.area, 0.0, self.sheet),)

    def places(self, growth: float) -> tuple[FixingPlace, ...]:
        """Return the fixings as their screws meet them, their holes smaller than drawn by `growth` mm."""
        held = (hole for hole in self.holes if hole.ident.role is Role.HOLE)
        return tuple(
            FixingPlace(one.ident.name, one.at, 0.0, self.sheet, 0.0, one.diameter - growth, self.washer, 0.0, None)
            for one in held
        )

    def thread_room(self, screw: SpeakerScrew) -> float:
        """Return the sheet's thickness, mm, which is all the room for a speaker screw's thread."""
        return self.sheet

    def thickened(self, thickness: float) -> FlatPlan:
        """Return the plan in a sheet of another thickness, nothing else planned again."""
        return replace(self, sheet=thickness)

    def thickness_key(self, thickness: float, units: Units) -> str:
        """Return the YAML by which a job asks for a sheet of that thickness."""
        return f"sheet: {units.key(thickness, up=True)}"


Ring = RingPlan | FlatPlan
