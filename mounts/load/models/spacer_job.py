"""A spacer job as it is written: a sleeve between a panel's opening and a smaller body."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from mounts.load.models.base import Frozen
from mounts.load.models.job import JobFile, Label, Part, part
from mounts.load.models.limits import Limits
from mounts.load.units import shown

FitWord = Literal["press", "push", "slide", "free"]


def _slit(value: object) -> object:
    if isinstance(value, bool):
        return "slit" if value else None
    if value in ("slit", "halves"):
        return value
    raise ValueError(f"{shown(value)} is not known here; give true, false or halves")


Slit = Annotated[
    Literal["slit", "halves"] | None,
    BeforeValidator(_slit),
    WithJsonSchema({"anyOf": [{"type": "boolean"}, {"enum": ["slit", "halves"]}]}),
]


class Fit(Frozen):
    """How tight the spacer sits on each face."""

    panel: FitWord = Field(default="press", description="in the panel's opening: press, push, slide or free")
    device: FitWord = Field(default="push", description="round the device: press, push, slide or free")


class SpacerFile(JobFile):
    """A spacer job as its file holds it, after `based_on`."""

    kind: Literal["spacer"]
    port: Part = part("port")
    device: Part = part("port")
    material: Part = part("material")
    printer: Part = part("printer")
    make: Literal["print"] = Field(default="print", description="a spacer is printed")
    fit: Fit = Field(default={}, validate_default=True, description="{panel: press, device: push}")
    slit: Slit = Field(default=None, description="true, or halves, when it goes on over a finished cable")
    label: Label = Field(default=None, description="true, false, sunk or raised")
    limits: Limits = Field(default={}, validate_default=True, description="defaults to override")
