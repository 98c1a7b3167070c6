"""Bought parts: rivet, rubber expansion and clip nuts, inserts, screws, washers, and threads that are already there."""

from math import cos, inf, radians
from typing import TYPE_CHECKING, Annotated, Literal, Union

from pydantic import Field

from mounts.load.models.base import Amount, Frozen, Name, Room, Size, Text
from mounts.load.models.fastener import (
    FlangedNut,
    Found,
    Grip,
    Item,
    Manner,
    PanelItem,
    Pocket,
    ScrewThread,
    SetNut,
    SpeakerItem,
    Thread,
    Threaded,
)
from mounts.load.models.limits import Limits

RIVET_NUT = "1 d in steel; the nut taken as set with its wall folded double, and open at its end"
EXPANSION_NUT = "1 d; the brass thread taken as lying at the end of the rubber"
CLIP_NUT = "1 d behind the sheet, through the whole neck of the nut"
THREAD = "1 d in steel; the thread taken as at least that deep, as of a welded nut, and open at its back"
THROUGH = "one pitch beyond the nut"
INSERT = "1 d in brass, or the whole insert where that is shorter; a pocket cleared of pushed-down plastic"
PILOT = "the fastener's own least engagement"
FORMED = 0.5  # of its thread, what one that a screw forms in plastic bears: half is air beside the flanks
HOLES = "Nothing but the holes. Plug them."  # what is left behind
BOLT = 1.0  # mm by which a through bolt's hole is wider where its item says nothing


class RivetNut(FlangedNut):
    """A threaded rivet set in a panel hole; its flange stands proud of the face."""

    called = "rivet nut"
    caution = "Rivet nuts: eye protection, no chips into the door or near a sensor, edges painted against rust."
    set_with = "setting tool for {0.thread} rivet nuts"
    setting = (
        "Set {count} rivet nuts {0.thread}, square to the sheet, flange flat on the face. Try a screw in each.",
        "Set one in scrap of the same thickness first: pulled too far it strips, too little and it turns.",
    )
    staying = (
        "The rivet nuts stay: a screw or a plug in each keeps the door dry. They hold a mount of the old kind too."
    )
    is_: Literal["rivet-nut"] = Field(alias="is")
    body: Size | None = Field(default=None, description="diameter of its body before setting")
    proof: Amount | None = Field(default=None, description="axial proof load, N")

    def behind(self, sheet: float | None) -> Found | None:
        """Return the thread beyond the wall that folds.

        At its greatest grip the wall between flange and thread folds double and nothing else: what is left is thread.
        """
        folded = (self.body or self.hole) - self.nominal
        thread = self.length - self.grip[1] - folded
        begins = (self.grip[1] if sheet is None else sheet) + folded
        return Found(begins, min(self.nominal, thread), thread, RIVET_NUT)

    @property
    def bears(self) -> float | None:
        """Axial proof load, N, as its file gives it."""
        return self.proof

    def pulls_through(self, hole: float) -> float | None:
        """Return the diameter of its body, folded behind the sheet, mm."""
        return max(self.hole, hole)

    def play(self, hole: float) -> float:
        """Return the play of its body in the hole, mm on the diameter."""
        return max(max(hole, self.hole) - (self.body or self.hole), 0.0)


class ExpansionNut(FlangedNut):
    """A rubber sleeve with a nut that bulges behind the panel."""

    called = "rubber expansion nut"
    setting = ("Push {count} rubber expansion nuts {0.thread} in until their flanges lie on the face.", "")
    is_: Literal["expansion-nut"] = Field(alias="is")

    def behind(self, sheet: float | None) -> Found | None:
        """Return the brass thread at its end."""
        return Found(self.length - self.nominal, self.nominal, self.nominal, EXPANSION_NUT)


class ClipNut(SetNut):
    """A spring nut slid over the panel's edge."""

    called = "clip nut"
    told_apart = "{0.thread}, edge to hole {0.reach:g}, sheet {0.grip[0]:g} to {0.grip[1]:g}"
    setting = ("Slide {count} clip nuts {0.thread} over the edge until their holes line up.", "")
    is_: Literal["clip-nut"] = Field(alias="is")
    stands_proud: Room = Field(description="how far it stands proud of the face")
    reach: Size = Field(description="from the panel's edge to the hole")

    @property
    def proud(self) -> tuple[float, float] | None:
        """Width and height of its near leaf, mm; None where it is flush."""
        return (2 * self.reach, self.stands_proud) if self.stands_proud > 0 else None

    def behind(self, sheet: float | None) -> Found | None:
        """Return the neck behind the sheet."""
        return Found(self.grip[1] if sheet is None else sheet, self.nominal, self.nominal, CLIP_NUT)


