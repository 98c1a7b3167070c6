"""Base classes of bought parts and fasteners; the fasteners themselves are in `hardware`.

Threads: how a file writes them, their pitches, and what a screw finds of one in a panel or in plastic.
"""

import re
from abc import abstractmethod
from dataclasses import dataclass
from typing import Annotated, ClassVar

from pydantic import BeforeValidator, Field, WithJsonSchema

from mounts.load.models.base import Amount, Frozen, Name, Room, Size, Text
from mounts.load.models.limits import Limits
from mounts.load.parse import units

METRIC = r"^M[1-9][0-9]?(\.[0-9])?$"
OF_SCREW = r"^(M|ST)?[1-9][0-9]?(\.[0-9]{1,2})?$"
Span = tuple[Room, Room]


def _thread(value: object) -> object:
    if not isinstance(value, str) or not re.fullmatch(METRIC, value):
        raise ValueError(f'{units.quote_value(value)} is not a metric thread; write it as "M5"')
    return value


Thread = Annotated[str, BeforeValidator(_thread), WithJsonSchema({"type": "string", "pattern": METRIC})]


def _screw_thread(value: object) -> object:
    if not isinstance(value, str) or not re.fullmatch(OF_SCREW, value):
        raise ValueError(f'{units.quote_value(value)} is no screw\'s thread; write it as "M5", "ST4.2" or "4.0"')
    return value


ScrewThread = Annotated[str, BeforeValidator(_screw_thread), WithJsonSchema({"type": "string", "pattern": OF_SCREW})]
# coarse pitches, ISO 262
PITCHES = {
    "M2": 0.4,
    "M2.5": 0.45,
    "M3": 0.5,
    "M3.5": 0.6,
    "M4": 0.7,
    "M5": 0.8,
    "M6": 1.0,
    "M8": 1.25,
    "M10": 1.5,
    "M12": 1.75,
}


@dataclass(frozen=True, slots=True)
class Found:
    """The thread that a screw finds behind a face, mm.

    Attributes:
        begins: how far behind the face.
        engages: how much of it must hold.
        long: how long it is; infinite where a screw's end may go on.
        source: what it is taken as.
    """

    begins: float
    engages: float
    long: float
    source: str


@dataclass(frozen=True, slots=True)
class Pocket:
    """Pocket that one speaker screw needs: a hole `hole` wide and `depth` deep with `wall` round it.

    For a through bolt `depth` is 0 and `nut` holds (room across, nut height).
    """

    hole: float
    depth: float
    wall: float
    nut: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Grip:
    """A cylinder of plastic that shears off: what comes out, its diameter and length, and the share that bears."""

    what: str
    across: float
    long: float
    share: float
    source: str


class Item(Frozen):
    """Item that is bought; its name is its key in the file."""

    name: Name = Field(default="", description="the item's key; need not be given")
    about: Text = Field(default="", description="what it is, in a few words")
    source: Text = Field(default="", description="where the figures come from")


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """Wording of how a mount kind has the fasteners of its screws set.

    Attributes:
        into: where inserts go, after their thread.
        sunk: how they are sunk, after the iron's heat; `cold`: what is said beside it.
        formed: which screws form their threads, "speaker screws in"; `again`: said beside it. "" where none is formed
            before its screw is driven.
        nuts: where nuts lie before their bolts come; "" where they come last.
    """

    into: str = ""
    sunk: str
    cold: str
    formed: str = ""
    again: str = ""
    nuts: str = ""


class Fastener(Item):
    """Fastener that a screw goes into, with its trade name and what working with it takes.

    What is fixed for all of a class is declared on it; in the templates `{0}` is the item.

    Attributes:
        called: name in the trade.
        bought: whether it is a part to buy.
        caution: what can hurt someone who sets it; "" for nothing.
        told_apart: template of `drawer`.
        set_with: template of `tool`.
    """

    called: ClassVar[str]
    bought: ClassVar[bool] = True
    caution: ClassVar[str] = ""
    told_apart: ClassVar[str] = "{0.thread}"
    set_with: ClassVar[str] = ""
    thread: str

    @property
    def drawer(self) -> str:
        """Description that distinguishes it from its neighbours in the drawer."""
        return self.told_apart.format(self)

    @property
    def tool(self) -> str:
        """Tool that sets it; "" where hands do."""
        return self.set_with.format(self)


class Threaded(Fastener):
    """A fastener with a metric thread."""

    thread: Thread = Field(description='metric thread, such as "M5"')

    @property
    def nominal(self) -> float:
        """Outside diameter of its thread, mm."""
        return float(self.thread[1:])

    @property
    def pitch(self) -> float:
        """Coarse pitch; where it is not in the table a fifth of the diameter, which is no finer, mm."""
        return PITCHES.get(self.thread, self.nominal / 5)


