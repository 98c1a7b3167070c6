"""A port: the opening in a panel, the body of a device that goes into it, or both, as a standard or a caliper says."""

from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from mounts.load.models.base import Amount, Frozen, Name, Room, Size, Text
from mounts.load.models.outline import OutlineSpec
from mounts.load.parse import units

STEEPEST = 15.0  # degrees: an opening that narrows more is no opening for a sleeve


def _taper(value: object) -> float:
    found = units.angle(value)
    if not 0 <= found <= STEEPEST:
        raise ValueError(f"{units.quote_value(value)} is not a taper; give 0 to {STEEPEST:g} degrees a side")
    return found


Taper = Annotated[float, BeforeValidator(_taper), WithJsonSchema({"x-value": "angle"})]


class Port(Frozen):
    """Port: an opening, a body, or both. Origin at the opening's or the body's centre."""

    kind: Literal["port"]
    name: Name = Field(description="the file's own name")
    about: Text = Field(default="", description="what it is, in a few words")
    source: Text = Field(default="", description="where the figures come from")
    confidence: Text = Field(default="", description="how well the figures are known")
    opening: OutlineSpec | None = Field(default=None, description="the hole in the panel, such as {round: 29.2}")
    depth: Size | None = Field(default=None, description="free depth of the opening, from the panel's front")
    panel: Size | None = Field(default=None, description="thickness of the panel round the opening; the depth if not")
    taper: Taper = Field(default=0.0, description="of the opening, degrees a side: how it narrows behind")
    room: Size | None = Field(default=None, description="free depth behind the face, for the device and its plug")
    tolerance: Room = Field(default=0.1, description="how far opening or body may differ from these sizes, either way")
    place: Literal["door", "dash", "pillar", "shelf", "floor", "boot"] | None = Field(
        default=None, description="door, dash, pillar, shelf, boot or floor: heat"
    )
    nearby: tuple[Name, ...] = Field(default=(), description="airbags and sensors close by")
    body: OutlineSpec | None = Field(default=None, description="the device's outside, such as {round: 22.4}")
    length: Size | None = Field(default=None, description="of the body")
    bezel: OutlineSpec | None = Field(default=None, description="the body's own collar, which rests on the sleeve")
    cable: Size | None = Field(default=None, description="diameter of the cable behind the body")
    plug: OutlineSpec | None = Field(default=None, description="overmould of the plug that goes into the device")
    plug_force: Amount | None = Field(default=None, description="force of plugging in, N")
    pull_force: Amount | None = Field(default=None, description="force of pulling out, N")
    force_source: Text = Field(default="", description="where the forces come from")

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.opening is None and self.body is None:
            raise ValueError("neither opening nor body is given; give one of them, such as body: {round: 22.4}")
        return self
