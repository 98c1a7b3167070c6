"""Plan of a cup as values: every dimension decided.

Datum: z = 0 is the panel's rear face, on which the plate lies; the cup is at z ≤ 0 and the iron comes from −z. Places
on the plate are in the panel frame, places on the seat in the seat's, whose z is the tweeter's axis.

         rear face of the panel   z = 0
    ▄▄▄▄▄▄▄▄▄▄      ▄▄▄▄▄▄▄▄▄▄    plate, pins through it
     ▀▀ █ █▄▄ room ▄▄█ █ ▀▀       seats under the heads, room for the flange
         ▀█ █▄seat▄█ █▀           wells for the iron
           ▀█ bore █▀             ribs, back on the bed

Heat staking: the plastic that stands out of the seat is what the head is made of.

Volume in is volume out: a pin's section times what protrudes equals the head's volume. Heads are a dome (spherical
cap), flat (disc) or hollow (ring round a hollow pin's hole). D is the pin's diameter.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asinh, floor, hypot, pi, sinh
from typing import Literal

from mounts.design.drawing import Drawing
from mounts.design.lettering import Label
from mounts.findings.wall import Wall
from mounts.geometry.frames import Frame
from mounts.geometry.outline import Outline, Point, circle
from mounts.geometry.ties import keeps
from mounts.identity import Ident, Role, called
from mounts.load.models.pins import Pin

Way = Literal["grille", "cup"]  # of the tweeter: through the grille's opening, or with the cup
Form = Literal["dome", "flat", "hollow"]
DOME = 0.345  # of its base: height of a standard dome, 0.69 D on 2 D, which 1.6 D of a round pin fills (staking sheets)
FLAT = 0.2  # of its diameter: height of a flat head, 0.4 D on 2 D, which 1.6 D of a round pin fills
RATIOS = tuple(2.0 - 0.05 * k for k in range(11))  # head diameters that are tried, in D, the widest first
SOURCE = "staking guides: the pin that protrudes fills the head, 1.5 to 2 D across"
FILLET, CUP_ROOM = called(Role.PIECE, "fillet"), called(Role.CUT, "room")
MOUTH = 0.4  # mm, chamfer at the mouth of each pin's hole
FLOOR_PART = 0.5  # mm of a closed bore with a name of their own, so that its floor differs from its wall
FIRST_LUG = 30.0  # degrees in the seat's frame at which the first lug stands
NUT_ROOM, BOTTOM = Ident(Role.CUT, "nut", "nut room"), called(Role.CUT, "bottom")


@dataclass(frozen=True, slots=True)
class Head:
    """A head formed of a pin.

    Attributes:
        form: dome, flat or hollow.
        diameter: its greatest.
        height: above the seat.
    """

    form: Form
    diameter: float
    height: float


def cap_volume(base: float, height: float) -> float:
    """Return the volume of a spherical cap on a base of a diameter, mm³: π h (3 r² + h²) / 6."""
    return pi * height * (3 * (base / 2) ** 2 + height**2) / 6


def cap_height(base: float, volume: float) -> float:
    """Return the height of a spherical cap by volume and base diameter: the real root of h³ + 3 r² h = 6 V / π."""
    r = base / 2
    return 2 * r * sinh(asinh(3 * volume / (pi * r**3)) / 3)


def ring_volume(outside: float, height: float, inside: float = 0.0) -> float:
    """Return the volume of a disc, or of a ring with a hole, mm³."""
    return pi / 4 * (outside**2 - inside**2) * height


def head_volume(head: Head, pin: Pin) -> float:
    """Return the volume of a head on a pin, mm³; a hollow head keeps the pin's hole."""
    if head.form == "dome":
        return cap_volume(head.diameter, head.height)
    return ring_volume(head.diameter, head.height, (pin.hole or 0.0) if head.form == "hollow" else 0.0)


def standard_head(pin: Pin, form: Form, ratio: float) -> Head:
    """Return the head that guides call standard, `ratio` D across."""
    across = ratio * pin.diameter
    return Head(form, across, across * (DOME if form == "dome" else FLAT))


