"""Bought parts: rivet nuts, well nuts, clip nuts, inserts, screws, washers, and threads that are already there."""

import re
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from mounts.load import units
from mounts.load.models.base import Amount, Frozen, Name, Room, Size, Text

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


class _Threaded(Item):
    thread: Thread = Field(description='metric thread, such as "M5"')

    @property
    def nominal(self) -> float:
        """Outside diameter of its thread, mm."""
        return float(self.thread[1:])


class RivetNut(_Threaded):
    """A threaded rivet set in a panel hole; its flange stands proud of the face."""

    is_: Literal["rivet-nut"] = Field(alias="is")
    hole: Size = Field(description="panel hole that it needs")
    body: Size | None = Field(default=None, description="diameter of its body before setting")
    flange: Size = Field(description="flange diameter")
    flange_height: Room = Field(description="how far the flange stands proud of the face")
    length: Size = Field(description="under the flange, before setting")
    grip: Span = Field(description="[least, most] sheet thickness")
    torque: Amount = Field(description="recommended screw torque, N·m")
    proof: Amount | None = Field(default=None, description="axial proof load, N")


class WellNut(_Threaded):
    """A rubber sleeve with a nut that bulges behind the panel."""

    is_: Literal["well-nut"] = Field(alias="is")
    hole: Size = Field(description="panel hole that it needs")
    flange: Size = Field(description="flange diameter")
    flange_height: Room = Field(description="how far the flange stands proud of the face")
    length: Size = Field(description="under the flange")
    grip: Span = Field(description="[least, most] sheet thickness")
    torque: Amount = Field(description="recommended screw torque, N·m")


class ClipNut(_Threaded):
    """A spring nut slid over the panel's edge."""

    is_: Literal["clip-nut"] = Field(alias="is")
    hole: Size = Field(description="panel hole that it needs")
    stands_proud: Room = Field(description="how far it stands proud of the face")
    reach: Size = Field(description="from the panel's edge to the hole")
    grip: Span = Field(description="[least, most] sheet thickness")


class ThreadItem(_Threaded):
    """A thread that is already in the metal."""

    is_: Literal["thread"] = Field(alias="is")


class Insert(_Threaded):
    """A heat-set threaded insert."""

    is_: Literal["insert"] = Field(alias="is")
    hole: Size = Field(description="hole in the model")
    outside: Size = Field(description="greatest outside diameter")
    length: Size = Field(description="of the insert")
    over: Room = Field(default=0.8, description="how much deeper the pocket is than the insert")
    wall: Size = Field(description="least wall round it")


class Pilot(Item):
    """A hole for a thread-forming screw."""

    is_: Literal["pilot"] = Field(alias="is")
    thread: ScrewThread = Field(description='of the screw, such as "ST4.2"')
    diameter: Size = Field(description="outside diameter of the screw's thread")
    hole: Size = Field(description="hole in the model")
    wall: Size = Field(description="least wall round it")
    engagement: Size = Field(description="least length of thread in the plastic")


class Through(_Threaded):
    """A bolt right through, with a nut behind."""

    is_: Literal["through"] = Field(alias="is")
    hole: Size | None = Field(default=None, description="in the mount; ISO 273 medium when not given")
    nut_across: Size = Field(description="nut across flats")
    nut_height: Size = Field(description="nut height")


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


PanelItem = RivetNut | WellNut | ClipNut | ThreadItem | Through
SpeakerItem = Insert | Pilot | Through
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
