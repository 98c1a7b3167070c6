"""A cup job as it is written: a tweeter's cup that is heat-staked on a panel's pins."""

from typing import Annotated, ClassVar, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from mounts.load.models.aim import Aim
from mounts.load.models.base import At, Chance, Frozen, Room, Short, Size
from mounts.load.models.job_file import JobFile, Label, Part, Turn, Wire, WithSpeakerScrews, part
from mounts.load.models.limits import Limits
from mounts.load.models.panel import Side
from mounts.load.models.pins import PinPanel
from mounts.load.models.speaker import Speaker
from mounts.load.models.workshop import Material, Printer
from mounts.load.parse import units


def _height(value: object) -> object:
    if value == "best":
        return value
    if isinstance(value, str) and value[:1].isalpha():
        raise ValueError(f'{units.quote_value(value)} is not known here; give a number or "best"')
    return units.length(value)


def _ribs(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 3 <= value <= 12:
        raise ValueError(f"{units.quote_value(value)} is not a number of crush ribs; give a whole number from 3 to 12")
    return value


def _ratio(value: object) -> float:
    found = units.number(value)
    if not 1.5 <= found <= 2:
        raise ValueError(f"{units.quote_value(value)} is no head; give 1.5 to 2 pin diameters")
    return found


Height = Annotated[
    float | Literal["best"],
    BeforeValidator(_height),
    WithJsonSchema({"anyOf": [{"const": "best"}, {"x-value": "length"}]}),
]


class Clamp(Frozen):
    """A ring nut or spring clip that comes with the tweeter and clamps it from behind."""

    across: Size = Field(description="its greatest diameter")
    height: Size = Field(description="how far it stands behind the cup")
    grip: tuple[Room, Room] = Field(description="[least, most] thickness that it clamps")

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if self.grip[0] >= self.grip[1]:
            raise units.LengthsError("grip [{}, {}] does not rise; give [least, most]", *self.grip)
        return self


class Retention(Short):
    """Retention of the tweeter in its cup."""

    shorthand: ClassVar[str] = "by"

    by: Literal["press", "flange", "ring nut", "spring clip"] = Field(
        description="press, flange, ring nut or spring clip"
    )
    ribs: Annotated[int, BeforeValidator(_ribs), WithJsonSchema({"type": "integer", "minimum": 3, "maximum": 12})] = (
        Field(default=6, description="number of crush ribs, for press")
    )
    interference: Room | None = Field(
        default=None, description="of body and ribs, on the diameter, for press; chosen when not given"
    )
    keep: Literal["lip", "lugs"] = Field(
        default="lugs", description="what keeps a pressed tweeter once the press has relaxed: lip or lugs"
    )
    clamp: Clamp | None = Field(default=None, description="the tweeter's ring nut or spring clip")

    @model_validator(mode="after")
    def _has_clamp(self) -> Self:
        clamped = self.by in ("ring nut", "spring clip")
        if clamped and self.clamp is None:
            raise ValueError(f"{self.by} needs its sizes; give clamp: {{across: 40, height: 5, grip: [2, 8]}}")
        if not clamped and self.clamp is not None:
            raise ValueError(f"clamp is for a ring nut or spring clip; leave it out with {self.by}")
        return self


class Staking(Short):
    """Form of the staked heads of the pins."""

    shorthand: ClassVar[str] = "head"

    head: Literal["dome", "flat", "hollow"] | None = Field(
        default=None, description="dome, flat or hollow; dome, and hollow on a hollow pin, when not given"
    )
    ratio: Annotated[
        float | None, BeforeValidator(_ratio), WithJsonSchema({"type": "number", "minimum": 1.5, "maximum": 2})
    ] = Field(default=None, description="head's diameter in pin diameters, 1.5 to 2; as the pins allow if not given")
    tip: Size = Field(default=6.0, description="diameter of the iron's tip with its cavity")


class CupFile(JobFile):
    """A cup job as its file holds it, after `based_on`."""

    kind: Literal["cup"]
    panel: Part[PinPanel] = part("panel", "PinPanel")
    speaker: Part[Speaker] = part("speaker")
    material: Part[Material] = part("material")
    printer: Part[Printer] = part("printer")
    make: Literal["print"] = Field(default="print", description="a cup is printed")
    sides: tuple[Side, ...] = Field(default=(), description="[left, right]; the panel's own side when not given")
    aim: Aim = Field(default={}, validate_default=True, description='{tilt: 12, toward: "4:00"}')
    height: Height = Field(
        default="best", description="of the seat's centre over the rear face, below 0; or best: nearest the grille"
    )
    turn: Turn = Field(default="best", description="of the speaker about its own axis, degrees, or best")
    sure: Chance = Field(default=0.95, description="wanted chance that it goes on, above 0 and below 1")
    retention: Retention = Field(description="press, flange, or {by, …}")
    fix_speaker: WithSpeakerScrews = Field(
        default=None, description="for flange: name of an insert or pilot, or false for none"
    )
    staking: Staking = Field(default={}, validate_default=True, description="dome, flat, hollow, or {head, ratio, tip}")
    back: Literal["open", "closed"] = Field(default="open", description="closed: a floor behind the tweeter")
    vent: Size | None = Field(default=None, description="vent hole in a closed back; 3 when not given")
    wire: Wire | None = Field(default=None, description='notch for the wire: {at: "6:00", across: 6}')
    seat_offset: At = Field(default=(0.0, 0.0), description="[x, y] of the seat's centre from the grille's, or origin")
    label: Label = Field(default="sunk", description="true, false, sunk or raised")
    limits: Limits = Field(default={}, validate_default=True, description="defaults to override")