def formed_head(pin: Pin, form: Form, ratio: float, protrusion: float) -> Head:
    """Return the head that a protruding length of the pin gives under a tip `ratio` D across."""
    across, volume = ratio * pin.diameter, pin.section * protrusion
    if form == "dome":
        return Head(form, across, cap_height(across, volume))
    return Head(form, across, volume / ring_volume(across, 1.0, (pin.hole or 0.0) if form == "hollow" else 0.0))


def needed_protrusion(pin: Pin, form: Form, ratio: float) -> float:
    """Return how far the pin must stand out of its seat to fill the standard head."""
    return head_volume(standard_head(pin, form, ratio), pin) / pin.section


def seat_under(pin: Pin, protrusion: float, layer: float) -> float:
    """Return the greatest thickness under the head, in whole layers, that lets so much of the pin protrude."""
    return floor((pin.height - protrusion) / layer + 1e-6) * layer


@dataclass(frozen=True, slots=True)
class Stake:
    """One pin in the plate.

    Attributes:
        name: as the panel names it.
        at: centre on the face.
        role: "locator", "slot" or "clearance".
        hole: outline of its hole in the panel frame.
        width: width across the hole, its diameter when round.
        gap: a side, between pin and hole, across.
        way: of a slot, free way along it, each side; 0 for a round hole.
        seat: thickness of the plate under the head.
        protrudes: length of the pin behind the seat, once cut.
        cut: length to cut off the pin first; 0 for none.
        head: that the protruding length gives.
        wanted: the standard head.
        well: diameter of the room for head and iron.
        relief: outline of that room, opened outward.
        corner: centre and diameter of the plate's corner round the pin.
    """

    name: str
    at: Point
    role: str
    hole: Outline
    width: float
    gap: float
    way: float
    seat: float
    protrudes: float
    cut: float
    head: Head
    wanted: Head
    well: float
    relief: Outline
    corner: tuple[Point, float]

    @property
    def length(self) -> float:
        """Greatest width of the hole, mm."""
        return self.width + 2 * self.way

    @property
    def pin_head(self) -> Ident:
        """Identity of the head that the pin gets."""
        return Ident(Role.HEAD, self.name, f"head {self.name}")


@dataclass(frozen=True, slots=True)
class Press:
    """Crush ribs round the body, and what keeps the flange once they have relaxed.

    Attributes:
        ribs: their number.
        body: diameter that they grip.
        fit: interference on the diameter.
        growth: by which the tips are drawn wider apart so that they come out true.
        tip: diameter of a rib's round tip.
        lead: how far under the seat the ribs have grown to full height.
        ribbed: outline of the bore with its ribs.
        lugs: number of lugs over the flange, 0 for a lip all round.
        over: how far lip or lugs reach over the flange's edge.
        under: level over the seat at which they begin.
        thick: their thickness along the axis, before the slope that lets the flange in.
        slope: length of that slope along the axis.
        past: outline that passes lip and lugs.
        free: outline that they leave free; for lugs with the gaps between them.
        width: angular width of a lug, degrees; 360 for a lip.
    """

    ribs: int
    body: float
    fit: float
    growth: float
    tip: float
    lead: float
    ribbed: Outline
    lugs: int
    over: float
    under: float
    thick: float
    slope: float
    past: Outline
    free: Outline
    width: float

    @property
    def inside(self) -> float:
        """Diameter that the ribs' tips leave free, as it is drawn, mm."""
        return self.body - self.fit + self.growth


@dataclass(frozen=True, slots=True)
class SeatScrew:
    """One screw of the flange: a pocket along the tweeter's axis from the seat down, with `wall` round it."""

    name: str
    at: Point
    hole: float
    depth: float
    wall: float


