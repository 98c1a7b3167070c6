"""A spacer job as it is written: a sleeve between a panel's opening and a smaller body."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from mounts.load.models.base import At, Clock, Flag, Frozen, Room, Size, Text
from mounts.load.models.job_file import JobFile, Label, Part, part
from mounts.load.models.limits import Limits
from mounts.load.models.port import Fits, FitWord, Port
from mounts.load.models.workshop import Material, Printer
from mounts.load.parse.units import quote_value


def _slit(value: object) -> object:
    if isinstance(value, bool):
        return "slit" if value else None
    if value in ("slit", "halves"):
        return value
    raise ValueError(f"{quote_value(value)} is not known here; give true, false or halves")


Slit = Annotated[
    Literal["slit", "halves"] | None,
    BeforeValidator(_slit),
    WithJsonSchema({"anyOf": [{"type": "boolean"}, {"enum": ["slit", "halves"]}]}),
]


class FitWords(Frozen):
    """Fit words of the spacer on each face."""

    panel: FitWord = Field(default="press", description="in the panel's opening: press, push, slide or free")
    device: FitWord = Field(default="push", description="round the device: press, push, slide or free")


class Hold(Frozen):
    """Retention of the spacer on each face; crush ribs for a press, else its plain wall, when not given."""

    panel: Literal["ribs", "wall"] | None = Field(
        default=None, description="in the panel: crush ribs, or its wall alone"
    )
    device: Literal["ribs", "wall"] | None = Field(default=None, description="on the device: crush ribs, or its wall")


class Lip(Frozen):
    """The collar that lies on the face."""

    reach: Size = Field(default=2.0, description="past the opening's edge, a side")
    thickness: Size = Field(default=1.6, description="of the lip")


def _lip(value: object) -> object:
    if value is False:
        return None
    if value is True:
        return Lip()
    if value is None:
        raise ValueError(f"{quote_value(value)} is not a lip; give {{reach: 2, thickness: 1.6}}, or false for none")
    return value


WithLip = Annotated[Lip | None, BeforeValidator(_lip)]


class SpacerFile(JobFile):
    """A spacer job as its file holds it, after `based_on`."""

    kind: Literal["spacer"]
    port: Part[Port] = part("port")
    device: Part[Port] = part("port")
    material: Part[Material] = part("material")
    printer: Part[Printer] = part("printer")
    make: Literal["print"] = Field(default="print", description="a spacer is printed")
    at: At = Field(default=(0.0, 0.0), description="[x, y] of the device's centre from the opening's")
    fit: FitWords = Field(default={}, validate_default=True, description="{panel: press, device: push}")
    hold: Hold = Field(default={}, validate_default=True, description="{panel: ribs, device: wall}")
    bump: Flag = Field(default=False, description="a snap bump behind the panel, besides the fit")
    lip: WithLip = Field(default={}, validate_default=True, description="{reach: 2, thickness: 1.6}, or false")
    stop: Flag | None = Field(
        default=None,
        description="a shoulder behind the device that takes the plugging force; true where there is room if not given",
    )
    length: Size | None = Field(default=None, description="of the sleeve behind the face; what is needed if not given")
    recess: Room = Field(default=0.0, description="how far the device's front lies behind the spacer's")
    slit: Slit = Field(default=None, description="true, or halves, when it goes on over a finished cable")
    slit_at: Clock | None = Field(default=None, description="clock direction of the slit, or of the halves' joint")
    slit_width: Size | None = Field(default=None, description="of the slit; as wide as the cable if not given")
    replaces: Text = Field(default="", description="what comes out of a printed part first, such as the old tweeter")
    label: Label = Field(default=None, description="false: a spacer has no room for lettering")
    fits: Fits = Field(
        default={}, validate_default=True, description="what the fit words mean, ribs, bump: to override"
    )
    limits: Limits = Field(default={}, validate_default=True, description="defaults to override")