class PanelItem(Threaded):
    """Fastener that a panel screw goes into.

    Attributes:
        setting: template of the step of the work that sets it, for `count` of them, and of a note; None for no step.
        changing: template of what it changes on the vehicle, at fixings of some `names`; "" for nothing.
        staying: template of what is left of it in the vehicle when the mount comes off.
    """

    setting: ClassVar[tuple[str, str] | None] = None
    changing: ClassVar[str] = "{0.name} ({0.thread}) set at {names}"
    staying: ClassVar[str] = "Nothing: the {0.name} come out by hand. Plug the holes."

    @abstractmethod
    def behind(self, sheet: float | None) -> Found | None:
        """Return the thread behind a sheet of that thickness; None where that decides and was not measured."""

    @property
    def needs(self) -> float | None:
        """Panel hole that it needs, mm; None when it takes what is there."""
        return None

    @property
    def proud(self) -> tuple[float, float] | None:
        """Diameter and height of what stands on the face, mm; None when nothing does."""
        return None

    def depth_behind(self, sheet: float) -> float:
        """Return how far it reaches behind the face of a sheet before it is set, mm."""
        return sheet

    @property
    def bears(self) -> float | None:
        """Its axial proof load, N; None where none is known."""
        return None

    def pulls_through(self, hole: float) -> float | None:
        """Return the diameter at which it is pulled through a sheet's hole; None for what bears on more of it."""
        return None

    def play(self, hole: float) -> float:
        """Return by how much a panel's hole, opened where it has to be, is wider than what is set in it, mm.

        Where no file says so, it is taken to sit in the middle.
        """
        return 0.0

    def floats(self, hole: float) -> float:
        """Return by how much its screw plays in the panel's own hole, mm a side."""
        return 0.0

    def set_in_panel(self, count: int) -> tuple[str, str] | None:
        """Return the step of the work that sets it, and a note; None where there is none."""
        return self.setting and (self.setting[0].format(self, count=count), self.setting[1])

    def changes(self, names: str) -> str:
        """Return what it changes on the vehicle, at fixings of those names; "" for nothing."""
        return self.changing.format(self, names=names)

    def stays(self) -> str:
        """Return what is left of it in the vehicle when the mount comes off."""
        return self.staying.format(self)


class SetNut(PanelItem):
    """A nut that is set in a hole of its own size."""

    hole: Size = Field(description="panel hole that it needs")
    grip: Span = Field(description="[least, most] sheet thickness")

    @property
    def needs(self) -> float:
        """Diameter of the hole that it is made for, mm."""
        return self.hole


class FlangedNut(SetNut):
    """A nut whose flange stands on the face."""

    told_apart = "{0.thread}, {0.length:g} long, flange ⌀ {0.flange:g}, sheet {0.grip[0]:g} to {0.grip[1]:g}"
    flange: Size = Field(description="flange diameter")
    flange_height: Room = Field(description="how far the flange stands proud of the face")
    length: Size = Field(description="under the flange, before setting")
    torque: Amount = Field(description="recommended screw torque, N·m")

    @property
    def proud(self) -> tuple[float, float] | None:
        """Diameter and height of its flange, mm; None where it is flush."""
        return (self.flange, self.flange_height) if self.flange_height > 0 else None

    def depth_behind(self, sheet: float) -> float:
        """Return its length, mm."""
        return self.length


class SpeakerItem(Fastener):
    """Fastener that holds a screw in plastic, of a speaker, a device, a lap or a foot.

    Attributes:
        holds: what a drawing says that its hole is for.
        hot: whether it is set hot, into a pocket of its own.
        passes: whether its screw passes right through the part.
        otherwise: template of `another`.
    """

    holds: ClassVar[str]
    hot: ClassVar[bool] = False
    passes: ClassVar[bool] = False
    otherwise: ClassVar[str] = "take longer or shorter hardware"

    @property
    def another(self) -> str:
        """Advice on what to take where no length that is sold fits."""
        return self.otherwise.format(self)

    @property
    def end(self) -> float | None:
        """Width of what ends behind the part; None for its screw alone, mm."""
        return None

    @property
    def drawn(self) -> tuple[str, float] | None:
        """Name and width, mm, of what is drawn against the part from behind; None for nothing."""
        return None

    def grip(self, thread: float, engaged: float) -> Grip | None:
        """Return the plastic that must shear before a thread that long comes out; None if it is drawn through."""
        return None

    @abstractmethod
    def thread_in(self, depth: float, *, from_behind: bool = False) -> Found:
        """Return the thread in a hole that deep below a part's face; `from_behind` where it is set at the far end."""

    @abstractmethod
    def pocket(self, limits: Limits, growth: float) -> Pocket:
        """Return what it needs in the part, `growth` added to its hole so that it comes out true, mm."""

    @abstractmethod
    def set_in_part(self, count: int, manner: Manner) -> tuple[str, str] | None:
        """Return the step of the work that sets it, as a kind has it done, and a note; None where there is none."""