class ThreadItem(PanelItem):
    """A thread that is already in the metal."""

    called = "thread in the panel"
    bought = False
    setting = ("Run a screw {0.thread} through each of the {count} threads by hand; clean them if it binds.", "")
    changing = ""
    staying = HOLES
    is_: Literal["thread"] = Field(alias="is")

    def behind(self, sheet: float | None) -> Found | None:
        """Return the thread from the face on."""
        return Found(0.0, self.nominal, inf, THREAD)


class Insert(Threaded, SpeakerItem):
    """A heat-set threaded insert."""

    called = "heat-set insert"
    caution = (
        "Heat-set inserts: an iron at 210 to 250 °C burns at once and hot plastic sticks; stand it safely, air the "
        "room."
    )
    told_apart = "{0.thread}, {0.length:g} long, ⌀ {0.outside:g}, for a hole of {0.hole:g}"
    set_with = "iron with a setting tip for {0.thread} inserts, 210 to 250 °C, and its stand"
    holds = "inserts"
    hot = True
    otherwise = "take an insert longer than {0.length:g}"
    is_: Literal["insert"] = Field(alias="is")
    hole: Size = Field(description="hole in the model")
    outside: Size = Field(description="greatest outside diameter")
    length: Size = Field(description="of the insert")
    over: Room = Field(default=0.8, description="how much deeper the pocket is than the insert")
    wall: Size = Field(description="least wall round it")

    def pocket(self, limits: Limits, growth: float) -> Pocket:
        """Its hole, and a little deeper than it is long."""
        return Pocket(self.hole + growth, self.length + self.over, self.wall)

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
    material: Text = Field(default="", description="the only material that it is for; empty for any")

    def pocket(self, limits: Limits, growth: float) -> Pocket:
        """Its hole, deep enough for the thread and half a diameter of point."""
        return Pocket(self.hole + growth, self.engagement + self.diameter / 2, self.wall)

    def thread_in(self, depth: float, *, from_behind: bool = False) -> Found:
        """All of the hole."""
        return Found(0.0, self.engagement, depth, PILOT)

    def grip(self, thread: float, engaged: float) -> Grip | None:
        """Return the thread that the screw has formed."""
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
    told_apart = "{0.thread}, {0.nut_across:g} across flats"
    changing = ""
    staying = HOLES
    holds = "bolts"
    passes = True
    is_: Literal["through"] = Field(alias="is")
    hole: Size | None = Field(default=None, description="in the mount; ISO 273 medium when not given")
    nut_across: Size = Field(description="nut across flats")
    nut_height: Size = Field(description="nut height")

    @property
    def needs(self) -> float:
        """Room for its thread."""
        return self.nominal

    def behind(self, sheet: float | None) -> Found | None:
        """Return the nut behind the sheet."""
        return None if sheet is None else Found(sheet, self.nut_height + self.pitch, inf, THROUGH)

    def depth_behind(self, sheet: float) -> float:
        """Sheet and nut."""
        return sheet + self.nut_height

    @property
    def end(self) -> float:
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

    def pocket(self, limits: Limits, growth: float) -> Pocket:
        """Return a hole right through, and room for a spanner's width of nut."""
        room = self.end + limits.tool_path
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
    drive: Literal["hexagon", "cross"] = Field(
        default="hexagon", description="recess in its head; a pan head's is a cross"
    )
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
        """Thread, size and standard that tell it from its neighbours in the drawer."""
        return ", ".join(filter(None, (f"{self.thread}, ⌀ {self.outside:g} × {self.thickness:g}", self.standard)))


KINDS: tuple[type[Item], ...] = tuple(
    found
    for found in tuple(globals().values())
    if isinstance(found, type) and issubclass(found, Item) and "is_" in found.model_fields
)  # every class above that says what it `is`, in their order
if TYPE_CHECKING:
    AnyItem = Item
else:
    AnyItem = Annotated[Union[KINDS], Field(discriminator="is_")]  # noqa: UP007


class Hardware(Frozen):
    """One family of bought parts."""

    kind: Literal["hardware"]
    name: Name = Field(description="the file's own name")
    about: Text = Field(default="", description="what it is, in a few words")
    source: Text = Field(default="", description="where the figures come from")
    confidence: Text = Field(default="", description="how well the figures are known")
    items: dict[Name, AnyItem] = Field(description="each by its name, with `is` saying what it is")
