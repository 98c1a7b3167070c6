"""Fixings that hold a mount to the panel: five ways of giving them, of which one is used.

A hole pattern as a caliper gives it: distances between holes, and from holes to the opening.
"""

from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import BeforeValidator, Field, ValidationInfo, WithJsonSchema, field_validator, model_validator

from mounts.load.models.base import Angle, At, Frozen, Name, Room, Short, Size, name
from mounts.load.models.outline import BoltCircle, Point, Rim, Trace, letters
from mounts.load.parse import units

FEWEST, MOST = 3, 12
WAYS = {"at": "at", "bolt_circle": "bolt_circle", "distances": "distances", "trace": "trace", "points": "rims"}
HANDS = ("clockwise", "anticlockwise")


def pair_of(key: str) -> tuple[str, str]:
    """Return the two holes that a reading's key names, as in A-B."""
    one, dash, two = key.partition("-")
    if not dash or not one.strip() or not two.strip() or one.strip() == two.strip():
        raise ValueError(f"{units.quote_value(key)} names no two holes; write it as A-B")
    return one.strip(), two.strip()


def _ways(value: object) -> object:
    """Return (first, second, rise) from [first, second] or [first, second, rise], the rise in degrees."""
    if not isinstance(value, list | tuple) or not 2 <= len(value) <= 3:
        raise ValueError(f"{units.quote_value(value)} is no direction; give [left hole, right hole], as in [D, A]")
    rise = units.angle(value[2]) if len(value) == 3 else 0.0
    return (name(value[0]), name(value[1]), rise)


LevelWay = Annotated[
    tuple[Name, Name, Angle],
    BeforeValidator(_ways),
    WithJsonSchema(
        {
            "type": "array",
            "items": [{"type": ["string", "integer"]}, {"type": ["string", "integer"]}, {"x-value": "angle"}],
            "minItems": 2,
            "maxItems": 3,
        }
    ),
]


class HoleToOpening(Short):
    """Distance from one hole to the opening; a plain number is from edge to edge."""

    shorthand: ClassVar[str] = "edge"

    edge: Room | None = Field(default=None, description="from the hole's edge to the opening's nearest edge")
    vertical: Room | None = Field(
        default=None, description="from the hole to the opening's vertical centre line, over the edges of between"
    )
    horizontal: Room | None = Field(
        default=None, description="from the hole to the opening's horizontal centre line, over the edges of between"
    )

    @model_validator(mode="after")
    def _something(self) -> Self:
        if self.edge is None and self.vertical is None and self.horizontal is None:
            raise ValueError("nothing is read; give a number (edge to edge), or vertical, or horizontal")
        return self


class Distances(Frozen):
    """Distances read between holes in any order and number, as long as they settle the pattern; more sharpen it."""

    between: Literal["inside edges", "outside edges", "centres"] = Field(
        description="over which edges the holes were read"
    )
    readings: dict[Name, Size] = Field(description="{A-B: 100.5, B-C: 109.0, …}, between any two holes")
    to_opening: dict[Name, HoleToOpening] = Field(
        default={},
        description="from holes to the opening: {A: 15.4, …} edge to edge, or {A: {vertical: 58, horizontal: 53.5}}",
    )
    level: LevelWay | None = Field(
        default=None,
        description="[D, A]: the way from D to A leads to the right and is level; a third figure is its rise, degrees",
    )

    @field_validator("readings", mode="before")
    @classmethod
    def _pairs(cls, readings: Any) -> Any:
        seen: dict[frozenset[str], str] = {}
        for key in readings if isinstance(readings, dict) else ():
            pair = frozenset(pair_of(str(key)))
            if pair in seen:
                raise ValueError(f"{key} and {seen[pair]} are the same two holes; give their mean once")
            seen[pair] = str(key)
        return readings

    @model_validator(mode="after")
    def _known_holes(self) -> Self:
        names = self.names
        if not FEWEST <= len(names) <= MOST:
            what = f"distances join {len(names)} holes; they can be {FEWEST} to {MOST}"
            raise ValueError(
                f"{what}: for two holes give at: {{A: [x, y], B: [x, y]}}" if len(names) < FEWEST else what
            )
        told = [*self.to_opening, *(self.level[:2] if self.level else ())]
        if stray := [one for one in told if one not in names]:
            raise ValueError(f'"{stray[0]}" is in no distance; holes: {", ".join(names)}')
        if self.level and self.level[0] == self.level[1]:
            raise ValueError(f"level names {self.level[0]} twice; give the left hole and the right one, as in [D, A]")
        return self

    @property
    def pairs(self) -> dict[tuple[str, str], float]:
        """Readings by the two holes that each lies between, mm."""
        return {pair_of(key): read for key, read in self.readings.items()}

    @property
    def names(self) -> tuple[str, ...]:
        """The holes, A before B and 2 before 10."""
        found = dict.fromkeys(end for key in self.readings for end in pair_of(key))
        return tuple(sorted(found, key=lambda one: (len(one), one) if one.isdigit() else (0, one)))


