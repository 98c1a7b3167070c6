"""A ring job as it is written: which panel, speaker, material and printer, and what is wanted."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from mounts.load.models.aim import Aim
from mounts.load.models.base import At, Chance, Flag, Room, Size
from mounts.load.models.job_file import (
    FixToPanel,
    Gaskets,
    Height,
    JobFile,
    Label,
    Part,
    Turn,
    Wire,
    WithSpeakerScrews,
    part,
)
from mounts.load.models.limits import Limits
from mounts.load.models.panel import Panel, Side
from mounts.load.models.speaker import Speaker
from mounts.load.models.workshop import Material, Printer
from mounts.load.parse import units

AS_NEEDED = "as needed"


def _in_two(value: object) -> object:
    """Return true, false or "as needed" unchanged, and a clock direction in degrees."""
    if isinstance(value, bool) or value == AS_NEEDED:
        return value
    try:
        return units.clock(value)
    except ValueError as error:
        need = 'give true, false, as needed, or where a lap is to be, "3:00"'
        raise ValueError(f"{units.quote_value(value)} is not known here; {need}") from error


InTwo = Annotated[
    bool | float | Literal["as needed"],
    BeforeValidator(_in_two),
    WithJsonSchema({"anyOf": [{"type": "boolean"}, {"type": "string"}]}),
]


class RingFile(JobFile):
    """A ring job as its file holds it, after `based_on`."""

    kind: Literal["ring"]
    panel: Part[Panel] = part("panel")
    speaker: Part[Speaker] = part("speaker")
    material: Part[Material] = part("material")
    printer: Part[Printer] = part("printer")
    make: Literal["print", "cut"] = Field(default="print", description="print, or cut from sheet")
    sheet: Size | None = Field(default=None, description="thickness of the sheet, for make: cut")
    sides: tuple[Side, ...] = Field(default=(), description="[left, right]; the panel's own side when not given")
    aim: Aim = Field(
        default={}, validate_default=True, description='{tilt: 8, toward: "10:30"}; or best, or {at, within, …}'
    )
    height: Height | None = Field(
        default=None,
        description="of the seat's centre above the face; or least; or best: nearest to the grille. Best if not given "
        "where the aim is to be found, else least",
    )
    turn: Turn = Field(default="best", description="of the speaker about its own axis, degrees, or best")
    sure: Chance = Field(default=0.95, description="wanted chance that it goes on and clears, above 0 and below 1")
    fix_to_panel: FixToPanel = Field(description="name of a rivet nut or the like, or {hardware, screw, washer}")
    fix_speaker: WithSpeakerScrews = Field(
        default=None, description="name of an insert or pilot, or {hardware, screw}; false for none"
    )
    wire: Wire | None = Field(default=None, description='{at: "6:00", across: 8}')
    seat_offset: At | None = Field(
        default=None,
        description="[x, y] of the seat's centre from the opening's. If not given it is found within limits: "
        "{aside: …} where the aim is to be found, else it is none",
    )
    gaskets: Gaskets = Field(default={}, validate_default=True, description="base, speaker and trim gaskets")
    collar: Flag = Field(default=False, description="wall that carries the front wave to the trim")
    flush: Flag = Field(default=False, description="the flange let into a rim")
    proud: Room | None = Field(
        default=None,
        description="how far a front that a search places may stand out of the trim's opening. If not given, the "
        "opening counts as closed where no grille was read",
    )
    in_two: InTwo = Field(
        default="as needed",
        description="two halves with laps and screws: true; false; as needed: where the printer's bed is too small; "
        'or where one lap is to be, such as "3:00"',
    )
    fix_halves: WithSpeakerScrews = Field(
        default=None, description="what screws the halves together; insert-m3-short when not given"
    )
    label: Label = Field(default="sunk", description="true, false, sunk or raised")
    limits: Limits = Field(default={}, validate_default=True, description="defaults to override")
