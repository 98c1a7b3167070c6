"""A kit as it is written: all the mounts of a vehicle, for as many vehicles as are to be fitted."""

from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from mounts.load.models.base import Frozen, Name, Room, Short, Text
from mounts.load.models.panel import Side
from mounts.load.parse.units import quote_value


def _copies(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 999:
        raise ValueError(f"{quote_value(value)} is not a number of copies; give a whole number from 1 to 999")
    return value


def _one_or_more(value: object) -> object:
    return value if isinstance(value, list | tuple) else (value,)


Copies = Annotated[int, BeforeValidator(_copies), WithJsonSchema({"type": "integer", "minimum": 1, "maximum": 999})]
ONE_OR_MORE: dict[str, Any] = {"x-or-one": True}


class KitJob(Short):
    """One of a kit's jobs; its mere name stands for all its sides, once a vehicle."""

    shorthand: ClassVar[str] = "job"

    job: Name = Field(description="name of a job in the library, or a path from the kit's file")
    sides: tuple[Side, ...] = Field(default=(), description="only these of its sides, as [left]; all when not given")
    quantity: Copies = Field(default=1, description="copies of each part for one vehicle")


class Every(Frozen):
    """Jobs that are made up: each of some panels with each of some speakers."""

    like: Name = Field(description="the job that says everything but panel and speaker")
    panels: tuple[Name, ...] = Field(default=(), description="their names; every panel of the library when not given")
    speakers: tuple[Name, ...] = Field(default=(), description="their names; every speaker when not given")


class KitFile(Frozen):
    """A kit as its file holds it."""

    kind: Literal["kit"]
    name: Name = Field(description="the file's own name")
    about: Text = Field(default="", description="what it is, in a few words")
    vehicle: Text = Field(default="", description="which vehicle it is for")
    date: Text = Field(default="", description="of the work, as 2026-11-20")
    notes: Text = Field(default="", description="anything worth keeping")
    vehicles: Copies = Field(default=1, description="how many vehicles are to be fitted")
    printers: Annotated[tuple[Name, ...], BeforeValidator(_one_or_more)] = Field(
        default=(),
        description="names of the printers to lay it out on; the jobs' own when not given",
        json_schema_extra=ONE_OR_MORE,
    )
    gap: Room = Field(default=4.0, description="between parts on a bed")
    brim: Room = Field(default=3.0, description="width of the brim round each part; 0 for none")
    jobs: tuple[KitJob, ...] = Field(default=(), description="its jobs, as [woofer, {job: tweeter, sides: [left]}]")
    every: Every | None = Field(default=None, description="each panel with each speaker, for a catalogue")

    @model_validator(mode="after")
    def _holds_something(self) -> Self:
        if not self.jobs and self.every is None:
            raise ValueError("a kit without jobs is nothing to make; give jobs: [name, …]")
        return self
