"""Bought parts: rivet nuts, well nuts, clip nuts, inserts, screws, washers, and threads that are already there."""

import re
from dataclasses import dataclass
from math import cos, inf, radians
from typing import Annotated, ClassVar, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from mounts.load.models.base import Amount, Frozen, Name, Room, Size, Text
from mounts.load.models.limits import Limits
from mounts.load.parse import units

METRIC = r"^M[1-9][0-9]?(\.[0-9])?$"
OF_SCREW = r"^(M|ST)?[1-9][0-9]?(\.[0-9]{1,2})?$"


def _thread(value: object) -> object:
    if not isinstance(value, str) or not re.fullmatch(METRIC, value):
        raise ValueError(f'{units.shown(value)} is not a metric thread; write it as "M5"')
    return value


Thread = Annotated[str, BeforeValidator(_thread), WithJsonSchema({"type": "string", "pattern": METRIC})]


def _screw_thread(value: object) -> object:
    if not isinstance(value, str) or not re.fullmatch(OF_SCREW, value):
        raise ValueError(f'{units.shown(value)} is no screw\'s thread; write it as "M5", "ST4.2" or "4.0"')
    return value


ScrewThread = Annotated[str, BeforeValidator(_screw_thread), WithJsonSchema({"type": "string", "pattern": OF_SCREW})]
Span = tuple[Room, Room]


class Item(Frozen):
    """What every bought part has; its name is its key in the file."""

    name: Name = Field(default="", description="the item's key; need not be given")
    about: Text = Field(default="", description="what it is, in a few words")
    source: Text = Field(default="", description="where the figures come from")


RIVET_NUT = "1 d in steel; the nut taken as set with its wall folded double, and open at its end"
WELL_NUT = "1 d; the brass thread taken as lying at the end of the rubber"
CLIP_NUT = "1 d behind the sheet, through the whole neck of the nut"
THREAD = "1 d in steel; the thread taken as at least that deep, as of a welded nut, and open at its back"
THROUGH = "one pitch beyond the nut"
INSERT = "1 d in brass, or the whole insert where that is shorter; a pocket cleared of pushed-down plastic"
PILOT = "the fastener's own least engagement"
FORMED = 0.5  # of its thread, what one that a screw forms in plastic bears: half is air beside the flanks
HOLES = "Nothing but the holes. Plug them."  # what is left behind
BOLT = 1.0  # mm by which a through bolt's hole is wider where its item says nothing
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


def _flanged(thread: str, length: float, flange: float, grip: Span) -> str:
    return f"{thread}, {length:g} long, flange ⌀ {flange:g}, sheet {grip[0]:g} to {grip[1]:g}"


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
    """What one speaker screw needs: a hole `hole` wide and `depth` deep with `wall` round it.

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """How a mount kind has the fasteners of its screws set, in words.

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
    """What a screw goes into. It says of itself what people call it and what working with it takes.

    Attributes:
        called: by the trade.
        bought: whether it is a part to buy.
        caution: what can hurt someone who sets it; "" for nothing.
    """

    called: ClassVar[str]
    bought: ClassVar[bool] = True
    caution: ClassVar[str] = ""
    thread: str

    @property
    def drawer(self) -> str:
        """What tells it from its neighbours in the drawer."""
        return self.thread

    @property
    def tool(self) -> str:
        """What sets it; "" where hands do."""
        return ""


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
    """What a panel screw goes into."""

    @property
    def needs(self) -> float | None:
        """Panel hole that it needs, mm; None when it takes what is there."""
        return None

    @property
    def proud(self) -> tuple[float, float] | None:
        """Diameter and height of what stands on the face, mm; None when nothing does."""
        return None

    def behind(self, sheet: float | None) -> Found | None:
        """The thread behind a sheet of that thickness; None where that decides and was not measured."""
        raise NotImplementedError

    def depth_behind(self, sheet: float) -> float:
        """How far it reaches behind the face of a sheet before it is set, mm."""
        return sheet

    @property
    def bears(self) -> float | None:
        """Its axial proof load, N; None where none is known."""
        return None

    def pulls_through(self, hole: float) -> float | None:
        """Diameter at which it is pulled through the sheet round a hole; None for what bears on more of it."""
        return None

    def play(self, hole: float) -> float:
        """By how much a panel's hole, opened where it has to be, is wider than what is set in it, mm.

        Where no file tells that, it is taken to sit in the middle.
        """
        return 0.0

    def floats(self, hole: float) -> float:
        """By how much its screw plays in the panel's own hole, mm a side."""
        return 0.0

    def set_in_panel(self, count: int) -> tuple[str, str] | None:
        """The step of the work that sets it, and a note; None where there is none."""
        return None

    def changes(self, names: str) -> str:
        """What it changes on the vehicle, at fixings of those names; "" for nothing."""
        return f"{self.name} ({self.thread}) set at {names}"

    def stays(self) -> str:
        """What is left of it in the vehicle when the mount comes off."""
        return f"Nothing: the {self.name} come out by hand. Plug the holes."


