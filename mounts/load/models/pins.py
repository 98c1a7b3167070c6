"""A panel whose mount is held by moulded pins: the place behind a grille where a tweeter's cup is heat-staked."""

from math import pi
from typing import Annotated, Literal, Self, final

from pydantic import BeforeValidator, Field, field_validator, model_validator

from mounts.geometry.outline import Outline, circle, rectangle
from mounts.load.models.base import Angle, At, Footprint, Frozen, Name, Room, Size, Text
from mounts.load.models.outline import OutlineSpec, Point
from mounts.load.models.panel import Located, OtherSide
from mounts.load.models.surroundings import Nearby
from mounts.load.parse.units import LengthsError

FEWEST, MOST = 2, 6


class Pin(Frozen):
    """One moulded post on the panel's rear face, to be melted over into a head."""

    at: At = Field(description="its centre [x, y]")
    diameter: Size = Field(description="over its outside; of a cross over its arms")
    height: Size = Field(description="from the panel's rear face to its tip")
    form: Literal["round", "cross", "hollow"] = Field(default="round", description="round, cross or hollow")
    web: Size | None = Field(default=None, description="thickness of a cross's arms")
    hole: Size | None = Field(default=None, description="hole of a hollow pin")

    @model_validator(mode="after")
    def _whole_form(self) -> Self:
        for form, key, value in (("cross", "web", self.web), ("hollow", "hole", self.hole)):
            if (self.form == form) != (value is not None):
                what = (
                    f"a {form} pin needs its {key}"
                    if value is None
                    else f"{key} is for a {form} pin; give form: {form}"
                )
                raise ValueError(what)
            if value is not None and value >= self.diameter:
                raise LengthsError(key + " {} is not less than the pin's diameter {}", value, self.diameter)
        return self

    @property
    def section(self) -> float:
        """Area of the pin's section, mm²: what a mm of its height has to give to the head."""
        if self.web is not None:
            return 2 * self.diameter * self.web - self.web**2
        return pi / 4 * (self.diameter**2 - (self.hole or 0.0) ** 2)


class Standing(Frozen):
    """A moulded rib or stop that stands on the panel's rear face and must be kept clear of."""

    what: Text = Field(description="what it is, such as rib")
    at: At = Field(description="its centre [x, y]")
    size: Footprint = Field(description="[length, width], or one number: its diameter")
    turn: Angle = Field(default=0.0, description="of its length clockwise from x, degrees")
    height: Size = Field(description="from the panel's rear face to its top")

    def outline(self) -> Outline:
        """Return its outline in the panel frame, mm."""
        if isinstance(self.size, tuple):
            return rectangle(*self.size, 0.0).turned(-self.turn).moved(*self.at)
        return circle(self.size, self.at)


class Grille(OutlineSpec):
    """The aperture that sound goes through, and the room between the rear face and what covers it."""

    at: At = Field(default=(0.0, 0.0), description="centre of the aperture")
    height: Room = Field(default=0.0, description="from the rear face forward to the inside of the grille")
    cover: Literal["fixed", "comes off"] | None = Field(
        default=None, description="whether the grille comes off, so that a tweeter goes through: fixed or comes off"
    )


def _pins(value: object) -> object:
    if isinstance(value, dict) and not FEWEST <= len(value) <= MOST:
        raise ValueError(f"{len(value)} given; a cup is staked on {FEWEST} to {MOST} pins")
    return value


Pins = Annotated[dict[Name, Pin], BeforeValidator(_pins)]


@final
class PinPanel(Located):
    """A place in the vehicle whose rear face carries moulded pins; the mount hangs behind it.

    Datum: z = 0 is the rear face, +z towards the cabin, so the mount lies at z ≤ 0 and pins point to −z; x right and y
    up as seen from the cabin. A loaded panel is always seen from the front; `seen_from` then says "front".
    """

    origin: Text = Field(default="", description="the point from which x and y are measured")
    pins: Pins = Field(description="each by name: {A: {at: [x, y], diameter: 2.6, height: 8}, …}")
    plastic: Text = Field(default="", description="what the pins are moulded of, such as PP or ABS")
    seen_from: Literal["front", "behind"] = Field(
        default="front", description="behind: pins, grille and what stands there were measured from behind"
    )
    room: Size = Field(description="free depth behind the rear face")
    grille: Grille | None = Field(default=None, description="the aperture: {round: 30, at: [x, y], height: 3}")
    standing: tuple[Standing, ...] = Field(default=(), description="ribs and stops to keep clear of")
    nearby: tuple[Nearby, ...] = Field(default=(), description="what is near: side airbag, sunlight sensor …")

    @field_validator("other_side")
    @classmethod
    def _no_same(cls, other: OtherSide | None) -> OtherSide | None:
        if other is not None and other.as_ == "same":
            raise ValueError("pins of a moulded panel are never the same on both sides; give mirrored, or a panel")
        return other

    @property
    def points(self) -> dict[str, Point]:
        """Centre of each pin by name, mm."""
        return {name: pin.at for name, pin in self.pins.items()}
