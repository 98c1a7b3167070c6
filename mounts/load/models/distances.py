"""A hole pattern as a caliper gives it: distances between holes, and from holes to the opening."""

from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, field_validator, model_validator

from mounts.load.models.base import Angle, Frozen, Name, Room, Short, Size, name
from mounts.load.parse import units

FEWEST, MOST = 3, 12


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