class SpeakerItem(Fastener):
    """What holds a screw in plastic, of a speaker, a device, a lap or a foot.

    Attributes:
        holds: what a drawing says that its hole is for.
        hot: whether it is set hot, into a pocket of its own.
        passes: whether its screw passes right through the part.
    """

    holds: ClassVar[str]
    hot: ClassVar[bool] = False
    passes: ClassVar[bool] = False

    @property
    def another(self) -> str:
        """What to take where no length that is sold fits."""
        return "take longer or shorter hardware"

    @property
    def end(self) -> float | None:
        """Width of what ends behind the part; None for its screw alone, mm."""
        return None

    @property
    def drawn(self) -> tuple[str, float] | None:
        """What is drawn against the part from behind, and how wide it is, mm; None for nothing."""
        return None

    def thread_in(self, depth: float, *, from_behind: bool = False) -> Found:
        """The thread in a part, in a hole that deep below its face; `from_behind` where it is set at the far end."""
        raise NotImplementedError

    def grip(self, thread: float, engaged: float) -> Grip | None:
        """The plastic that must shear before it comes out, of a thread that long; None for what is drawn through."""
        return None

    def pocket(self, limits: Limits, growth: float) -> Pocket:
        """What it needs in the part, `growth` added to its hole so that it comes out true, mm."""
        raise NotImplementedError

    def set_in_part(self, count: int, manner: Manner) -> tuple[str, str] | None:
        """The step of the work that sets it, as a kind has it done, and a note; None where there is none."""
        return None


class RivetNut(PanelItem):
    """A threaded rivet set in a panel hole; its flange stands proud of the face."""

    called = "rivet nut"
    caution = "Rivet nuts: eye protection, no chips into the door or near a sensor, edges painted against rust."
    is_: Literal["rivet-nut"] = Field(alias="is")
    hole: Size = Field(description="panel hole that it needs")
    body: Size | None = Field(default=None, description="diameter of its body before setting")
    flange: Size = Field(description="flange diameter")
    flange_height: Room = Field(description="how far the flange stands proud of the face")
    length: Size = Field(description="under the flange, before setting")
    grip: Span = Field(description="[least, most] sheet thickness")
    torque: Amount = Field(description="recommended screw torque, N·m")
    proof: Amount | None = Field(default=None, description="axial proof load, N")

    @property
    def drawer(self) -> str:
        """Thread, length, flange and grip."""
        return _flanged(self.thread, self.length, self.flange, self.grip)

    @property
    def tool(self) -> str:
        """Its own."""
        return f"setting tool for {self.thread} rivet nuts"

    @property
    def needs(self) -> float | None:
        """The hole that it is made for."""
        return self.hole

    @property
    def proud(self) -> tuple[float, float] | None:
        """Its flange."""
        return (self.flange, self.flange_height) if self.flange_height > 0 else None

    def behind(self, sheet: float | None) -> Found | None:
        """The thread beyond the wall that folds.

        At its greatest grip the wall between flange and thread folds double and nothing else: what is left is thread.
        """
        folded = (self.body or self.hole) - self.nominal
        thread = self.length - self.grip[1] - folded
        begins = (self.grip[1] if sheet is None else sheet) + folded
        return Found(begins, min(self.nominal, thread), thread, RIVET_NUT)

    def depth_behind(self, sheet: float) -> float:
        """Its length."""
        return self.length

    @property
    def bears(self) -> float | None:
        """As its file says."""
        return self.proof

    def pulls_through(self, hole: float) -> float | None:
        """Its body, folded behind the sheet."""
        return max(self.hole, hole)

    def play(self, hole: float) -> float:
        """Of its body in the hole."""
        return max(max(hole, self.hole) - (self.body or self.hole), 0.0)

    def set_in_panel(self, count: int) -> tuple[str, str] | None:
        """Set with its tool."""
        return (
            f"Set {count} rivet nuts {self.thread}, square to the sheet, flange flat on the face. Try a screw in each.",
            "Set one in scrap of the same thickness first: pulled too far it strips, too little and it turns.",
        )

    def stays(self) -> str:
        """It stays."""
        plugged = "a screw or a plug in each keeps the door dry"
        return f"The rivet nuts stay: {plugged}. They hold a mount of the old kind too."


