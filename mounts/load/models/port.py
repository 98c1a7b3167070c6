"""A port: the opening in a panel, the body of a device that goes into it, or both, as a standard or a caliper says.

Fits, ribs, bumps and edges of sleeves as data; a job may override any of them.
"""

from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from mounts.load.models.base import Amount, Frozen, Length, Name, Room, Share, Size, Text
from mounts.load.models.outline import OutlineSpec
from mounts.load.models.surroundings import Nearby
from mounts.load.parse import units

STEEPEST = 15.0  # degrees: an opening that narrows more is no opening for a sleeve
FitWord = Literal["press", "push", "slide", "free"]


def _count(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 3 <= value <= 12:
        raise ValueError(f"{units.quote_value(value)} is not a number of ribs; give a whole number from 3 to 12")
    return value


class Fits(Frozen):
    """Values of the fit words, on the diameter, on a usual printer and up to 30 mm; and of a spacer's details.

    Clearances are those of print guides: press 0.05 to 0.1 of interference, push 0.05 to 0.1, slip 0.2, loose 0.3 to
    0.5. The rest is common practice unless a description names a source.
    """

    press: Length = Field(default=-0.1, description="press, on the diameter: negative is interference (print guides)")
    push: Length = Field(default=0.075, description="push: goes on by hand and stays (print guides)")
    slide: Length = Field(default=0.2, description="slide: goes on by itself (print guides: slip)")
    free: Length = Field(default=0.4, description="free (print guides: loose)")

    rib: Room = Field(default=0.25, description="interference of a crush rib's tip, a side (a moulding guide)")
    rib_across: Room = Field(default=1.2, description="diameter of a crush rib's round back: three printed lines")
    rib_length: Room = Field(default=3.0, description="length along which a rib presses; longer ones go in by no hand")
    ribs: Annotated[int, BeforeValidator(_count), WithJsonSchema({"type": "integer", "minimum": 3, "maximum": 12})] = (
        Field(default=3, description="ribs round a circle; three are needed and enough (a printed example)")
    )
    bump: Room = Field(default=0.6, description="how far a snap bump stands behind the panel's edge, a side")
    bump_play: Room = Field(default=0.2, description="play between lip and bump along the axis")
    seat: Room = Field(default=1.2, description="how far a stop reaches in under the device, a side")
    stop: Room = Field(default=1.6, description="material behind a stop's seat")
    edge: Room = Field(default=0.5, description="broken edges, and the lead-in behind")
    cable: Room = Field(default=0.5, description="slit and passage wider than the cable by this")
    slit: Room = Field(default=2.0, description="slit where no cable is given, and least slit")
    kerf: Room = Field(default=0.3, description="gap between two halves")
    friction: Share = Field(default=0.2, description="of plastic on plastic, dry; low, from memory")


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
    nearby: tuple[Nearby, ...] = Field(default=(), description="airbags and sensors close by")
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
