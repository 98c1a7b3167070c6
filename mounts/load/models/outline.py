"""Outlines as a person gives them: round, oblong, rectangle, square, or traced in a DXF file.

Outlines traced in a DXF file, and points read along a rim.

Hole patterns: points by name, or a bolt circle.
"""

from math import atan2, cos, degrees, hypot, radians, sin
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from mounts.geometry.outline import Arc, Outline, circle, convex_outline, oblong, rectangle
from mounts.load.models.base import At, Clock, Frozen, Name, Room, Short, Size, Text
from mounts.load.parse import units

Point = tuple[float, float]
SHAPES = ("diameter", "round", "oblong", "rectangle", "square", "d", "outline", "trace", "points")
D_CORNER = 0.5  # mm, radius where a D's flat meets its round
FEWEST = 3  # points that tell a circle
Shape = Literal["circle", "oblong", "rectangle", "outline"]


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


def _corner(value: object) -> float:
    found = units.length(value)
    if found < 0.5:
        raise ValueError(f"{units.quote_value(value)} is too sharp; a corner's radius is at least 0.5")
    return found


def _drawn(value: object) -> object:
    if not isinstance(value, Outline):
        raise ValueError(f"{units.quote_value(value)} is not the name of a DXF file beside this one")
    return value


Corner = Annotated[float, BeforeValidator(_corner), WithJsonSchema({"x-value": "length"})]
Drawn = Annotated[Any, BeforeValidator(_drawn), WithJsonSchema({"type": "string"})]


def _d(diameter: float, across: float) -> Outline:
    """Return a circle about the origin, cut flat below so that its height is `across`, mm."""
    y = diameter / 2 - across + D_CORNER
    x = ((diameter / 2 - D_CORNER) ** 2 - y**2) ** 0.5
    side = degrees(atan2(y, x))  # where the corner's arc goes over into the circle
    round_ = Arc((0.0, 0.0), diameter, side, 180 - 2 * side)
    corners = ((x, y), -90.0), ((-x, y), 180.0 - side)
    right, left = (Arc(at, 2 * D_CORNER, begin, side + 90.0) for at, begin in corners)
    return convex_outline([right, round_, left])


class OutlineSpec(Short):
    """One closed outline about the origin; exactly one of its shapes is given. A plain number is a round one."""

    shorthand: ClassVar[str] = "round"

    round: Size | None = Field(default=None, description="diameter")
    oblong: tuple[Size, Size] | None = Field(default=None, description="[width, height] with round ends")
    rectangle: tuple[Size, Size, Corner] | None = Field(
        default=None, description="[width, height, corner radius]; the corner at least 0.5"
    )
    square: Size | None = Field(default=None, description="width, with `corner`")
    corner: Corner | None = Field(default=None, description="corner radius of `square`, at least 0.5")
    d: tuple[Size, Size] | None = Field(default=None, description="[diameter, width across the flat], the flat at 6:00")
    drawn: Drawn | None = Field(
        default=None, alias="outline", description="DXF file beside this one that holds one closed outline"
    )
    unit: Literal["mm", "in"] | None = Field(default=None, description="of a DXF file that does not say")

    @model_validator(mode="after")
    def _one_shape(self) -> Self:
        given = self.shapes
        if len(given) != 1:
            found = f"{' and '.join(given)} are given" if given else "no shape is given"
            raise ValueError(f"{found}; give one of {', '.join(s for s in SHAPES if s in self.keys())}")
        if (self.square is None) != (self.corner is None):
            raise ValueError("square and corner belong together, as in {square: 130, corner: 12}")
        if self.d and not self.d[0] / 2 < self.d[1] < self.d[0]:
            least, most = self.d[0] / 2, self.d[0]
            what = "a D is {} across its flat; here it can be above {} and below {}"
            raise units.LengthsError(what, self.d[1], least, most)
        if self.unit and self.drawn is None:
            raise ValueError("unit belongs to an outline from a DXF file; write other units beside the value")
        for box in [self.rectangle] if self.rectangle else [(self.square, self.square, self.corner)]:
            width, height, corner = box
            if width and height and corner and 2 * corner > min(width, height) + 1e-9:
                raise units.LengthsError(
                    "the corner {} does not fit; the most here is {}", corner, min(width, height) / 2
                )
        return self

    @classmethod
    def keys(cls) -> list[str]:
        """Return the keys that a person may write."""
        return [field.alias or name for name, field in cls.model_fields.items()]

    @property
    def shapes(self) -> list[str]:
        """The shape keys that are given; exactly one once validated."""
        fields = type(self).model_fields.items()
        named = {field.alias or name: name for name, field in fields}
        return [key for key in SHAPES if key in named and getattr(self, named[key]) is not None]

    @property
    def diameter_(self) -> float | None:
        """The diameter when the outline is round, else None."""
        return self.round

    def outline(self) -> Outline:
        """Return the outline, counter-clockwise and convex, mm."""
        if (across := self.diameter_) is not None:
            return circle(across)
        if self.oblong:
            return oblong(*self.oblong)
        if self.rectangle:
            return rectangle(*self.rectangle)
        if self.square and self.corner:
            return rectangle(self.square, self.square, self.corner)
        if self.d:
            return _d(*self.d)
        assert isinstance(self.drawn, Outline)
        return self.drawn

    @property
    def across(self) -> float:
        """Greatest width in any direction, mm."""
        return self._widths()[1]

    @property
    def least(self) -> float:
        """Least width in any direction, mm: what passes a slot of that width."""
        return self._widths()[0]

    def _widths(self) -> tuple[float, float]:
        if (across := self.diameter_) is not None:
            return (across, across)
        if self.oblong:
            return (min(self.oblong), max(self.oblong))
        outline = self.outline()
        if self.drawn is None and self.d is None:
            corner = outline.arcs[0].diameter
            x0, y0, x1, y1 = outline.box
            return (min(x1 - x0, y1 - y0), hypot(x1 - x0 - corner, y1 - y0 - corner) + corner)
        widths = [outline.support(a / 2) + outline.support(a / 2 + 180) for a in range(360)]
        return (min(widths), max(widths))

    def mirrored(self) -> Self:
        """Return the outline mirrored in the y axis; only a drawn one can differ."""
        return self if self.drawn is None else self.model_copy(update={"drawn": self.drawn.mirrored()})


class Flange(OutlineSpec):
    """The frame's outer edge, seen from the speaker's front, and its thickness."""

    diameter: Size | None = Field(default=None, description="diameter of a round flange")
    thickness: Size = Field(description="of the flange, from the seat to its front")
    ears: Size | None = Field(
        default=None, description="width of the ear round each screw hole that reaches beyond a round flange"
    )

    @property
    def diameter_(self) -> float | None:
        """The diameter when the outline is round, else None."""
        return self.diameter if self.diameter is not None else self.round

    @model_validator(mode="after")
    def _ears_on_round(self) -> Self:
        if self.ears is not None and self.diameter_ is None:
            raise ValueError("ears stand on a round flange only; give the whole flange as an outline instead")
        return self


def _rim(value: object) -> object:
    if isinstance(value, list | tuple) and len(value) < FEWEST:
        raise ValueError(
            f"{len(value)} points given; a rim needs at least {FEWEST}, spread all round, better 6 or more"
        )
    if not isinstance(value, list | tuple):
        raise ValueError(f"{units.quote_value(value)} is no list of points; give [[x, y], [x, y], …]")
    return value


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