class WellNut(PanelItem):
    """A rubber sleeve with a nut that bulges behind the panel."""

    called = "well nut"
    is_: Literal["well-nut"] = Field(alias="is")
    hole: Size = Field(description="panel hole that it needs")
    flange: Size = Field(description="flange diameter")
    flange_height: Room = Field(description="how far the flange stands proud of the face")
    length: Size = Field(description="under the flange")
    grip: Span = Field(description="[least, most] sheet thickness")
    torque: Amount = Field(description="recommended screw torque, N·m")

    @property
    def drawer(self) -> str:
        """Thread, length, flange and grip."""
        return _flanged(self.thread, self.length, self.flange, self.grip)

    @property
    def needs(self) -> float | None:
        """The hole that it is made for."""
        return self.hole

    @property
    def proud(self) -> tuple[float, float] | None:
        """Its flange."""
        return (self.flange, self.flange_height) if self.flange_height > 0 else None

    def behind(self, sheet: float | None) -> Found | None:
        """The brass thread at its end."""
        return Found(self.length - self.nominal, self.nominal, self.nominal, WELL_NUT)

    def depth_behind(self, sheet: float) -> float:
        """Its length."""
        return self.length

    def set_in_panel(self, count: int) -> tuple[str, str] | None:
        """Pushed in."""
        return f"Push {count} well nuts {self.thread} in until their flanges lie on the face.", ""


class ClipNut(PanelItem):
    """A spring nut slid over the panel's edge."""

    called = "clip nut"
    is_: Literal["clip-nut"] = Field(alias="is")
    hole: Size = Field(description="panel hole that it needs")
    stands_proud: Room = Field(description="how far it stands proud of the face")
    reach: Size = Field(description="from the panel's edge to the hole")
    grip: Span = Field(description="[least, most] sheet thickness")

    @property
    def drawer(self) -> str:
        """Thread, reach and grip."""
        return f"{self.thread}, edge to hole {self.reach:g}, sheet {self.grip[0]:g} to {self.grip[1]:g}"

    @property
    def needs(self) -> float | None:
        """The hole that it is made for."""
        return self.hole

    @property
    def proud(self) -> tuple[float, float] | None:
        """Its near leaf."""
        return (2 * self.reach, self.stands_proud) if self.stands_proud > 0 else None

    def behind(self, sheet: float | None) -> Found | None:
        """The neck behind the sheet."""
        return Found(self.grip[1] if sheet is None else sheet, self.nominal, self.nominal, CLIP_NUT)

    def set_in_panel(self, count: int) -> tuple[str, str] | None:
        """Slid over the edge."""
        return f"Slide {count} clip nuts {self.thread} over the edge until their holes line up.", ""


