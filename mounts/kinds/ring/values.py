"""Plan of a ring as a value, printed or cut from sheet: its pieces, and what is asked of any ring by one name."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from mounts.design.choice import Choice
from mounts.design.drawing import Drawing
from mounts.design.lettering import Label
from mounts.findings.wall import Wall
from mounts.geometry.hull import hull
from mounts.geometry.outline import Outline, Point
from mounts.identity import Ident, Role
from mounts.kinds.ring.halves.values import Split
from mounts.kinds.ring.pieces import (
    Base,
    Collar,
    Fixing,
    FixingPlace,
    Groove,
    Relief,
    RingSeat,
    SpeakerScrew,
    Tower,
    WirePassage,
)
from mounts.lengths import Units

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
