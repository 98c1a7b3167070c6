"""A board job as it is written: a plate for amplifiers and processors, on feet that are glued to the floor lining."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from mounts.load.models.base import Amount, Angle, At, Frozen, Name, Room, Size, Text
from mounts.load.models.device import Device
from mounts.load.models.job_file import FixSpeaker, JobFile, Label, OrFalse, Part, part
from mounts.load.models.limits import Limits
from mounts.load.models.outline import OutlineSpec, Points
from mounts.load.models.surroundings import Nearby
from mounts.load.models.workshop import Material, Printer
from mounts.load.parse.units import quote_value

Fix = FixSpeaker | None


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
