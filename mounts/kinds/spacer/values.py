"""Plan of a spacer as values: every dimension decided.

Panel frame: the face is z = 0, the cabin lies towards +z, the opening's centre is the origin; behind the face z < 0.
Outlines lie level.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from mounts.design.drawing import Drawing
from mounts.design.fits import Fit
from mounts.findings.wall import Wall
from mounts.geometry.outline import Outline, Point
from mounts.identity import Ident, Role, called

Hold = Literal["ribs", "wall"]
Level = tuple[float, Outline]  # height, and the outline there

LIP, PASSAGE = called(Role.PIECE, "lip"), Ident(Role.PASSAGE)
CABLE, OVERMOULD = called(Role.DEVICE, "cable"), Ident(Role.DEVICE, "plug", "plug's overmould")
BEHIND = Ident(Role.END, "behind", "what is behind")


@dataclass(frozen=True, slots=True)
class Rib:
    """A crush rib: a round back of `diameter` whose tip bites into what it presses on.

    Attributes:
        name: such as "rib 1".
        at: place on what is pressed, at the height of the face, that the tip bites into.
        angle: in which the tip points, degrees counter-clockwise from +x.
        diameter: of its back.
        bite: nominal interference of the tip, mm.
        centre: of its back at the face's height, as drawn.
        bottom, top: where it begins and ends.
        lead: height of the slope at its bottom along which it rises; 0 in a bore.
        sunk: how far the slope's lower end lies behind the tip, mm.
    """

    name: str
    at: Point
    angle: float
    diameter: float
    bite: float
    centre: Point
    bottom: float
    top: float
    lead: float
    sunk: float


@dataclass(frozen=True, slots=True)
class Outside:
    """The sleeve's outside, in the panel's opening.

    Attributes:
        opening: as measured, at the face.
        taper: of the opening, degrees a side; it narrows behind.
        wall: the sleeve's own outline at the face, its edges unbroken.
        levels: outlines from the back to where the sleeve ends in front.
        fit: of its wall in the opening.
        hold: what holds it there: ribs or the wall.
        contact: height over which the panel touches it, mm.
        ribs: towards the panel.
    """

    opening: Outline
    taper: float
    wall: Outline
    levels: tuple[Level, ...]
    fit: Fit
    hold: Hold
    contact: float
    ribs: tuple[Rib, ...]

    @property
    def back(self) -> float:
        """z of the sleeve's rear end, mm."""
        return self.levels[0][0]

    @property
    def pressing(self) -> Fit:
        """Fit of what presses on the panel: the ribs' tips, or the wall."""
        return _pressing(self.fit, self.ribs)


@dataclass(frozen=True, slots=True)
class SleeveLip:
    """The collar on the face: its levels from the face to the front, and its reach past the opening, mm.

    `thickness` is that of its flat part and its broken edge together.
    """

    levels: tuple[Level, ...]
    reach: float
    thickness: float


@dataclass(frozen=True, slots=True)
class Bore:
    """The hole for the device.

    Attributes:
        device: the body's outline as measured, in its place.
        outline: of the bore, without ribs.
        ribbed: the same with its ribs; equal where there are none.
        levels: of all that is cut, rising: passage and seat where there is a stop, then the bore, and without ribs its
            mouth; with ribs, which are short, it is wider by a little below them.
        mouth: levels of the chamfer at its front.
        front, back: z of its ends: the sleeve's front, and the seat or the sleeve's rear end.
        below: z at which its ribs end; the back where there are none.
        device_front, device_back: z of the device's ends.
        fit: of the device in it.
        hold: ribs or wall.
        contact: height over which it holds the device.
        ribs: towards the device.
    """

    device: Outline
    outline: Outline
    ribbed: Outline
    levels: tuple[Level, ...]
    mouth: tuple[Level, ...]
    front: float
    back: float
    below: float
    device_front: float
    device_back: float
    fit: Fit
    hold: Hold
    contact: float
    ribs: tuple[Rib, ...]

    @property
    def pressing(self) -> Fit:
        """Fit of what presses on the device: the ribs' tips, or the wall."""
        return _pressing(self.fit, self.ribs)


def _pressing(wall: Fit, ribs: tuple[Rib, ...]) -> Fit:
    return replace(wall, word="press", clearance=-2 * ribs[0].bite) if ribs else wall


@dataclass(frozen=True, slots=True)
class Stop:
    """The shoulder behind the device, on a seat of 45 degrees, so that it prints without support.

    Attributes:
        passage: what is left open for cable and plug.
        reach: how far it reaches in under the device, a side.
        behind: material behind the seat's lower edge.
    """

    passage: Outline
    reach: float
    behind: float


@dataclass(frozen=True, slots=True)
class Bump:
    """The ridge behind the panel that keeps the sleeve from coming out.

    Attributes:
        levels: rising: lead-in, crest, flank of 45 degrees.
        reach: how far its crest stands behind the opening's edge, a side, nominal.
        height: over the sleeve's wall.
        root: its height along the axis where it joins the wall.
    """

    levels: tuple[Level, ...]
    reach: float
    height: float
    root: float


@dataclass(frozen=True, slots=True)
class Slit:
    """A slit through the wall, or the plane that parts two halves.

    Attributes:
        clock: direction in which it is open, from the device's centre.
        at: the device's centre.
        width: of the slit, or of the gap between the halves.
        outline: what is cut away.
        half: "a" or "b" where the sleeve comes in halves; else None.
    """

    clock: float
    at: Point
    width: float
    outline: Outline
    half: Literal["a", "b"] | None


@dataclass(frozen=True, slots=True)
class SpacerPlan:
    """Every dimension of one spacer, or of one half of it.

    Attributes:
        name: job and part, ASCII.
        side: "" for a whole sleeve, "a" or "b" for a half.
        front: z of its front.
        wall: least wall between outside and bore, mm, and the place on the bore.
        walls: with their limits.
        genus: through holes: one, or none once it is slit.
        paper: the 1:1 template.
    """

    name: str
    side: str
    front: float
    outside: Outside
    lip: SleeveLip | None
    bore: Bore
    stop: Stop | None
    bump: Bump | None
    slit: Slit | None
    wall: float
    walls: tuple[Wall, ...]
    genus: int
    paper: Drawing
