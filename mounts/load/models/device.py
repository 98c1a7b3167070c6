"""A device that is screwed onto a board, such as an amplifier; seen from above, its body's centre is the origin."""

from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from mounts.load.models.base import Amount, Frozen, Length, Mass, Name, Number, Room, Size, Text
from mounts.load.models.outline import OutlineSpec, Points
from mounts.load.parse import units


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
