"""Plan of a board as values: every dimension decided. The floor lining is z = 0; seen from above, +x right, +y up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mounts.design.drawing import Drawing
from mounts.findings.wall import Wall
from mounts.geometry.outline import Outline, Point
from mounts.identity import Ident, Role, called

Level = tuple[float, Outline]  # height, and the outline there
ABOVE, BOARD = Ident(Role.OVER, "", "what is above"), called(Role.PLATE, "board")
BOARD_EDGE, SCREW_HOLE = Ident(Role.EDGE, "board", "the board's edge"), Ident(Role.HOLE, "screw", "screw hole")


@dataclass(frozen=True, slots=True)
class PlugRoom:
    """Room that plugs need beside a device: its identity and its outline."""

    ident: Ident
    outline: Outline


@dataclass(frozen=True, slots=True)
class Stand:
    """A device in its place.

    Attributes:
        name: as the job calls it.
        at: its body's centre.
        outline, body: seen from above, with and without its ears.
        bottom, top: z of its underside and of its top.
        ears: z of its ears' upper side, where the screw heads bear.
        plugs: rooms beside it.
    """

    name: str
    at: Point
    outline: Outline
    body: Outline
    bottom: float
    top: float
    ears: float
    plugs: tuple[PlugRoom, ...]

    @property
    def ident(self) -> Ident:
        """Identity of the device."""
        return called(Role.DEVICE, self.name)


@dataclass(frozen=True, slots=True)
class Spot:
    """A device screw's hole in the board.

    Attributes:
        name: device and hole, such as "amp 1".
        device: its name.
        at: centre.
        hole: diameter right through.
        pocket: (diameter, depth) for an insert set from below, which the screw cannot pull out upward; None without.
        path: diameter of the straight tool from above.
        disc: diameter of what the screw needs round it in the board.
    """

    name: str
    device: str
    at: Point
    hole: float
    pocket: tuple[float, float] | None
    path: float
    disc: float

    @property
    def through(self) -> Ident:
        """Identity of the hole."""
        return Ident(Role.HOLE, f"device.{self.name}", f"hole {self.name}")

    @property
    def insert(self) -> Ident:
        """Identity of the pocket."""
        return Ident(Role.INSERT, self.name)


@dataclass(frozen=True, slots=True)
class Foot:
    """A stand-off foot.

    Attributes:
        at: centre.
        diameter: of its lower end, its broken edge not counted.
        hole: diameter through the board for its screw; 0 where it is printed with the board.
        head: diameter of the screw's head.
        sunk: whether that head is countersunk into the board.
    """

    name: str
    at: Point
    diameter: float
    hole: float = 0.0
    head: float = 0.0
    sunk: bool = False

    @property
    def ident(self) -> Ident:
        """Identity of the foot."""
        return called(Role.FOOT, self.name)

    @property
    def screw(self) -> Ident:
        """Identity of the hole for its screw."""
        return Ident(Role.HOLE, self.name, f"hole {self.name}")


@dataclass(frozen=True, slots=True)
class Slot:
    """A cable passage.

    Attributes:
        outline: between its rounded edges.
        radius: of both edges; where the board is cut they are rounded by hand.
        levels: of all that is cut, rising; an upright slot where the board is cut.
    """

    name: str
    outline: Outline
    radius: float
    levels: tuple[Level, ...]

    @property
    def ident(self) -> Ident:
        """Identity of the passage."""
        return called(Role.PASSAGE, self.name)


@dataclass(frozen=True, slots=True)
class BoardPlan:
    """Every dimension of a board.

    Attributes:
        name: job and part, ASCII.
        side: none.
        make: cut or print.
        outline: of the board itself.
        finished: with its carpet on, or the same.
        fold: how far the carpet is folded back below, seen from above; None without.
        bottom, top: z of its faces.
        levels: of the printed plate, rising, its edges broken; upright where it is cut.
        genus: through holes.
        paper: the 1:1 template, which is the cutting drawing as well.
    """

    name: str
    side: Literal[""]
    make: Literal["cut", "print"]
    outline: Outline
    finished: Outline
    fold: Outline | None
    bottom: float
    top: float
    levels: tuple[Level, ...]
    stands: tuple[Stand, ...]
    spots: tuple[Spot, ...]
    slots: tuple[Slot, ...]
    feet: tuple[Foot, ...]
    walls: tuple[Wall, ...]
    genus: int
    paper: Drawing

    @property
    def thickness(self) -> float:
        """Thickness of the board, mm."""
        return self.top - self.bottom


@dataclass(frozen=True, slots=True)
class FootPlan:
    """Every dimension of the printed foot under a board that is cut.

    Attributes:
        count: how many are needed.
        diameter, height: of the foot.
        hole, depth: of the blind hole in its top.
        levels: of its body, rising, both edges broken.
    """

    name: str
    side: Literal["foot"]
    count: int
    diameter: float
    height: float
    hole: float
    depth: float
    levels: tuple[Level, ...]
    walls: tuple[Wall, ...]
    genus: int
    paper: Drawing
