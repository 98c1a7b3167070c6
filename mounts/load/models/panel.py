"""The place in the vehicle: what was measured on and round a panel's opening."""

from typing import Annotated, ClassVar, Literal, Self

from pydantic import BeforeValidator, Field, InstanceOf, WithJsonSchema, field_validator, model_validator

from mounts.geometry.outline import Outline
from mounts.geometry.survey.survey import Survey
from mounts.load.models.base import Angle, Frozen, Name, Room, Short, Size, Text
from mounts.load.models.fixings import Fixings
from mounts.load.models.outline import Opening
from mounts.load.models.surroundings import Behind, Ears, InFront, Nearby, Seats, refuse_bare_small
from mounts.load.parse import units

INSTRUMENTS = ("caliper", "rubbing", "clay", "depth rod", "tape")
Side = Literal["left", "right"]
OTHER: dict[Side, Side] = {"left": "right", "right": "left"}


def _instrument(value: object) -> object:
    if isinstance(value, str) and value in INSTRUMENTS:
        return value
    if isinstance(value, str) and not value[:1].isdigit():
        raise ValueError(
            f"{units.quote_value(value)} is not an instrument; give one of {', '.join(INSTRUMENTS)}, or a number"
        )
    return units.room(value)


Instrument = Annotated[
    str | float,
    BeforeValidator(_instrument),
    WithJsonSchema({"anyOf": [{"enum": list(INSTRUMENTS)}, {"type": "number", "minimum": 0}]}),
]


class Measured(Frozen):
    """Person who measured, and the date."""

    by: Text | None = Field(default=None, description="who measured")
    on: Text | None = Field(default=None, description="date, as 2026-11-20")


class ReadWith(Frozen):
    """Instrument, or one standard deviation in mm, that each group of readings was taken with."""

    holes: Instrument = Field(default="caliper", description="instrument for the opening and the fixings")
    behind: Instrument = Field(default="depth rod", description="instrument for what is behind the face")
    in_front: Instrument = Field(default="clay", description="instrument for what is in front of the face")
    ears: Instrument = Field(default="tape", description="instrument for the distances to the ears")


class OtherSide(Short):
    """Relation of the other side of the vehicle to this one."""

    shorthand: ClassVar[str] = "as"

    as_: Name = Field(alias="as", description="mirrored, same, or the name of the panel measured there")
    check: dict[Name, Size] = Field(
        default={}, description="centre distances read on the other side, such as {A-C: 150.1}"
    )


class Original(Frozen):
    """The speaker that was there before: room that is proven."""

    front: Room | None = Field(default=None, description="height of its front above the face")
    depth: Size | None = Field(default=None, description="its depth behind the face")
    flange: Size | None = Field(default=None, description="its flange's diameter")


class Bead(Frozen):
    """A raised ring pressed into the sheet round the opening."""

    inside: Size = Field(description="diameter where it begins")
    outside: Size = Field(description="diameter where it ends")
    height: Size = Field(description="above the face")

    @model_validator(mode="after")
    def _rises_outward(self) -> Self:
        if self.inside >= self.outside:
            raise units.LengthsError("the bead's inside {} is not less than its outside {}", self.inside, self.outside)
        return self


class Face(Frozen):
    """The surface on which the mount sits."""

    of: Text | None = Field(default=None, description="what it is made of, such as steel")
    thickness: Size | None = Field(default=None, description="of the sheet")
    bead: Bead | None = Field(default=None, description="raised ring round the opening")
    lining: Size | None = Field(default=None, description="thickness of a lining, cut away under the base")


class Located(Frozen):
    """Data of every panel: whose readings, by which instruments, and where in the vehicle."""

    kind: Literal["panel"]
    name: Name = Field(description="the file's own name")
    about: Text = Field(default="", description="what it is, in a few words")
    measured: Measured = Field(default={}, validate_default=True, description="who measured, and when")
    read_with: ReadWith = Field(default={}, validate_default=True, description="instruments, each with its uncertainty")
    side: Side = Field(default="left", description="left or right, as sitting in the vehicle")
    other_side: OtherSide | None = Field(default=None, description="mirrored, same, or another panel's name")
    place: Literal["door", "dash", "pillar", "shelf", "floor", "boot"] | None = Field(
        default=None, description="decides heat and water"
    )
    lean: Angle = Field(default=0.0, description="how far the panel's top leans outboard, degrees")
    toe: Angle = Field(default=0.0, description="how far the face is turned rearward, degrees")
    ears: Ears | None = Field(
        default=None, description="from the opening's centre, or that of the pins' pattern, to the listeners' ears"
    )
    seats: Seats | None = Field(
        default=None, description="the seats' hip points instead, from which the ears are estimated"
    )


class Panel(Located):
    """One place in the vehicle, in its own frame: origin at the opening's centre, x right, y up, seen from the cabin.

    A loaded panel is always seen from the front; `seen_from` then says "front".
    """

    original: Original | None = Field(default=None, description="the speaker that was there")
    face: Face = Field(default={}, validate_default=True, description="the surface that the mount sits on")
    opening: Opening = Field(description="the hole in the panel, such as {round: 120}")
    fixings: Fixings = Field(description="where the mount is fastened")
    seen_from: Literal["front", "behind"] = Field(
        default="front", description="behind: the opening and the fixings were measured on the bench from behind"
    )
    behind: Behind | None = Field(default=None, description="depths from the face")
    in_front: InFront | None = Field(default=None, description="heights above the face")
    nearby: tuple[Nearby, ...] = Field(default=(), description="what is near: side airbag, door pressure sensor …")

    _not_inches = field_validator("opening", mode="before")(refuse_bare_small)

    @property
    def trim_rim(self) -> Outline:
        """The edge at which readings in front were taken: the trim's opening, else the panel's."""
        trim = self.in_front.trim if self.in_front else None
        return (trim.opening if trim and trim.opening else self.opening).outline()


class SurveyedPanel(Panel):
    """A panel whose readings were solved: its fixings as points, and the survey with their covariance.

    No file gives one; only `load.resolve.survey` makes it.
    """

    survey: InstanceOf[Survey]
