"""Hole patterns: points by name, or a bolt circle."""

from math import cos, radians, sin
from typing import Annotated

from pydantic import BeforeValidator, Field, WithJsonSchema

from mounts.load.models.base import At, Clock, Frozen, Name, Size
from mounts.load.parse import units

Point = tuple[float, float]


def _count(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 2 <= value <= 24:
        raise ValueError(f"{units.quote_value(value)} is not a number of holes; give a whole number from 2 to 24")
    return value


class BoltCircle(Frozen):
    """Equally spaced holes on a circle, counted clockwise as seen from the front."""

    diameter: Size = Field(description="of the circle through the hole centres (PCD)")
    count: Annotated[int, BeforeValidator(_count), WithJsonSchema({"type": "integer", "minimum": 2, "maximum": 24})] = (
        Field(description="number of holes")
    )
    first: Clock = Field(default=0.0, description="clock direction of the first hole; 12:00 when not given")

    def points(self) -> tuple[Point, ...]:
        """Return the hole centres, clockwise from the first, mm."""
        turns = [radians(self.first + 360 * k / self.count) for k in range(self.count)]
        return tuple((self.diameter / 2 * sin(turn), self.diameter / 2 * cos(turn)) for turn in turns)


def letters(count: int) -> list[str]:
    """Return the names of fixings in order: A, B, C and so on."""
    return [chr(ord("A") + k) for k in range(count)]


def numbers(count: int) -> list[str]:
    """Return the names of speaker holes in order: 1, 2, 3 and so on."""
    return [str(k + 1) for k in range(count)]


def listed(value: object) -> object:
    """Return a list of points as a mapping from 1, 2, 3 …; a mapping as it stands."""
    if isinstance(value, list):
        return dict(zip(numbers(len(value)), value, strict=True))
    return value


_POINT = {"type": "array", "items": {"x-value": "length"}, "minItems": 2, "maxItems": 2}
_POINTS = {"type": "array", "items": _POINT, "minItems": 1}
Points = Annotated[
    dict[Name, At],
    BeforeValidator(listed),
    WithJsonSchema({"anyOf": [_POINTS, {"type": "object", "additionalProperties": _POINT, "minProperties": 1}]}),
]