class ThreadItem(PanelItem):
    """A thread that is already in the metal."""

    called = "thread in the panel"
    bought = False
    is_: Literal["thread"] = Field(alias="is")

    def behind(self, sheet: float | None) -> Found | None:
        """From the face on."""
        return Found(0.0, self.nominal, inf, THREAD)

    def set_in_panel(self, count: int) -> tuple[str, str] | None:
        """Tried."""
        return f"Run a screw {self.thread} through each of the {count} threads by hand; clean them if it binds.", ""

    def changes(self, names: str) -> str:
        """Nothing."""
        return ""

    def stays(self) -> str:
        """Nothing of it."""
        return HOLES


class Insert(Threaded, SpeakerItem):
    """A heat-set threaded insert."""

    called = "heat-set insert"
    caution = (
        "Heat-set inserts: an iron at 210 to 250 °C burns at once and hot plastic sticks; stand it safely, air the "
        "room."
    )
    holds = "inserts"
    hot = True
    is_: Literal["insert"] = Field(alias="is")
    hole: Size = Field(description="hole in the model")
    outside: Size = Field(description="greatest outside diameter")
    length: Size = Field(description="of the insert")
    over: Room = Field(default=0.8, description="how much deeper the pocket is than the insert")
    wall: Size = Field(description="least wall round it")

    @property
    def drawer(self) -> str:
        """Thread, length, outside and hole."""
        return f"{self.thread}, {self.length:g} long, ⌀ {self.outside:g}, for a hole of {self.hole:g}"

    @property
    def tool(self) -> str:
        """An iron with its tip."""
        return f"iron with a setting tip for {self.thread} inserts, 210 to 250 °C, and its stand"

    def pocket(self, limits: Limits, growth: float) -> Pocket:
        """Its hole, and a little deeper than it is long."""
        return Pocket(self.hole + growth, self.length + self.over, self.wall)

    @property
    def another(self) -> str:
        """One of another length."""
        return f"take an insert longer than {self.length:g}"

    @property
    def drawn(self) -> tuple[str, float] | None:
        """Itself, where it is set from behind."""
        return "insert", self.outside

    def thread_in(self, depth: float, *, from_behind: bool = False) -> Found:
        """Its own, or as much of it as there is room for."""
        long = self.length if from_behind else min(self.length, depth)
        return Found(depth - long if from_behind else 0.0, min(long, self.nominal), long, INSERT)

    def grip(self, thread: float, engaged: float) -> Grip | None:
        """Its hole."""
        return Grip("insert out of its hole", self.hole, thread, 1.0, "π d l σ / √3 on its hole")

    def set_in_part(self, count: int, manner: Manner) -> tuple[str, str] | None:
        """Set hot."""
        head = f"Set {count} inserts {self.thread}{manner.into}: iron at 210 °C, up to 250 °C"
        return f"{head}{manner.sunk}", manner.cold


class Pilot(SpeakerItem):
    """A hole for a thread-forming screw."""

    called = "pilot hole"
    bought = False
    holds = "screws"
    is_: Literal["pilot"] = Field(alias="is")
    thread: ScrewThread = Field(description='of the screw, such as "ST4.2"')
    diameter: Size = Field(description="outside diameter of the screw's thread")
    hole: Size = Field(description="hole in the model")
    wall: Size = Field(description="least wall round it")
    engagement: Size = Field(description="least length of thread in the plastic")

    def pocket(self, limits: Limits, growth: float) -> Pocket:
        """Its hole, deep enough for the thread and half a diameter of point."""
        return Pocket(self.hole + growth, self.engagement + self.diameter / 2, self.wall)

    def thread_in(self, depth: float, *, from_behind: bool = False) -> Found:
        """All of the hole."""
        return Found(0.0, self.engagement, depth, PILOT)

    def grip(self, thread: float, engaged: float) -> Grip | None:
        """The thread that the screw has formed."""
        return Grip("thread out of the plastic", self.diameter, engaged, FORMED, "half of π d l σ / √3 on its thread")

    def set_in_part(self, count: int, manner: Manner) -> tuple[str, str] | None:
        """Formed once before."""
        if not manner.formed:
            return None
        again = f"{manner.formed} once by hand, straight, and out again: it forms its thread."
        return f"Drive each of the {count} {again}", manner.again


