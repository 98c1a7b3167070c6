"""A board job as it is written: a plate for amplifiers and processors, on feet that are glued to the floor lining.

A device that is screwed onto a board, such as an amplifier; seen from above, its body's centre is the origin.
"""

from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from mounts.load.models.base import Amount, Angle, At, Frozen, Length, Mass, Name, Number, Room, Size, Text
from mounts.load.models.job_file import FixSpeaker, JobFile, Label, OrFalse, Part, part
from mounts.load.models.limits import Limits
from mounts.load.models.outline import OutlineSpec, Points
from mounts.load.models.surroundings import Nearby
from mounts.load.models.workshop import Material, Printer
from mounts.load.parse import units
from mounts.load.parse.units import quote_value

Fix = FixSpeaker | None


def _side(value: object) -> float:
    found = units.clock(value)
    if found % 90:
        raise ValueError(f'{units.quote_value(value)} is no side of a device; give "12:00", "3:00", "6:00" or "9:00"')
    return found


Towards = Annotated[float, BeforeValidator(_side), WithJsonSchema({"x-value": "clock"})]


class DeviceHoles(Frozen):
    """The holes or slots in its ears or its floor."""

    at: Points = Field(description="[x, y] of each hole, from the body's centre, seen from above")
    diameter: Size | None = Field(default=None, description="of the holes")
    slot: tuple[Size, Size] | None = Field(default=None, description="instead of diameter: [width, height] of a slot")

    @model_validator(mode="after")
    def _one_size(self) -> Self:
        if (self.diameter is None) == (self.slot is None):
            found = "diameter and slot are both given" if self.slot else "the holes' size is missing"
            raise ValueError(f"{found}; give diameter: 5, or slot: [8, 5]")
        return self

    @property
    def passes(self) -> float:
        """Diameter of what goes through, mm."""
        return min(self.slot) if self.slot else self.diameter or 0.0


class Plugs(Frozen):
    """The room that the plugs on one side need, cables bent."""

    side: Towards = Field(description='"12:00", "3:00", "6:00" or "9:00", seen from above')
    reach: Size = Field(description="from the device's edge to where the cables have bent away")
    width: Size = Field(description="along the side")
    offset: Length = Field(default=0.0, description="from the side's middle to that width's, clockwise positive")


class Air(Frozen):
    """The free air that its maker asks for."""

    sides: Room = Field(default=0.0, description="round it")
    above: Room = Field(default=0.0, description="over it")


class Device(Frozen):
    """One device as it stands on the board."""

    kind: Literal["device"]
    name: Name = Field(description="the file's own name")
    about: Text = Field(default="", description="what it is, in a few words")
    source: Text = Field(default="", description="where the figures come from")
    outline: OutlineSpec = Field(description="all of it with its ears, seen from above: {rectangle: [w, h, corner]}")
    body: OutlineSpec | None = Field(
        default=None, description="what stands up between the ears; the outline if not given"
    )
    height: Size = Field(description="over the board")
    ears: Room = Field(default=0.0, description="thickness of what the screws clamp")
    mass: Mass | None = Field(default=None, description="kg")
    holes: DeviceHoles = Field(description="{at: [[x, y], …], diameter: 5}")
    plugs: tuple[Plugs, ...] = Field(default=(), description="a list: each side that has plugs")
    air: Air | None = Field(default=None, description="{sides: 20, above: 30}: what its maker asks for")
    loss_w: Amount | None = Field(default=None, description="heat that it gives off with loud music, on average, W")
    ambient: Number | None = Field(default=None, description="warmest air that its maker allows, degrees C")


class Placed(Frozen):
    """One device in its place on the board."""

    device: Part[Device] = part("device")
    at: At = Field(default=(0.0, 0.0), description="[x, y] of its body's centre on the board")
    turn: Angle = Field(default=0.0, description="clockwise, seen from above, degrees")
    fix: Fix = Field(default=None, description="what its screws hold in, where not what the others' do")


