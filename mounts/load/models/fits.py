"""Fits, ribs, bumps and edges of spacers as data; a job may override any of them."""

from typing import Annotated

from pydantic import BeforeValidator, Field, WithJsonSchema

from mounts.load.models.base import Frozen, Length, Room, Share
from mounts.load.parse import units


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