class Through(PanelItem, SpeakerItem):
    """A bolt right through, with a nut behind."""

    called = "nut for a through bolt"
    holds = "bolts"
    passes = True
    is_: Literal["through"] = Field(alias="is")
    hole: Size | None = Field(default=None, description="in the mount; ISO 273 medium when not given")
    nut_across: Size = Field(description="nut across flats")
    nut_height: Size = Field(description="nut height")

    @property
    def drawer(self) -> str:
        """Thread and nut."""
        return f"{self.thread}, {self.nut_across:g} across flats"

    @property
    def needs(self) -> float | None:
        """Room for its thread."""
        return self.nominal

    def behind(self, sheet: float | None) -> Found | None:
        """The nut behind the sheet."""
        return None if sheet is None else Found(sheet, self.nut_height + self.pitch, inf, THROUGH)

    def depth_behind(self, sheet: float) -> float:
        """Sheet and nut."""
        return sheet + self.nut_height

    @property
    def end(self) -> float | None:
        """Its nut over corners."""
        return self.nut_across / cos(radians(30))

    @property
    def drawn(self) -> tuple[str, float] | None:
        """Its nut."""
        return "nut", self.nut_across

    def thread_in(self, depth: float, *, from_behind: bool = False) -> Found:
        """Its nut, behind the part."""
        return Found(depth, self.nut_height + self.pitch, inf, THROUGH)

    def floats(self, hole: float) -> float:
        """Its bolt in the sheet's hole: the floating fastener of ISO 5458."""
        return max(hole - self.nominal, 0.0) / 2

    def changes(self, names: str) -> str:
        """Nothing."""
        return ""

    def stays(self) -> str:
        """Nothing of it."""
        return HOLES

    def pocket(self, limits: Limits, growth: float) -> Pocket:
        """A hole right through, and room for a spanner's width of nut."""
        room = self.nut_across / cos(radians(30)) + limits.tool_path
        return Pocket((self.hole or self.nominal + BOLT) + growth, 0.0, limits.wall_least, (room, self.nut_height))

    def set_in_part(self, count: int, manner: Manner) -> tuple[str, str] | None:
        """Nuts first."""
        return (f"Put the {count} nuts into {manner.nuts}", "") if manner.nuts else None


class Screw(Item):
    """A screw."""

    is_: Literal["screw"] = Field(alias="is")
    thread: ScrewThread = Field(description='such as "M5" or "ST4.2"')
    standard: Text = Field(default="", description="such as ISO 7380-1")
    head: Literal["button", "pan", "socket", "countersunk", "collar"] = Field(description="head form")
    head_diameter: Size = Field(description="greatest head diameter")
    head_height: Size = Field(description="greatest head height")
    lengths: tuple[Size, ...] = Field(min_length=1, description="lengths it is sold in")


class Washer(Item):
    """A plain washer."""

    is_: Literal["washer"] = Field(alias="is")
    thread: Thread = Field(description='that it is for, such as "M5"')
    inside: Size = Field(description="hole diameter")
    outside: Size = Field(description="outside diameter")
    thickness: Size = Field(description="nominal thickness")
    standard: Text = Field(default="", description="such as ISO 7093-1")

    @property
    def drawer(self) -> str:
        """What tells it from its neighbours in the drawer."""
        return ", ".join(filter(None, (f"{self.thread}, ⌀ {self.outside:g} × {self.thickness:g}", self.standard)))


AnyItem = Annotated[
    RivetNut | WellNut | ClipNut | ThreadItem | Insert | Pilot | Through | Screw | Washer, Field(discriminator="is_")
]


class Hardware(Frozen):
    """One family of bought parts."""

    kind: Literal["hardware"]
    name: Name = Field(description="the file's own name")
    about: Text = Field(default="", description="what it is, in a few words")
    source: Text = Field(default="", description="where the figures come from")
    confidence: Text = Field(default="", description="how well the figures are known")
    items: dict[Name, AnyItem] = Field(description="each by its name, with `is` saying what it is")