@dataclass(frozen=True, slots=True)
class CupSeat:
    """Seat of the tweeter's flange, and the outlines that are cut for it.

    Attributes:
        frame: origin at the seat's centre, z along the tweeter's axis.
        tilt, toward: angle of the axis from the panel's z, and the clock direction that it leans to.
        turn: the tweeter about its axis, clockwise from the front.
        flange: outline of the tweeter's flange.
        room: outline of the room for it, from the seat to the front.
        bore: outline of the bore behind the seat, between its ribs.
        grip: how far the bore goes on behind the seat: as far as ribs, screws or nut need.
        screws: screws of the flange.
        press: None for another retention.
        nut: diameter of the room for a ring nut or spring clip, from `grip` on to the back; None without one.
    """

    frame: Frame
    tilt: float
    toward: float
    turn: float
    flange: Outline
    room: Outline
    bore: Outline
    grip: float
    screws: tuple[SeatScrew, ...]
    press: Press | None
    nut: float | None

    def nut_room(self, depth: float) -> Outline | None:
        """Return the outline of the nut's room, cut from a back at `depth`; None where a nut bears on the back."""
        if self.nut is None:
            return None
        highest = self.frame.origin[2] - self.grip * self.frame.z[2] + lean(self.frame) * self.nut / 2
        return None if keeps(highest, -depth) else circle(self.nut)


@dataclass(frozen=True, slots=True)
class CupLevel:
    """An outline of the cup's outside at a height z."""

    z: float
    outline: Outline


@dataclass(frozen=True, slots=True)
class Fillet:
    """The rounded way from the hub's side to the flare behind the plate.

    Attributes:
        radius: where hub and flare meet most sharply, gentler elsewhere; 0 for none. A drawing gives it as a radius.
        low, high: levels between which it is.
    """

    radius: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Back:
    """A closed back.

    Attributes:
        floor: its thickness.
        bottom: how far behind the seat the bore goes, along the axis.
        vent: place and diameter of the vent.
        wire: place and diameter of the wire's hole; None without one.
        rise: by which the floor's top rises from its lowest to its highest place.
    """

    floor: float
    bottom: float
    vent: tuple[Point, float]
    wire: tuple[Point, float] | None
    rise: float


@dataclass(frozen=True, slots=True)
class Notch:
    """An open notch in the back's rim for the wire: an outline round the rim, cut out along the frame's z."""

    frame: Frame
    outline: Outline
    length: float


@dataclass(frozen=True, slots=True)
class CupPlan:
    """A cup for one side of the vehicle, every dimension decided.

    Attributes:
        name: job and side, ASCII, for files and the STEP.
        side: "left" or "right".
        stakes: one for each pin.
        thickness: thickness of the plate.
        edge: width of the plate's broken edge.
        mouth: chamfer at the mouth of each hole.
        way: "grille" where the tweeter goes in and out through its opening once the cup is staked, "cup" where it goes
            into the cup before that and comes out with it.
        levels: outside, from the back to the plate's front, matched span to span.
        fillet: those of them that are the fillet.
        depth: depth of the back behind the face.
        back: None for an open one.
        wire: None for none, or where the wire goes through a closed back.
        walls: every wall that can be thin.
        genus: through holes that the finished part must have.
        paper: the plate at 1:1.
    """

    name: str
    side: str
    stakes: tuple[Stake, ...]
    thickness: float
    edge: float
    mouth: float
    seat: CupSeat
    way: Way
    levels: tuple[CupLevel, ...]
    fillet: Fillet
    depth: float
    back: Back | None
    wire: Notch | None
    labels: tuple[Label, ...]
    walls: tuple[Wall, ...]
    genus: int
    paper: Drawing

    @property
    def outline(self) -> Outline:
        """Outline of the plate at its widest."""
        return self.levels[-2].outline


def split_levels(levels: tuple[CupLevel, ...], fillet: Fillet) -> tuple[tuple[CupLevel, ...], ...]:
    """Return the levels of hub, fillet and plate, each beginning where the last one ends; or all as one."""
    if fillet.radius <= 0:
        return (levels,)
    first, last = (min(range(len(levels)), key=lambda k: abs(levels[k].z - z)) for z in (fillet.low, fillet.high))
    return (levels[: first + 1], levels[first : last + 1], levels[last:])


def on_axis(frame: Frame, z: float) -> Point:
    """Return the point where a frame's z axis passes a height."""
    along = (z - frame.origin[2]) / frame.z[2]
    return (frame.origin[0] + along * frame.z[0], frame.origin[1] + along * frame.z[1])


def lean(frame: Frame) -> float:
    """Return the sine of the angle between a frame's z and the panel's."""
    return hypot(*frame.z[:2])
