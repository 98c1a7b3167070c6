"""The loudspeaker unit, in its own frame: seat at z = 0, cone towards +z, clock as seen from its front."""

from math import pi, sqrt
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo, field_validator, model_validator

from mounts.load.models.base import Area, Clock, Frequency, Frozen, Mass, Name, Room, Size, Text
from mounts.load.models.outline import BoltCircle, Flange, OutlineSpec, Point, Points, numbers
from mounts.load.models.surroundings import refuse_bare_small
from mounts.load.parse.units import LengthsError

USUALLY_PLAYS = {"cone": (80.0, 3000.0), "dome": (3000.0, 20_000.0)}  # Hz, crossed over: common practice, no source


class SpeakerHoles(Frozen):
    """The flange's screw holes."""

    bolt_circle: BoltCircle | None = Field(default=None, description="{diameter, count, first}")
    at: Points | None = Field(default=None, description="instead of bolt_circle: [x, y] of each hole")
    diameter: Size = Field(description="of the holes in the flange")

    @model_validator(mode="after")
    def _one_pattern(self) -> Self:
        if (self.at is None) == (self.bolt_circle is None):
            given = "at and bolt_circle are both given" if self.at else "where the holes are is missing"
            raise ValueError(f"{given}; give bolt_circle: {{diameter, count, first}} or at: [[x, y], …]")
        return self

    @property
    def points(self) -> dict[str, Point]:
        """Centre of each hole by name, mm; those of a bolt circle or a list are 1, 2, 3 … clockwise or as listed."""
        if self.at is not None:
            return self.at
        assert self.bolt_circle is not None
        return dict(zip(numbers(self.bolt_circle.count), self.bolt_circle.points(), strict=True))


class BodyStep(Frozen):
    """One diameter of the body behind the seat; between two steps the body is a cone."""

    depth: Room = Field(description="behind the seat")
    across: Size = Field(description="the body's diameter there")


class Terminals(Frozen):
    """The terminals with their plugs on."""

    at: Clock = Field(description="clock direction, seen from the speaker's front")
    reach: Size = Field(description="from the axis to the outside of the plug")
    width: Size = Field(description="across, at right angles to the reach")
    depth: tuple[Room, Room] = Field(description="[from, to] behind the seat")

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if self.depth[0] >= self.depth[1]:
            raise LengthsError("depth [{}, {}] does not rise; give [from, to]", *self.depth)
        return self


class Front(Frozen):
    """Front of the speaker: what stands before its seat."""

    height: Room = Field(description="highest fixed point above the seat")
    travel: Room = Field(default=0.0, description="greatest travel of the cone towards the grille")


def _rising(value: tuple[float, float]) -> tuple[float, float]:
    if value[0] >= value[1]:
        raise ValueError(f"plays [{value[0]:g}, {value[1]:g}] does not rise; give [from, to] in Hz")
    return value


def _one_or_more(value: object) -> object:
    return [value] if isinstance(value, dict | Terminals) else value


def _steps(body: object) -> list[object]:
    """Return a body's steps as written; none where some carry a unit, since missing units are reported elsewhere."""
    steps = body if isinstance(body, list) else []
    return [] if any(isinstance(one, dict) and isinstance(one.get("across"), str) for one in steps) else steps


class Speaker(Frozen):
    """One loudspeaker unit."""

    kind: Literal["speaker"]
    name: Name = Field(description="the file's own name")
    about: Text = Field(default="", description="what it is, in a few words")
    type: Literal["cone", "dome"] = Field(default="cone", description="cone (woofer) or dome (tweeter)")
    nominal: Size | None = Field(default=None, description='the size it is sold as, such as "5.25 in"')
    mass: Mass | None = Field(default=None, description="kg")
    cutout: OutlineSpec = Field(description="the hole that the speaker's maker asks for")
    flange: Flange = Field(description="{diameter, thickness}, or another outline with its thickness")
    holes: SpeakerHoles | None = Field(default=None, description="the flange's screw holes")
    depth: Size = Field(description="from the seat to the rearmost point")
    body: tuple[BodyStep, ...] = Field(default=(), description="the body's diameters in rising depth behind the seat")
    terminals: Annotated[
        tuple[Terminals, ...],
        BeforeValidator(_one_or_more),
    ] = Field(default=(), description="with their plugs on: one, or a list", json_schema_extra={"x-or-one": True})
    front: Front | None = Field(default=None, description="what stands in front of the seat")
    piston: Size | None = Field(default=None, description="effective diameter of the cone, to mid surround")
    sd: Area | None = Field(default=None, description='instead of piston: the effective area, such as "133 cm2"')

    plays: Annotated[tuple[Frequency, Frequency], AfterValidator(_rising)] | None = Field(
        default=None, description='[from, to] as it is crossed over, Hz, or texts such as "3 kHz"'
    )

    @field_validator("nominal", "cutout", "flange", "body", "piston", mode="before")
    @classmethod
    def _not_inches(cls, raw: object, info: ValidationInfo) -> object:
        if info.data.get("type") == "cone":
            for one in _steps(raw) if info.field_name == "body" else [raw]:
                refuse_bare_small(one)
        return raw

    @model_validator(mode="after")
    def _one_piston(self) -> Self:
        if self.piston is not None and self.sd is not None and abs(self.sd / (pi / 4 * self.piston**2) - 1) > 0.1:
            what = f"piston {{}} and sd {self.sd / 100:g} cm2 disagree; that area is a piston of {{}}"
            raise LengthsError(what, self.piston, round(sqrt(4 * self.sd / pi), 1))
        return self

    @property
    def band(self) -> tuple[float, float]:
        """Hz from and to which it plays; where that is not given, what is usual for its type: common practice."""
        return self.plays or USUALLY_PLAYS[self.type]

    @property
    def piston_diameter(self) -> float | None:
        """Effective diameter of the moving cone in mm, from `piston` or `sd`; None when neither is given."""
        if self.piston is not None:
            return self.piston
        return sqrt(4 * self.sd / pi) if self.sd is not None else None
