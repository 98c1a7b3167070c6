"""Surroundings of a panel's opening: behind it, in front of it, and the listeners."""

from typing import Annotated, ClassVar, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, field_validator, model_validator

from mounts.geometry.outline import Outline, circle, rectangle
from mounts.load.models.base import At, Clock, Flag, Footprint, Frozen, Length, Name, Room, Short, Size, Text
from mounts.load.models.outline import OutlineSpec
from mounts.load.parse import units


def refuse_bare_small(raw: object) -> object:
    """Raise ValueError for a bare number below 20 where a large width is meant: it is nearly always inches."""
    widths = raw
    if isinstance(raw, dict):
        keys = [key for key in ("diameter", "round", "oblong", "rectangle", "square", "across") if key in raw]
        widths = raw[keys[0]] if keys else None
    for width in widths[:2] if isinstance(widths, list) else [widths]:
        if isinstance(width, int | float) and not isinstance(width, bool) and 0 < width < 20:
            raise ValueError(f"{width:g} is {width:g} mm; write {width:g} in if inches are meant")
    return raw


def _readings(value: object) -> object:
    """Return readings by clock direction; one number counts all round."""
    if not isinstance(value, dict):
        return {0.0: value}
    found: dict[float, str] = {}
    for key in value:
        turn = units.clock(key)
        if turn in found:
            raise ValueError(f"{units.quote_value(key)} and {units.quote_value(found[turn])} are the same direction")
        found[turn] = key
    if not found:
        raise ValueError("no reading is given; give {12:00: …, 6:00: …} or one number")
    return value


Readings = Annotated[
    dict[Clock, Room],
    BeforeValidator(_readings),
    WithJsonSchema(
        {"anyOf": [{"type": "object", "additionalProperties": {"x-value": "length"}}, {"x-value": "length"}]}
    ),
]


class AtClock(Short):
    """Distances read at clock directions along an edge; a plain number is the same all round."""

    shorthand: ClassVar[str] = "at_clock"

    at_clock: Readings = Field(description='distance at each direction: {"12:00": 52, "6:00": 60}')


class Thing(Frozen):
    """Something behind the panel that the speaker must not touch."""

    what: Text = Field(description="what it is, such as lift rail")
    at: At = Field(description="its centre [x, y], as seen from the cabin")
    size: Footprint = Field(description="[width, height], or one number: its diameter")
    depth: Room = Field(description="from the face to its nearest point")
    moving: Flag = Field(default=False, description="true when it moves, as a lift rail does")

    def outline(self) -> Outline:
        """Return its outline in the panel frame, mm."""
        if isinstance(self.size, tuple):
            return rectangle(*self.size, 0.0).moved(*self.at)
        return circle(self.size, self.at)


Hazard = Literal["airbag", "pressure sensor", "other"]


def _hazard(what: str) -> Hazard:
    """Return the hazard that the usual words name; an airbag's sensors fire it, so they count as one."""
    words = what.lower()
    return "pressure sensor" if "pressure" in words else "airbag" if "airbag" in words or "sensor" in words else "other"


class Nearby(Short):
    """Something near a place that asks for care; a plain text is what it is."""

    shorthand: ClassVar[str] = "what"
    what: Name = Field(description="what it is, such as side airbag")
    hazard: Hazard = Field(
        default="other", description="what to be warned of; where it is left out, the words of what it is name it"
    )

    @model_validator(mode="before")
    @classmethod
    def _named(cls, raw: object) -> object:
        given = raw if isinstance(raw, dict) else {"what": raw}
        what = given.get("what")
        return {"hazard": _hazard(what), **given} if isinstance(what, str) else raw

    def __str__(self) -> str:
        """Return what it is."""
        return self.what


class Behind(Frozen):
    """Obstacles behind the face; depths from the face."""

    glass: AtClock | None = Field(
        default=None, description="depth to the window glass at the opening's edge, the worst of down, half, up"
    )
    things: tuple[Thing, ...] = Field(default=(), description="other things behind the panel")


Way = Literal[
    "straight",
    "hooked at the top",
    "hooked at the bottom",
    "hooked at the front",
    "hooked at the rear",
    "slid from the top",
    "slid from the bottom",
    "slid from the front",
    "slid from the rear",
]


class Trim(AtClock):
    """The trim panel that goes on over the mount."""

    opening: OutlineSpec | None = Field(default=None, description="the trim's own opening")
    at: At = Field(default=(0.0, 0.0), description="centre of the trim's opening")
    goes_on: Way = Field(default="straight", description="how it is put on")

    _not_inches = field_validator("opening", mode="before")(refuse_bare_small)


class InFront(Frozen):
    """Covers of the mount; heights above the face, at the trim opening's edge."""

    trim: Trim | None = Field(default=None, description="underside of the trim")
    grille: AtClock | None = Field(default=None, description="underside of the grille")


class Ear(Frozen):
    """Position of the middle of one seat's head from the opening's centre, at ear height; any three of the four."""

    straight: Size | None = Field(default=None, description="straight distance")
    rearward: Length | None = Field(default=None, description="towards the vehicle's rear")
    inboard: Length | None = Field(default=None, description="towards the vehicle's middle")
    up: Length | None = Field(default=None, description="upwards")

    @model_validator(mode="after")
    def _agrees(self) -> Self:
        given = [v for v in (self.straight, self.rearward, self.inboard, self.up) if v is not None]
        if len(given) < 3:
            raise ValueError(f"{len(given)} of 4 distances given; give any three of straight, rearward, inboard, up")
        across = sum(v * v for v in (self.rearward, self.inboard, self.up) if v is not None) ** 0.5
        if self.straight is None:
            return self
        if across > self.straight + 15 or (len(given) == 4 and across < self.straight - 15):
            what = "straight {} does not agree with the others, which give {}"
            raise units.LengthsError(what, self.straight, float(round(across)))
        return self

    @property
    def vector(self) -> tuple[float, float, float]:
        """(rearward, inboard, up) in mm; one that was not read follows from the straight distance, taken positive."""
        parts = (self.rearward, self.inboard, self.up)
        known = sum(v * v for v in parts if v is not None)
        rest = max(0.0, (self.straight or 0.0) ** 2 - known) ** 0.5
        a, b, c = (rest if v is None else v for v in parts)
        return (a, b, c)


class Ears(Frozen):
    """The listeners."""

    this_seat: Ear | None = Field(default=None, description="the seat on the panel's own side")
    other_seat: Ear | None = Field(default=None, description="the seat on the other side")
    row: Text = Field(default="", description="which row of seats, where it is not the first: second row")


def _torso(value: object) -> float:
    found = units.angle(value)
    if not 5 <= found <= 40:
        raise ValueError(
            f"{units.quote_value(value)} is no torso angle; give 5 to 40 degrees from the vertical, 25 is usual"
        )
    return found


class Seat(Ear):
    """Position of a seat's hip point from the opening's centre, any three of the four, where ears were not measured.

    The hip point is where the torso and thigh of the person seated turn: about 90 mm over the pressed-in cushion.
    """

    torso: Annotated[float, BeforeValidator(_torso), WithJsonSchema({"x-value": "angle"})] = Field(
        default=25.0, description="angle of the seat's back from the vertical"
    )
    slide: Room = Field(default=0.0, description="how far the seat slides in all; the hip point is read half-way")


class Seats(Frozen):
    """Seats from which the ears are estimated where they were not measured."""

    this_seat: Seat | None = Field(default=None, description="the seat on the panel's own side")
    other_seat: Seat | None = Field(default=None, description="the seat on the other side")
    row: Text = Field(default="", description="which row of seats, where it is not the first: second row")