def _order(value: object) -> object:
    """Return the direction of the names, or the holes' names clockwise."""
    if isinstance(value, list | tuple) and value:
        return tuple(name(one) for one in value)
    if value not in HANDS:
        need = "give clockwise or anticlockwise, or the holes' names clockwise, as in [A, C, B, D]"
        raise ValueError(f"{units.quote_value(value)} is no order; {need}")
    return value


Order = Annotated[
    Any,
    BeforeValidator(_order),
    WithJsonSchema({"anyOf": [{"enum": list(HANDS)}, {"type": "array", "items": {"type": ["string", "integer"]}}]}),
]


class Fixings(Frozen):
    """Fixings that hold the mount to the panel."""

    hole: Size | None = Field(default=None, description="diameter of the panel's holes")
    was: Literal["rivet", "screw", "hook"] | None = Field(default=None, description="what held the old speaker")
    at: dict[Name, At] | None = Field(default=None, description="centre of each by name: {A: [x, y], …}")
    bolt_circle: BoltCircle | None = Field(default=None, description="instead of at: named A, B, C … clockwise")
    distances: Distances | None = Field(
        default=None, description="instead of at: what a caliper read between the holes"
    )
    order: Order | None = Field(
        default=None, description="of distances: how A, B, C … run as they are seen; or their names, clockwise"
    )
    trace: Trace | None = Field(
        default=None, description="instead of at: a DXF file with the holes' circles; named A, B, C … clockwise"
    )
    rims: dict[Name, Rim] | None = Field(
        default=None, alias="points", description="instead of at: points along each hole's rim: {A: [[x, y], …], …}"
    )
    holes: dict[Name, Size] = Field(default={}, description="diameter of each hole that differs from `hole`")
    heights: dict[Name, Room] = Field(
        default={}, description="how much higher the face is at a fixing than at the lowest one"
    )

    @field_validator("heights", "holes")
    @classmethod
    def _of_fixings(cls, told: dict[str, float], info: ValidationInfo) -> dict[str, float]:
        at, circle = info.data.get("at") or info.data.get("rims"), info.data.get("bolt_circle")
        distances = info.data.get("distances")
        names = list(at or (letters(circle.count) if circle else distances.names if distances else told))
        if stray := [one for one in told if one not in names]:
            raise ValueError(f'"{stray[0]}" is no fixing; fixings: {", ".join(names)}')
        return told

    @model_validator(mode="after")
    def _one_pattern(self) -> Self:
        given = self.ways
        if len(given) > 1:
            both = f"{', '.join(given[:-1])} and {given[-1]}"
            raise ValueError(f"{both} are {'both' if len(given) == 2 else 'all'} given; give one of them")
        if not given:
            need = "give at: {A: [x, y], …} or bolt_circle: {diameter, count, first}, or distances, trace or points"
            raise ValueError(f"where the fixings are is missing; {need}")
        if self.trace is None and (count := len(self.names)) < 2:
            raise ValueError(f"{count} fixing is given; a mount needs at least 2")
        self._order_of_distances()
        return self

    def _order_of_distances(self) -> None:
        if self.distances is None:
            if self.order is not None:
                raise ValueError("order belongs to distances; leave it out")
            return
        names = self.distances.names
        shown = ", ".join(names)
        if self.order is None:
            raise ValueError(f"order is missing; give clockwise or anticlockwise, as {shown} are seen from the cabin")
        if self.order not in HANDS and sorted(self.order) != sorted(names):
            raise ValueError(f"order names {', '.join(self.order)}; it must name each of {shown} once")

    @property
    def ways(self) -> list[str]:
        """The keys that tell where the fixings are; what is surveyed keeps its own beside the `at` that it gave."""
        return [key for key, field in WAYS.items() if getattr(self, field) is not None]

    @property
    def given_key(self) -> str:
        """The key that the person wrote."""
        return self.ways[-1]

    @property
    def names(self) -> tuple[str, ...]:
        """The fixings' names; none before the drawing that holds them is read."""
        if self.at is None and self.distances is not None:
            return self.distances.names
        return tuple(self.rims) if self.at is None and self.rims is not None else tuple(self.points)

    @property
    def points(self) -> dict[str, Point]:
        """Centre of each fixing by name, mm, once surveyed; a bolt circle's are A, B, C … clockwise from its first."""
        if self.at is not None:
            return self.at
        circle = self.bolt_circle
        return dict(zip(letters(circle.count), circle.points(), strict=True)) if circle else {}

    @property
    def clockwise(self) -> tuple[str, ...]:
        """The holes of `distances` clockwise, as they are seen."""
        assert self.distances is not None
        if isinstance(self.order, tuple):
            return self.order
        return self.distances.names if self.order == HANDS[0] else self.distances.names[::-1]

    def size(self, fixing: str) -> float | None:
        """Return the diameter of one fixing's hole, mm; None when it was not measured."""
        return self.holes.get(fixing, self.hole)
