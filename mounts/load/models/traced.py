"""Outlines traced in a DXF file, and points read along a rim."""

from typing import Annotated, ClassVar, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from mounts.load.models.base import At, Room, Short, Text
from mounts.load.models.outline import OutlineSpec
from mounts.load.parse import units

FEWEST = 3  # points that tell a circle
Shape = Literal["circle", "oblong", "rectangle", "outline"]


def _rim(value: object) -> object:
    if isinstance(value, list | tuple) and len(value) < FEWEST:
        raise ValueError(
            f"{len(value)} points given; a rim needs at least {FEWEST}, spread all round, better 6 or more"
        )
    if not isinstance(value, list | tuple):
        raise ValueError(f"{units.quote_value(value)} is no list of points; give [[x, y], [x, y], …]")
    return value


_POINT = {"type": "array", "items": {"x-value": "length"}, "minItems": 2, "maxItems": 2}
Rim = Annotated[
    tuple[At, ...],
    BeforeValidator(_rim),
    WithJsonSchema({"type": "array", "items": _POINT, "minItems": FEWEST}),
]


class Trace(Short):
    """A drawing of what was traced off the panel, seen as the panel is, +y up; a plain text is its file."""

    shorthand: ClassVar[str] = "file"

    file: Text = Field(description="DXF file beside this one")
    unit: Literal["mm", "in"] | None = Field(default=None, description="of a DXF file that does not say")
    layer: Text | None = Field(default=None, description="only what is drawn on this layer")
    gap: Room = Field(default=0.3, description="ends of lines closer than this meet")


class Opening(OutlineSpec):
    """The hole in the panel: a shape, or what was traced or read along its rim; its centre becomes the origin."""

    trace: Trace | None = Field(default=None, description="DXF file with its closed outline; the largest one counts")
    points: Rim | None = Field(default=None, description="points read along its rim: [[x, y], …]")
    shape: Shape | None = Field(
        default=None,
        description="of points: circle, oblong, rectangle or outline; the simplest that fits when not given",
    )

    @model_validator(mode="after")
    def _shape_of_points(self) -> Self:
        if self.shape and self.points is None:
            raise ValueError("shape belongs to points; leave it out")
        return self