class Passage(Frozen):
    """A slot with round ends for cables, both its edges rounded."""

    at: At = Field(description="[x, y] of its centre")
    slot: tuple[Size, Size] = Field(description="[width, height] that stays free for cables")
    turn: Angle = Field(default=0.0, description="clockwise, degrees")


class Feet(Frozen):
    """The stand-off feet that are glued to the floor lining."""

    across: Size = Field(default=60.0, description="diameter of each")
    height: Size = Field(default=15.0, description="from the floor lining to the board")
    at: Points | None = Field(
        default=None, description="[x, y] of each, three at least; four near the corners if not given"
    )
    material: Part[Material | None] = Field(
        default=None,
        description="of the printed feet under a board that is cut: name of a material, or the material itself",
        json_schema_extra={"x-part": "Material"},
    )


class Glue(Frozen):
    """Strength of the glue under the feet, by what fails first: the glue, or the lining's own layers."""

    shear_mpa: Amount = Field(default=0.3, description="that it bears along the floor, MPa")
    pull_mpa: Amount = Field(default=0.2, description="that it bears away from the floor, MPa")
    source: Text = Field(default="", description="where the figures come from")


class Wrap(Frozen):
    """Carpet round the board: over its top, round its edge, folded back below."""

    thickness: Size = Field(description="of the carpet, pressed by hand")
    glue: Room = Field(default=0.3, description="of the glue under it")
    fold: Size = Field(default=35.0, description="how far it is folded back below")
    relief: Room = Field(default=2.0, description="punched out of it round each screw, wider than head or washer")


def _no_wrap(value: object) -> object:
    if value is False:
        return None
    if value is True or value is None:
        raise ValueError(f"{quote_value(value)} is no wrap; give {{thickness: 4}}, or false for none")
    return value


class BoardFile(JobFile):
    """A board job as its file holds it, after `based_on`."""

    kind: Literal["board"]
    material: Part[Material] = part("material")
    printer: Part[Printer] = part("printer")
    make: Literal["print", "cut"] = Field(default="cut", description="cut from sheet, or print")
    thickness: Size = Field(description="of the sheet, or of the printed board")
    outline: OutlineSpec | None = Field(
        default=None, description="of the finished board; the least one round its devices if not given"
    )
    margin: Room = Field(default=15.0, description="of the least outline round the devices")
    devices: dict[Name, Placed] = Field(min_length=1, description="each by a name of yours, with its place")
    fix_devices: FixSpeaker = Field(description="what the devices' screws hold in: a pilot, a through bolt, an insert")
    passages: dict[Name, Passage] = Field(default={}, description="for cables, each by a name of yours")
    edge: Size | None = Field(default=None, description="radius on both edges of a passage; 3 where there is room")
    feet: Feet = Field(default={}, validate_default=True, description="{across: 60, height: 15, at: [[x, y], …]}")
    fix_feet: Fix = Field(
        default=None, description="what the screws hold in that join a cut board to its feet: a pilot"
    )
    glue: Glue = Field(default={}, validate_default=True, description="{shear_mpa: 0.3, pull_mpa: 0.2, source: …}")
    wrap: Annotated[Wrap | None, BeforeValidator(_no_wrap), OrFalse()] = Field(
        default=None, description="carpet round the board: {thickness: 4}; false for none"
    )
    room: Size | None = Field(default=None, description="free height over the floor lining, to what is above")
    place: Literal["door", "dash", "pillar", "shelf", "floor", "boot"] | None = Field(
        default=None, description="floor, boot, shelf: heat"
    )
    nearby: tuple[Nearby, ...] = Field(default=(), description="airbags, sensors, fuel and brake lines close by")
    label: Label = Field(default="sunk", description="true: names engraved where the board is cut; false for none")
    limits: Limits = Field(default={}, validate_default=True, description="defaults to override")
